"""Facts about one tune of an ABC file, read by music21."""

import re

from music21 import abcFormat
from music21.abcFormat import translate

from stream_facts import part_facts

# Accidentals hold to the end of the measure, as from version 2.0 on.
VERSION = (2, 1, 0)

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


# What has neither pitch nor duration, and at which music21 loses the note or the broken rhythm beside it: annotations, decorations (ABC 2.1, 4.14),
# grace notes (4.12), slurs (4.11), marks between beamed notes (4.7). Quoted text and inline fields are stepped over.
STEPPED_OVER = r'"[^"]*"|\[[A-Za-z]:[^\]]*\]'
LEFT_OUT = r'"[\^_<>@][^"]*"|![^!\n]*!|\{[^}]*\}|[~.HLMOPSTuv](?=[~.HLMOPSTuv"(\[{^_=A-Ga-gxz])|\((?![2-9])|\)|`'


def plain(text):
    """The tune without what music21 stumbles over: header lines as they are, music reduced to bars, notes, tuplets and chord symbols."""
    keep = re.compile(f"({LEFT_OUT})|{STEPPED_OVER}")
    header = re.compile(r"^\s*([A-Za-z+]:|%)")
    lines = (line if header.match(line) else keep.sub(lambda m: "" if m[1] else m[0], line) for line in text.split("\n"))
    return "\n".join(lines)


def tune_facts(text, number):
    """All parts of one tune, the title first."""
    handler = abcFormat.ABCFile(VERSION).readstr(plain(text), number)
    score = translate.abcToStreamScore(handler)
    title = score.metadata.title or ""
    parts = [{"place": place, "staff": 1} | part_facts(p, lambda measure: measure.highestTime) for place, p in enumerate(score.parts, 1)]
    return {"title": title, "parts": parts}
