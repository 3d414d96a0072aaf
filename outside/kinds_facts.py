"""The tones of every chord kind: as the documentation of the MusicXML 4.0 schema defines it in words, and as music21 has it.

Tones are [degree, semitones above the root]. The standard gives no tones for the functional sixths, Tristan, other and none; music21 has tones for
all but the last two, under names of its own.
"""

import pathlib
import re
import xml.etree.ElementTree as ElementTree

import musicxml
from music21 import harmony

STANDARD = pathlib.Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"
SCHEMA = "{http://www.w3.org/2001/XMLSchema}"

ORDINALS = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "ninth": 9, "11th": 11, "13th": 13}
# Of a major scale, from its first note.
MAJOR = [0, 2, 4, 5, 7, 9, 11]
QUALITIES = {"major": 0, "perfect": 0, "added": 0, "minor": -1, "augmented": 1}

# The standard's names where music21 has another.
NAMES_IN_MUSIC21 = {
    "dominant": "dominant-seventh",
    "half-diminished": "half-diminished-seventh",
    "major-minor": "minor-major-seventh",
}


def semitones(degree):
    return MAJOR[(degree - 1) % 7] + 12 * ((degree - 1) // 7)


def interval(quality, ordinal):
    """("diminished", "fifth") -> [5, 6]. A fifth is diminished by one semitone, a seventh by two."""
    degree = ORDINALS[ordinal]
    change = (-1 if degree == 5 else -2) if quality == "diminished" else QUALITIES[quality]
    return [degree, semitones(degree) + change]


def in_words(definition, defined):
    """("dominant-seventh, major ninth") -> tones; what a definition builds on stands before it in the list."""
    tones = []
    for term in definition.split(", "):
        quality, _, thing = term.partition(" ")
        if thing == "triad":
            tones += defined[quality]
        elif thing == "bass":
            tones += [[1, 0]]
        elif thing:
            tones += [interval(quality, thing)]
        else:
            tones += defined.get(term) or defined[term.removesuffix("-seventh")]
    return sorted([list(t) for t in {(1, 0), *map(tuple, tones)}])


def of_the_standard():
    schema = ElementTree.parse(STANDARD)
    kind = schema.find(f"{SCHEMA}simpleType[@name='kind-value']")
    words = kind.find(f"{SCHEMA}annotation/{SCHEMA}documentation").text
    defined = {}
    for name, definition in re.findall(r"^\s+([\w-]+) \((.+)\)$", words, re.MULTILINE):
        defined[name] = in_words(definition, defined)
    values = [value.get("value") for value in kind.iter(f"{SCHEMA}enumeration")]
    return {value: defined.get(value) for value in values}


def of_music21(name):
    formula = harmony.CHORD_TYPES.get(NAMES_IN_MUSIC21.get(name, name))
    if formula is None:
        return None
    tones = []
    for sign, degree in re.findall(r"([#-]*)(\d+)", formula[0]):
        degree = int(degree)
        tones.append([degree, semitones(degree) + sign.count("#") - sign.count("-")])
    return sorted(tones)


def kinds():
    return [{"name": name, "standard": tones, "music21": of_music21(name)} for name, tones in of_the_standard().items()]
