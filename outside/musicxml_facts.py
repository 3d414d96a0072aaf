"""Facts about one MusicXML score, read by music21 at sounding pitch."""

import re

from music21 import converter, stream

from stream_facts import part_facts


def score_facts(path):
    """All parts, pitches as they sound. A part of several staves is one for each staff; `place` counts the source's parts from 1."""
    score = converter.parseFile(path, format="musicxml", forceSource=True, storePickle=False)
    score.toSoundingPitch(inPlace=True)
    title = (score.metadata.title if score.metadata else "") or ""
    parts = []
    place = 0
    for part in score.parts:
        staff = re.search(r"-Staff(\d+)$", str(part.id)) if isinstance(part, stream.PartStaff) else None
        staff = int(staff[1]) if staff else 1
        place += staff == 1
        parts.append({"place": place, "staff": staff} | part_facts(part, lambda measure: measure.highestTime))
    return {"title": title, "parts": parts}
