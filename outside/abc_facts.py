"""Facts about one tune of an ABC file, read by music21."""

import re

from music21 import abcFormat
from music21.abcFormat import translate

from stream_facts import part_facts

# music21 cuts measures that are longer than their meter into new ones; the facts are about the tune as written.
translate.reBar = lambda part, inPlace=False: part


# A chord symbol: a root in quotes before anything else. Fingerings and annotations look otherwise.
CHORD_SYMBOL = re.compile(r'^(?![A-Za-z]:|%).*"[A-G][#b]?(m|7|"|/)', re.MULTILINE)


def numbers(text):
    """The numbers of the tunes that are given once in a file: all of them, and those with chord symbols."""
    starts = list(re.finditer(r"^X:\s*(\d+)\s*$", text, re.MULTILINE))
    ends = [s.start() for s in starts[1:]] + [len(text)]
    bodies = {}
    for start, end in zip(starts, ends):
        bodies.setdefault(int(start[1]), []).append(text[start.start() : end])
    once = [number for number, found in bodies.items() if len(found) == 1]
    return once, [number for number in once if CHORD_SYMBOL.search(bodies[number][0])]


def tune_facts(text, number):
    """All parts of one tune, the title first."""
    handler = abcFormat.ABCFile().readstr(text, number)
    score = translate.abcToStreamScore(handler)
    title = score.metadata.title or ""
    parts = [{"place": place, "staff": 1} | part_facts(p, lambda measure: measure.highestTime) for place, p in enumerate(score.parts, 1)]
    return {"title": title, "parts": parts}
