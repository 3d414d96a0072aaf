"""Reads tunes of music21's corpus with music21 and writes what it finds as JSON, for the tests of the crate `outside` to compare with.

    facts.py FOLDER

writes FOLDER/abc.json and FOLDER/musicxml.json: {"key", "root", "tunes": [{"file", "name", "tune", "title", "seconds", "parts"} …]}. `file` is
below `root`, music21's own folder, `name` the same with a short word for the folder of the unofficial MusicXML test suite; `error` instead of `parts`
where music21 itself gave up. FOLDER/kinds.json has the chord kinds, FOLDER/chords.json the chords that experts read in chorales. Nothing is done for
what was written by these same sources already. One process reads all files of a format; the two formats are read at the same time.
"""

import hashlib
import json
import multiprocessing
import pathlib
import re
import sys
import time
import warnings

import music21

import abc_facts
import chords_facts
import kinds_facts
import musicxml_facts

HERE = pathlib.Path(__file__).parent
ROOT = pathlib.Path(music21.__file__).parent

# How many tunes of each ABC file, and every how manieth file, in each folder of the corpus: every collection, spread over its whole length.
# Tunes with chord symbols are rare in it: all of them are read.
ABC_FOLDERS = {
    "airdsAirs": (24, 1),
    "essenFolksong": (12, 1),
    "josquin": (4, 1),
    "miscFolk": (30, 1),
    "nottingham-dataset": (2, 1),
    "oneills1850": (6, 1),
    "ryansMammoth": (1, 5),
}

# Every how manieth MusicXML file of each folder of the corpus; folders not named: every one.
MUSICXML_EVERY = {"bach": 4, "trecento": 5}

# Larger files take music21 minutes, in bytes by kind of file.
LARGEST = {".xml": 300_000, ".mxl": 20_000, ".musicxml": 300_000}


# The folder in which music21 carries the unofficial MusicXML test suite.
SUITE = re.compile(r"\w*TestSuite/")


def abc_tunes():
    """(file, number) of every ABC tune to read."""
    for folder, (count, step) in ABC_FOLDERS.items():
        for place, path in enumerate(sorted((ROOT / "corpus" / folder).glob("*.abc"))):
            numbers, with_chords = abc_facts.numbers(path.read_text("utf-8"))
            stride = max(1, len(numbers) // count)
            chosen = {*with_chords, *(numbers[::stride][:count] if place % step == 0 else [])}
            for number in sorted(chosen):
                yield path, number


def musicxml_scores():
    """(file, None) of every MusicXML score to read: the corpus, then the test suite."""
    folders = [f for f in sorted((ROOT / "corpus").iterdir()) if f.is_dir()]
    for folder in [*folders, ROOT / "musicxml"]:
        files = sorted(p for p in folder.rglob("*") if p.suffix in LARGEST and p.stat().st_size <= LARGEST[p.suffix])
        for path in files[:: MUSICXML_EVERY.get(folder.name, 1)]:
            yield path, None


def read(path, number):
    started = time.perf_counter()
    file = path.relative_to(ROOT).as_posix()
    entry = {"file": file, "name": SUITE.sub("test-suite/", file), "tune": number}
    try:
        if number is None:
            entry |= musicxml_facts.score_facts(path)
        else:
            entry |= abc_facts.tune_facts(path.read_text("utf-8"), number)
    except Exception as error:
        entry["error"] = f"{type(error).__name__}: {error}"
    entry["seconds"] = round(time.perf_counter() - started, 4)
    return entry


def tunes(sources):
    return {"root": str(ROOT), "tunes": [read(path, number) for path, number in sources()]}


CONTENTS = {
    "abc": lambda: tunes(abc_tunes),
    "musicxml": lambda: tunes(musicxml_scores),
    "kinds": lambda: {"kinds": kinds_facts.kinds()},
    "chords": chords_facts.analyses,
}


def write(name, folder, key):
    warnings.simplefilter("ignore")
    target = folder / f"{name}.json"
    written = target.with_suffix(".new")
    written.write_text(json.dumps({"key": key} | CONTENTS[name]()), "utf-8")
    written.rename(target)


def key_of_sources():
    """Changes with the version and place of music21 and with every source of the facts."""
    digest = hashlib.sha256(f"{music21.__version__} {ROOT}".encode())
    for source in sorted(HERE.glob("*facts.py")):
        digest.update(source.read_bytes())
    return digest.hexdigest()


def is_current(path, key):
    """The key stands at the very start of the file."""
    if not path.exists():
        return False
    with path.open(encoding="utf-8") as file:
        return file.read(len(key) + 20).startswith(f'{{"key": "{key}"')


def main(folder):
    folder.mkdir(parents=True, exist_ok=True)
    key = key_of_sources()
    due = [name for name in CONTENTS if not is_current(folder / f"{name}.json", key)]
    if due:
        print("reading the outside's tunes with music21 (a minute or two, once)", flush=True)
        with multiprocessing.Pool(2) as pool:
            pool.starmap(write, [(name, folder, key) for name in due], chunksize=1)


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]))
