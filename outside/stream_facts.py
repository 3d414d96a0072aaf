"""Facts about one part as music21 holds it: measures, events, keys, meters, chord symbols, playing order.

Times are fractions of quarter notes written as text ("3/2"), places are (index of the measure, place in it), pitches are MIDI numbers. Grace
notes and unpitched notes are left out: neither has a place in time that both sides could agree on.
"""

import copy
import math
from fractions import Fraction

from music21 import bar, chord, harmony, key, meter, note, repeat, spanner, stream


def fraction(value):
    """A time in lowest terms; music21's floats stand for fractions with small denominators."""
    return str(Fraction(value).limit_denominator(20160))


def part_facts(part, length_of):
    """All facts of one part. `length_of` gives the length of a measure in quarters."""
    measures = list(part.getElementsByClass(stream.Measure)) or [part]
    held = {}
    return {
        "name": part.partName or "",
        "measures": [measure_facts(m, length_of(m), held) for m in measures],
        "order": playing_order(part, measures),
    }


def measure_facts(measure, length, held):
    voices = list(measure.voices)
    loose = line_facts(measure, "", held)
    lines = {str(v.id): line_facts(v, str(v.id), held) for v in voices}
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


def line_facts(line, voice, held):
    """The sounding events directly in a measure or voice: [place, length, pitches, tied from before].

    A tie that begins holds the next note of the same pitch, whether or not that note says so too; `held` has, for each voice, the pitches to which
    the event before is tied. Pitches between two keys are rounded up, the same pitch twice is one.
    """
    events = []
    for element in line.getElementsByClass(note.GeneralNote):
        if element.duration.isGrace or isinstance(element, harmony.ChordSymbol):
            continue
        tones = list(element.notes) if isinstance(element, chord.Chord) else [element]
        tones = [t for t in tones if isinstance(t, note.Note)]
        if not tones:
            held.pop(voice, None)
            continue
        pitches = sorted({sounding(t) for t in tones})
        tied = any(ends_tie(t) for t in [element, *tones]) or any(p in held.get(voice, ()) for p in pitches)
        held[voice] = {sounding(t) for t in tones if begins_tie(t) or begins_tie(element)}
        events.append([fraction(element.offset), fraction(element.quarterLength), pitches, tied])
    return events


def sounding(tone):
    return math.floor(tone.pitch.ps + 0.5)


def begins_tie(tone):
    return tone.tie is not None and tone.tie.type in ("start", "continue")


def ends_tie(tone):
    return tone.tie is not None and tone.tie.type in ("stop", "continue")


def chord_facts(measure, symbol):
    """[place, pitch class of the root, all pitch classes, pitch class of the bass, its text]; no root and no pitches for N.C."""
    at = place(measure, symbol)
    if isinstance(symbol, harmony.NoChord):
        return [at, None, [], None, symbol.figure or "N.C."]
    classes = sorted({p.pitchClass for p in symbol.pitches})
    return [at, symbol.root().pitchClass, classes, symbol.bass().pitchClass, symbol.figure or ""]


def playing_order(part, measures):
    """Indices of the measures as played, worked out on empty measures that carry only the signs; None where music21 gives up."""
    if not all(isinstance(m, stream.Measure) for m in measures):
        return [0]
    bare = stream.Part()
    twins = [bare_twin(index, original) for index, original in enumerate(measures)]
    bare.append(twins)
    place_of = {id(original): index for index, original in enumerate(measures)}
    bracketed = set()
    for bracket in part[spanner.RepeatBracket]:
        inside = [place_of[id(m)] for m in bracket.getSpannedElements() if id(m) in place_of]
        if inside:
            bare.insert(0, spanner.RepeatBracket([twins[i] for i in inside], number=bracket.number))
            bracketed.update(range(min(inside), max(inside) + 1))
    open_sections(twins, bracketed)
    try:
        played = repeat.Expander(bare).process()
        return [m.editorial.index for m in played.getElementsByClass(stream.Measure)]
    except Exception:
        return None


def bare_twin(index, original):
    """An empty measure with the bar lines and signs of another, which knows its index."""
    empty = stream.Measure(number=index + 1)
    empty.editorial.index = index
    empty.append(note.Rest(quarterLength=4))
    for side in ("leftBarline", "rightBarline"):
        line = getattr(original, side)
        if line is not None:
            setattr(empty, side, copy.deepcopy(line))
    for sign in original.getElementsByClass(repeat.RepeatMark):
        if not isinstance(sign, bar.Repeat):
            empty.insert(sign.offset, copy.deepcopy(sign))
    return empty


def open_sections(twins, bracketed):
    """Writes out the forward repeats that common practice leaves out: a section begins where the repeat before it, with its endings, is over.
    Without them music21 goes back to the very beginning each time."""
    start = 0
    for index, measure in enumerate(twins):
        if is_repeat(measure.leftBarline, "start"):
            start = 0
        elif start is None and index not in bracketed:
            start = index
        if is_repeat(measure.rightBarline, "end"):
            if start:
                twins[start].leftBarline = bar.Repeat(direction="start")
            start = None


def is_repeat(line, direction):
    return isinstance(line, bar.Repeat) and line.direction == direction
