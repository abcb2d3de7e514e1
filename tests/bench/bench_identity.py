"""From real pictures to the bird, in a flock of 10,000 rings that differ by a digit.

Run: python tests/bench/bench_identity.py DIR [--cache FILE]. DIR holds pictures
with a truth.json. For each ring of DIR neighbours are invented in the same style
and series, so that a wrong digit is a wrong bird. It prints and asserts nothing.
"""

import argparse
import itertools
import json
import pickle
import random
import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from ledger.domain import Bird, Flock, Ring, RingKind, RingState
from ledger.services.identify import by_reading
from ocr import read_ring
from ocr.join import join

N_RINGS = 10_000
COLOURS = {
    "natural aluminium": "silver",
    "stainless steel": "silver",
    "limegreen": "green",
    "lightblue": "blue",
}
SAME = str.maketrans("OI", "01")


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("folder", type=Path)
    asked.add_argument("--cache", type=Path, help="keep readings here between runs")
    given = asked.parse_args()
    truth = json.loads((given.folder / "truth.json").read_text("utf-8"))
    readings = read_all(given.folder, truth, given.cache)
    flock, bird_of = a_flock(truth["rings"])
    print(f"{len(flock.rings)} rings on record")
    for name, keep in (
        ("easy and medium", {"easy", "medium"}),
        ("hard", {"hard"}),
        ("untouched third", None),
    ):
        rings = [
            r
            for r in truth["rings"]
            if (r["difficulty"] in keep if keep else int(r["id"][1:]) % 3 == 2)
        ]
        one_photo(name, rings, readings, flock, bird_of)
        all_photos(name, rings, readings, flock, bird_of)
    strangers(truth["rings"], readings, flock, bird_of)


def read_all(folder, truth, cache):
    if cache and cache.exists():
        return pickle.loads(cache.read_bytes())
    readings = {
        ring["id"]: read_ring(
            [folder / Path(photo["file"]).name for photo in ring["photos"]]
        )
        for ring in truth["rings"]
    }
    if cache:
        cache.write_bytes(pickle.dumps(readings))
    return readings


def a_flock(rings):
    """Every true ring with neighbours that differ in a digit, a year or a letter."""
    rng = random.Random(3)
    things, bird_of, taken = [], {}, set()
    true = [" / ".join(line["text"] for line in ring["inscription"]) for ring in rings]
    taken.update(true)

    def add(text, ring):
        n = len(things) // 2
        bird = Bird(id=f"b{n}", name=f"Bird {n}", species="Psittacus erithacus")
        kind = RingKind.CLOSED if ring["kind"] == "closed" else RingKind.SPLIT
        things.extend(
            [
                bird,
                Ring(
                    id=f"r{n}",
                    inscription=text,
                    kind=kind,
                    colour=COLOURS.get(ring["color"], ring["color"]),
                    bird=bird.id,
                    state=RingState.ON_BIRD,
                ),
            ]
        )
        return bird.id

    for ring, text in zip(rings, true, strict=True):
        bird_of[ring["id"]] = add(text, ring)
        for _ in range(N_RINGS // len(rings) - 1):
            near = neighbour(rng, ring, taken)
            taken.add(near)
            add(near, ring)
    return Flock.of(things), bird_of


def neighbour(rng, ring, taken):
    for _ in range(200):
        lines = []
        many = rng.random() < 0.5
        for line in ring["inscription"]:
            text = line["text"]
            for field in line["fields"]:
                if field["type"] == "serial" or (field["type"] == "year" and many):
                    text = text.replace(field["text"], changed(rng, field["text"]), 1)
            lines.append(text)
        near = " / ".join(lines)
        if near not in taken:
            return near
    # A short serial has few neighbours: other breeders' codes fill the rest.
    letters = [
        rng.choice("ABCDEFGHIJKLMNOPQRSTUVWXYZ") if c.isalpha() else c
        for c in " / ".join(line["text"] for line in ring["inscription"])
    ]
    return "".join(
        rng.choice("0123456789") if c.isdigit() and rng.random() < 0.3 else c
        for c in letters
    )


def changed(rng, digits):
    at = [i for i, c in enumerate(digits) if c.isdigit()]
    out = list(digits)
    for i in rng.sample(at, min(len(at), rng.choice((1, 1, 1, 2)))):
        out[i] = rng.choice([d for d in "0123456789" if d != out[i]])
    return "".join(out)


def fits(inscription, pieces):
    """Whether an inscription can show these pieces of lines, each in its own place.

    A piece may run over the seam of a line that goes round; short ones do not.
    """
    lines = [s.replace(" ", "").translate(SAME) for s in inscription.split(" / ")]
    ways = [list(places(lines, piece)) for piece in pieces]
    return any(
        sum(map(len, way)) == len(frozenset().union(*way))
        for way in itertools.product(*ways)
    )


def places(lines, piece):
    """Every set of places, (line, character), where the lines say this."""
    for n, line in enumerate(lines):
        shown = line + line if len(line) > 3 else line
        for start in range(min(len(line), len(shown) - len(piece) + 1)):
            if shown.startswith(piece, start) and len(piece) <= len(line):
                yield frozenset((n, (start + k) % len(line)) for k in range(len(piece)))


def pieces_of(photo):
    return [
        part.replace(" ", "").translate(SAME)
        for line in photo["visible"]
        for part in line["text"].split("|")
        if part.strip()
    ]


def one_photo(name, rings, readings, flock, bird_of):
    tries = first = ambiguous_sure = 0
    verdicts, wrong, seconds = Counter(), [], []
    for ring in rings:
        for photo, read in zip(
            ring["photos"], readings[ring["id"]].photos, strict=True
        ):
            pieces = pieces_of(photo)
            if sum(map(len, pieces)) < 4:
                continue
            tries += 1
            begun = time.perf_counter()
            found = by_reading(flock, join([read]))
            seconds.append(time.perf_counter() - begun)
            top = found.candidates[0] if found.candidates else None
            first += bool(top) and fits(top.ring, pieces)
            verdicts[found.verdict] += 1
            if found.verdict == "sure":
                left = sum(fits(r.inscription, pieces) for r in flock.rings.values())
                ambiguous_sure += left > 1
                if top.bird != bird_of[ring["id"]]:
                    wrong.append((photo["file"], top.ring))
    seconds.sort()
    print(
        f"{name}: one photo, four or more legible characters, {tries}: first right"
        f" or not to be told from it {first / max(tries, 1):.1%}; {dict(verdicts)};"
        f" sure and wrong {len(wrong)} {wrong}; sure though the view leaves two"
        f" {ambiguous_sure}; {seconds[len(seconds) // 2] * 1000:.0f} ms a ranking"
    )


def all_photos(name, rings, readings, flock, bird_of):
    first, verdicts, wrong, unlike = 0, Counter(), [], []
    whole = [ring for ring in rings if ring["union_complete"]]
    for ring in whole:
        found = by_reading(flock, replace(readings[ring["id"]]))
        top = found.candidates[0].bird if found.candidates else None
        verdicts[found.verdict] += 1
        first += top == bird_of[ring["id"]]
        if top != bird_of[ring["id"]]:
            unlike.append(ring["id"])
            if found.verdict == "sure":
                wrong.append(ring["id"])
    n = max(len(whole), 1)
    print(
        f"{name}: all photos of a ring, {len(whole)}: first right {first / n:.1%};"
        f" sure {verdicts['sure'] / n:.1%} {dict(verdicts)};"
        f" sure and wrong {len(wrong)}; not first: {unlike}\n"
    )


def strangers(rings, readings, flock, bird_of):
    """The same rings as strangers': only their neighbours are on record."""
    true = set(bird_of.values())
    birds = [bird for bird in flock.birds.values() if bird.id not in true]
    others = [ring for ring in flock.rings.values() if ring.bird not in true]
    without = Flock.of([*birds, *others])
    verdicts, sure = Counter(), []
    for ring in rings:
        reading = readings[ring["id"]]
        for read in (reading, *(join([photo]) for photo in reading.photos)):
            found = by_reading(without, read)
            verdicts[found.verdict] += 1
            if found.verdict == "sure":
                sure.append((ring["id"], read.text, found.candidates[0].ring))
    print(f"strangers' rings, each set and each photo: {dict(verdicts)}; sure: {sure}")


if __name__ == "__main__":
    main()
