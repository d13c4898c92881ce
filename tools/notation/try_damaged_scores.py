#!/usr/bin/env python3
"""try_damaged_scores.py PROGRAM FOLDER [COUNT]

Damages the scores below FOLDER by chance, as careless programs and broken disks do, and has PROGRAM
(endpin_list_notes) read each: it must read it, or say one line and exit 1, within a second of
processor time and 512 MiB. Prints how many were read and refused; exits 1 at the first that is
neither, and leaves it behind as damaged-score. The same COUNT damages in the same ways.
"""

import random
import re
import resource
import subprocess
import sys
import zipfile
from pathlib import Path

ELEMENTS = ["duration", "divisions", "type", "voice", "pitch", "step", "octave", "rest", "chord",
            "backup", "forward", "time", "beats", "beat-type", "key", "attributes", "tie", "barline",
            "repeat", "ending", "part-list", "score-part", "measure", "staff", "note", "sound"]
NUMBERS = ["0", "-1", "", "1e9", "1000000000", "99999999999999999999", "0.0000001", "1/3", "NaN", "7"]


def pieces(text, name):
    return [m.span() for m in re.finditer(rf"<{name}\b[^>]*/>|<{name}\b[^>]*>.*?</{name}>", text, re.S)]


def cut(text, span, new=""):
    return text[:span[0]] + new + text[span[1]:]


def drop(text, chance):
    spans = pieces(text, chance.choice(ELEMENTS))
    return cut(text, chance.choice(spans)) if spans else text


def double(text, chance):
    spans = pieces(text, chance.choice(ELEMENTS))
    if not spans:
        return text
    span = chance.choice(spans)
    return cut(text, span, text[slice(*span)] * chance.choice([2, 2, 3, 50]))


def swap(text, chance):
    spans = pieces(text, chance.choice(["note", "backup", "attributes", "measure"]))
    if len(spans) < 2:
        return text
    a, b = sorted(chance.sample(spans, 2))
    if a[1] > b[0]:
        return text
    return text[:a[0]] + text[slice(*b)] + text[a[1]:b[0]] + text[slice(*a)] + text[b[1]:]


def number(text, chance):
    spans = [m.span(1) for m in re.finditer(r">(-?\d+)<", text)]
    return cut(text, chance.choice(spans), chance.choice(NUMBERS)) if spans else text


def move(text, chance):
    """Takes a piece away and puts it between two others."""
    spans = pieces(text, chance.choice(ELEMENTS))
    if not spans:
        return text
    span = chance.choice(spans)
    piece, rest = text[slice(*span)], cut(text, span)
    places = [m.end() for m in re.finditer(r"</(?:note|backup|attributes|measure|direction)>", rest)]
    at = chance.choice(places) if places else 0
    return rest[:at] + piece + rest[at:]


def inside(text, chance):
    places = [m.end() for m in re.finditer(r"<note\b[^>]*>", text)]
    word = chance.choice(["<chord/>", "<grace/>", "<cue/>", "<rest/>", "<unpitched/>"])
    at = chance.choice(places) if places else 0
    return text[:at] + word + text[at:]


def measures_out_of_step(text, chance):
    """One measure is lost in one part only."""
    spans = pieces(text, "measure")
    return cut(text, chance.choice(spans)) if spans else text


def truncate(text, chance):
    return text[:chance.randrange(len(text))]


def garble(text, chance):
    at = chance.randrange(len(text))
    return text[:at] + "".join(chr(chance.randrange(1, 300)) for _ in range(chance.randrange(1, 9))) + text[at:]


DAMAGES = [drop, drop, double, swap, number, number, move, inside, measures_out_of_step, truncate, garble]
ENCODINGS = ["utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "utf-16-be", "latin-1"]


def text_of(path):
    if path.suffix == ".mxl":
        with zipfile.ZipFile(path) as archive:
            name = next(n for n in archive.namelist() if n.endswith("xml") and "META" not in n)
            return archive.read(name).decode("utf-8", "replace")
    data = path.read_bytes()
    return data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8", "replace")


def limits():
    resource.setrlimit(resource.RLIMIT_AS, (512 << 20, 512 << 20))
    resource.setrlimit(resource.RLIMIT_CPU, (2, 2))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main():
    program, folder = sys.argv[1], Path(sys.argv[2])
    count = int(sys.argv[3]) if len(sys.argv) > 3 else 1000
    files = sorted(p for p in folder.rglob("*") if p.suffix in (".musicxml", ".xml", ".mxl") and p.is_file())
    texts = [t for t in map(text_of, files) if len(t) < 400_000]
    chance = random.Random(20261125)
    read = refused = 0
    damaged = Path("damaged-score")
    for _ in range(count):
        text = chance.choice(texts)
        for _ in range(chance.choice([1, 1, 2, 4, 8])):
            text = chance.choice(DAMAGES)(text, chance) or "x"
        damaged.write_bytes(text.encode(chance.choice(ENCODINGS), "replace"))
        run = subprocess.run([program, str(damaged), "/dev/null"], capture_output=True, text=True,
                             errors="replace", preexec_fn=limits, timeout=60)
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        was_read = run.returncode == 0
        said_one_line = run.returncode == 1 and run.stderr.count("\n") == 1
        if not (was_read or said_one_line):
            print(f"exit {run.returncode}: {run.stderr[:500]}")
            sys.exit(1)
        read += run.returncode == 0
        refused += run.returncode == 1
    damaged.unlink()
    print(f"{count} damaged scores: {read} read, {refused} refused in one line; "
          f"most memory {used.ru_maxrss // 1024} MiB, {used.ru_utime / count * 1000:.0f} ms each")


if __name__ == "__main__":
    main()
