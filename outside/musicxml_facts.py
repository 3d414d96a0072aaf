"""Facts about one MusicXML score, read by music21 at sounding pitch."""

from music21 import converter

from stream_facts import part_facts


def score_facts(path):
    """All parts (a part of several staves is one for each staff), pitches as they sound."""
    score = converter.parseFile(path, format="musicxml", forceSource=True, storePickle=False)
    score.toSoundingPitch(inPlace=True)
    title = (score.metadata.title if score.metadata else "") or ""
    return {"title": title, "parts": [part_facts(p, lambda measure: measure.highestTime) for p in score.parts]}
