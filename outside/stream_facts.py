"""Facts about one part as music21 holds it: measures, events, keys, meters, chord symbols, playing order.

Times are fractions of quarter notes written as text ("3/2"), places are (index of the measure, place in it), pitches are MIDI numbers. Grace
notes and unpitched notes are left out: neither has a place in time that both sides could agree on.
"""

import copy
from fractions import Fraction

from music21 import bar, chord, harmony, key, meter, note, repeat, spanner, stream


def fraction(value):
    """A time in lowest terms; music21's floats stand for fractions with small denominators."""
    return str(Fraction(value).limit_denominator(20160))


def part_facts(part, length_of):
    """All facts of one part. `length_of` gives the length of a measure in quarters."""
    measures = list(part.getElementsByClass(stream.Measure)) or [part]
    return {
        "name": part.partName or "",
        "measures": [measure_facts(m, length_of(m)) for m in measures],
        "order": playing_order(part, measures),
    }


def measure_facts(measure, length):
    voices = list(measure.voices)
    loose = line_facts(measure)
    lines = {str(v.id): line_facts(v) for v in voices}
    if loose or not voices:
        lines[""] = loose
    return {
        "number": getattr(measure, "number", 0) or 0,
        "length": fraction(length),
        "lines": lines,
        "keys": [[place(measure, k), k.sharps] for k in found(measure, key.KeySignature) if k.sharps is not None],
        "meters": [[place(measure, t), t.ratioString] for t in found(measure, meter.TimeSignature)],
        "chords": [chord_facts(measure, c) for c in found(measure, harmony.ChordSymbol)],
    }


def found(measure, kind):
    """Elements of a kind in the measure and its voices, in order."""
    return sorted(measure[kind], key=lambda element: element.getOffsetInHierarchy(measure))


def place(measure, element):
    return fraction(element.getOffsetInHierarchy(measure))


def line_facts(line):
    """The sounding events directly in a measure or voice: [place, length, pitches, tied from before]."""
    events = []
    for element in line.getElementsByClass(note.GeneralNote):
        pitched = isinstance(element, (note.Note, chord.Chord)) and not isinstance(element, harmony.ChordSymbol)
        if not pitched or element.duration.isGrace:
            continue
        tones = list(element.notes) if isinstance(element, chord.Chord) else [element]
        tones = [t for t in tones if isinstance(t, note.Note)]
        if not tones:
            continue
        tied = any(t.tie is not None and t.tie.type in ("stop", "continue") for t in [element, *tones])
        pitches = sorted(round(t.pitch.ps) for t in tones)
        events.append([fraction(element.offset), fraction(element.quarterLength), pitches, tied])
    return events


def chord_facts(measure, symbol):
    """[place, pitch class of the root, all pitch classes, pitch class of the bass, its text]; no root and no pitches for N.C."""
    at = place(measure, symbol)
    if isinstance(symbol, harmony.NoChord):
        return [at, None, [], None, symbol.figure or "N.C."]
    classes = sorted({p.pitchClass for p in symbol.pitches})
    return [at, symbol.root().pitchClass, classes, symbol.bass().pitchClass, symbol.figure or ""]


def playing_order(part, measures):
    """Indices of the measures as played, worked out on empty measures that carry only the signs; None where music21 gives up."""
    bare = stream.Part()
    twin = {}
    for index, original in enumerate(measures):
        if not isinstance(original, stream.Measure):
            return [0]
        empty = stream.Measure(number=index)
        empty.append(note.Rest(quarterLength=4))
        for side in ("leftBarline", "rightBarline"):
            line = getattr(original, side)
            if line is not None:
                setattr(empty, side, copy.deepcopy(line))
        for sign in original.getElementsByClass(repeat.RepeatMark):
            if not isinstance(sign, bar.Repeat):
                empty.insert(sign.offset, copy.deepcopy(sign))
        twin[id(original)] = empty
        bare.append(empty)
    for bracket in part[spanner.RepeatBracket]:
        inside = [twin[id(m)] for m in bracket.getSpannedElements() if id(m) in twin]
        if inside:
            bare.insert(0, spanner.RepeatBracket(inside, number=bracket.number))
    try:
        played = repeat.Expander(bare).process()
        return [m.number for m in played.getElementsByClass(stream.Measure)]
    except Exception:
        return None
