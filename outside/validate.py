"""Validates written files from outside.

    validate.py FOLDER

For every NAME.json in FOLDER (what the score holds) NAME.musicxml is validated against the W3C schema of MusicXML 4.0 and read back with music21,
and NAME.mid is read back with mido; both must hold what the score holds. Prints one line a finding and ends with status 1 if there are any.
No schema is fetched: the standard's comes with the package `musicxml`, the two it imports with `xmlschema`.
"""

import gc
import json
import pathlib
import sys
import warnings
from fractions import Fraction

import mido
import musicxml
import xmlschema
from lxml import etree
from music21 import chord, converter, harmony, note, stream

from stream_facts import fraction, part_facts

SCHEMAS = pathlib.Path(xmlschema.__file__).parent / "schemas"
STANDARD = pathlib.Path(musicxml.__file__).parent / "generate_classes" / "musicxml_4_0.xsd"
IMPORTED = {
    "http://www.w3.org/1999/xlink": SCHEMAS / "XLINK" / "xlink.xsd",
    "http://www.w3.org/XML/1998/namespace": SCHEMAS / "XML" / "xml.xsd",
}

# MIDI counts in ticks: two places are the same when they are nearer than this, in quarters. What is played is compared in floating point, which is far finer.
TICK = 0.01

# music21 cannot follow some signs at all (a repeat opened twice); that is no fault of the writer, unless it happens often.
MOST_GIVEN_UP = Fraction(1, 50)


def schema():
    standard = etree.parse(STANDARD)
    for imported in standard.getroot().iterfind("{http://www.w3.org/2001/XMLSchema}import"):
        imported.set("schemaLocation", IMPORTED[imported.get("namespace")].as_uri())
    return etree.XMLSchema(standard)


def written_tones(part, starts):
    """[pitch, onset, length] of every sounding tone of a staff, ties joined, in order of onset; onsets as written, from the first measure."""
    tones, open_ties = [], {}
    for start, measure in zip(starts, part.getElementsByClass(stream.Measure)):
        for element in sorted(measure.recurse().notes, key=lambda e: e.getOffsetInHierarchy(measure)):
            if isinstance(element, harmony.ChordSymbol) or element.duration.isGrace:
                continue
            onset = start + Fraction(fraction(element.getOffsetInHierarchy(measure)))
            for tone in element.notes if isinstance(element, chord.Chord) else [element]:
                if not isinstance(tone, note.Note):
                    continue
                pitch, length = round(tone.pitch.ps), Fraction(fraction(element.quarterLength))
                tie = tone.tie.type if tone.tie else element.tie.type if element.tie else None
                if tie in ("stop", "continue") and pitch in open_ties:
                    open_ties[pitch][2] += length
                else:
                    tones.append([pitch, onset, length])
                    open_ties[pitch] = tones[-1]
                if tie not in ("start", "continue"):
                    open_ties.pop(pitch, None)
    return sorted([t for t in tones], key=lambda t: (t[1], t[0]))


def played_tones(track, ticks_per_beat):
    """[pitch, onset, length] of every note of a MIDI track."""
    now, sounding, tones = 0, {}, []
    for message in track:
        now += message.time
        if message.type == "note_on" and message.velocity > 0:
            sounding.setdefault(message.note, []).append(now)
        elif message.type in ("note_on", "note_off") and sounding.get(message.note):
            begun = sounding[message.note].pop(0)
            tones.append([message.note, begun / ticks_per_beat, (now - begun) / ticks_per_beat])
    if any(sounding.values()):
        raise ValueError(f"notes that never end: {sounding}")
    return sorted(tones, key=lambda t: (t[1], t[0]))


def parted(ours, theirs, same):
    """Where two lists part, in words; None where they do not."""
    for index in range(max(len(ours), len(theirs))):
        a = ours[index] if index < len(ours) else None
        b = theirs[index] if index < len(theirs) else None
        if a is None or b is None or not same(a, b):
            show = lambda x: "nothing" if x is None else " ".join(str(v) for v in x)
            return f"{index + 1} of {len(ours)}/{len(theirs)}: the score has {show(a)}, read back {show(b)}"
    return None


def tones_of(rows):
    return [[pitch, Fraction(onset), Fraction(length)] for pitch, onset, length in rows]


def agree(ours, theirs):
    """Equal wherever ours says anything."""
    return len(ours) == len(theirs) and all(a is None or a == b for a, b in zip(ours, theirs))


def check_musicxml(path, held, given_up):
    score = converter.parseFile(path, format="musicxml", forceSource=True, storePickle=False)
    starts = [Fraction(s) for s in held["starts"]]
    if len(score.parts) != 2:
        yield f"{len(score.parts)} staves read back, expected two"
        return
    for hand, part in zip(("right", "left"), score.parts):
        count = len(part.getElementsByClass(stream.Measure))
        if count != len(starts):
            yield f"{hand} hand: {count} measures read back, written were {len(starts)}"
        found = parted(tones_of(held[hand]), written_tones(part, starts), lambda a, b: a == b)
        if found:
            yield f"{hand} hand: tone {found}"
    facts = part_facts(score.parts[0], lambda measure: measure.highestTime)
    for name in ("keys", "meters", "chords"):
        theirs = [[i, *row[:4]] for i, m in enumerate(facts["measures"]) for row in m[name]]
        if name != "chords":
            theirs = [row for before, row in zip([None, *theirs], theirs) if before is None or before[2] != row[2]]
        found = parted(held[name], theirs, agree)
        if found:
            yield f"{name}: {found}"
    if held["order"] is not None and facts["order"] is None:
        given_up.append(path.stem)
    elif held["order"] is not None and facts["order"] != held["order"]:
        yield f"playing order {facts['order']}, expected {held['order']}"


def holds(strings, index, end):
    """The pluck at this index of one string sounds until `end`, or until the string is plucked again."""
    _, onset, length = strings[index]
    again = strings[index + 1][1] if index + 1 < len(strings) else end
    return abs(onset + length - min(end, again)) < TICK


def misplayed(expected, graces, track, ticks_per_beat):
    """Every tone of the score is played at its place, or within its slack after it where it is rolled or has grace notes, and until its end or
    the next pluck of its string; what is played besides is grace notes."""
    played = played_tones(track, ticks_per_beat)
    by_pitch = {}
    for tone in played:
        by_pitch.setdefault(tone[0], []).append(tone)
    matched = set()
    for pitch, onset, length, slack in ([p, *(float(Fraction(time)) for time in times)] for p, *times in expected):
        strings = by_pitch.get(pitch, [])
        within = [i for i, t in enumerate(strings) if onset - TICK < t[1] < onset + slack + TICK and (pitch, i) not in matched]
        if not within:
            yield f"{pitch} at {onset} is not played"
            continue
        holding = [i for i in within if holds(strings, i, onset + length)]
        matched.add((pitch, (holding or within)[0]))
        if not holding:
            yield f"{pitch} at {onset} does not sound until {onset + length} or its next pluck"
    if len(played) - len(matched) > graces:
        yield f"{len(played) - len(matched)} notes besides the score's, which has {graces} grace notes"


def check_midi(path, held):
    midi = mido.MidiFile(path)
    if midi.type != 1:
        yield f"a MIDI file of type {midi.type}, expected 1"
    if len(midi.tracks) != 3:
        yield f"{len(midi.tracks)} MIDI tracks, expected one for the tempo and one a hand"
        return
    for hand, track in zip(("right", "left"), midi.tracks[1:]):
        yield from (f"MIDI, {hand} hand: {found}" for found in misplayed(held[f"played_{hand}"], held[f"grace_{hand}"], track, midi.ticks_per_beat))
    if not any(m.type == "set_tempo" for m in midi.tracks[0]):
        yield "no tempo in the first MIDI track"


def findings(standard, folder, name, given_up):
    held = json.loads((folder / f"{name}.json").read_text("utf-8"))
    page = folder / f"{name}.musicxml"
    if not standard.validate(etree.parse(page, etree.XMLParser(no_network=True))):
        yield from (f"not valid at {error.path}: {error.message}" for error in list(standard.error_log)[:3])
    yield from check_musicxml(page, held, given_up)
    yield from check_midi(folder / f"{name}.mid", held)


def main(folder):
    warnings.simplefilter("ignore")
    # music21 makes very many small things that live long: looking for what can be thrown away takes a quarter of the time and finds little.
    gc.disable()
    standard = schema()
    names = sorted(p.stem for p in folder.glob("*.json"))
    given_up = []
    found = [f"{name}: {finding}" for name in names for finding in findings(standard, folder, name, given_up)]
    if len(given_up) > len(names) * MOST_GIVEN_UP:
        found.append(f"music21 could not say the playing order of {', '.join(given_up)}")
    print("\n".join(found) if found else f"{len(names)} scores valid and read back the same")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(pathlib.Path(sys.argv[1])))
