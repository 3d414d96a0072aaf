"""Facts about one tune of an ABC file, read by music21."""

import re

from music21 import abcFormat
from music21.abcFormat import translate

from stream_facts import part_facts

# music21 cuts measures that are longer than their meter into new ones; the facts are about the tune as written.
translate.reBar = lambda part, inPlace=False: part


def numbers(text):
    """The numbers of the tunes in a file that are given once, in the order of the file."""
    given = [int(n) for n in re.findall(r"^X:\s*(\d+)\s*$", text, re.MULTILINE)]
    return [n for n in given if given.count(n) == 1]


def tune_facts(text, number):
    """All parts of one tune, the title first."""
    handler = abcFormat.ABCFile().readstr(text, number)
    score = translate.abcToStreamScore(handler)
    title = score.metadata.title or ""
    return {"title": title, "parts": [part_facts(p, lambda measure: measure.highestTime) for p in score.parts]}
