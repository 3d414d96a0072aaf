"""The chords that experts read in chorales: the Roman-numeral analyses that music21 bundles, laid on their scores measure by measure.

A row is [onset, end, pitch class of the root, kind, pitch class of the bass, tonic and mode of the key], times in quarter notes from the start of the
score as it is written. Kinds are the classes of `undersong chords --csv`, and music21's other sevenths under "other".
"""

import pathlib
import re

import music21
from music21 import converter, corpus, roman

ROOT = pathlib.Path(music21.__file__).parent
ANALYSES = ROOT / "corpus" / "bach" / "choraleAnalyses"

KINDS = {
    (0, 4, 7): "maj",
    (0, 3, 7): "min",
    (0, 3, 6): "dim",
    (0, 4, 8): "aug",
    (0, 4, 7, 10): "dom7",
    (0, 4, 7, 11): "maj7",
    (0, 3, 7, 10): "min7",
    (0, 3, 6, 10): "hdim7",
    (0, 3, 6, 9): "dim7",
    # Sevenths and ninths without a fifth.
    (0, 4, 10): "dom7",
    (0, 4): "maj",
    (0, 3): "min",
}

TONES = {name: tones for tones, name in reversed(KINDS.items())}

# The least share of the notes' time that belongs to the chords of an analysis laid on its own score.
LEAST = 0.85


def kind(chord):
    root = chord.root().pitchClass
    return KINDS.get(tuple(sorted({(p.pitchClass - root) % 12 for p in chord.pitches})), "other")


def rows(analysis, starts, length):
    """The chords of the analysis at the places that its measures have in the score."""
    found = []
    for numeral in analysis.recurse().getElementsByClass(roman.RomanNumeral):
        measure = numeral.getContextByClass("Measure")
        start = starts.get(measure.number)
        if start is None:
            continue
        key = numeral.key.tonicPitchNameWithCase
        found.append([float(start + numeral.offset), None, numeral.root().pitchClass, kind(numeral), numeral.bass().pitchClass, key])
    found.sort(key=lambda row: row[0])
    for row, after in zip(found, [*found[1:], [length]]):
        row[1] = after[0]
    return [row for row in found if row[1] > row[0]]


def chorales():
    for path in sorted(ANALYSES.glob("*.rntxt")):
        number = re.search(r"^BWV: *([\d.]+)", path.read_text("utf-8"), re.MULTILINE)
        found = corpus.getWork(f"bach/bwv{number[1]}")
        source = next(f for f in (found if isinstance(found, list) else [found]) if pathlib.Path(f).suffix in (".mxl", ".xml"))
        score = converter.parse(source)
        # The second half of a measure that is written as two bears the number of the first.
        starts = {m.number: m.offset for m in reversed(score.parts[0].getElementsByClass("Measure"))}
        analysis = converter.parse(path, format="romantext")
        chords = rows(analysis, starts, float(score.highestTime))
        up, share = transposition(chords, score)
        for row in chords:
            row[2], row[4] = (row[2] + up) % 12, (row[4] + up) % 12
        file = pathlib.Path(source).relative_to(ROOT).as_posix()
        # Where the score is another version than the one analysed (repeats written out, other measures), the two cannot be laid over each other.
        yield {"file": file, "up": up, "fits": round(share, 3), "chords": chords if share >= LEAST else []}


def transposition(chords, score):
    """How many semitones the score stands above the analysis, and the share of its notes' time that is then of the chord."""
    notes = [(float(n.offset), float(n.offset + n.quarterLength), p.pitchClass) for n in score.flatten().notes for p in n.pitches]
    shares = []
    for up in range(12):
        within = total = 0.0
        for start, end, root, name, *_ in chords:
            tones = {(root + up + t) % 12 for t in TONES.get(name, range(12))}
            for a, b, pitch in notes:
                overlap = min(b, end) - max(a, start)
                if overlap > 0:
                    total += overlap
                    within += overlap * (pitch in tones)
        shares.append(within / total if total else 0.0)
    best = max(range(12), key=lambda up: shares[up])
    return best, shares[best]


def analyses():
    return {"root": str(ROOT), "scores": list(chorales())}
