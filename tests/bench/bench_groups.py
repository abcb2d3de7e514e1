"""Photos of many rings in one folder: sorted by ring and read, against the truth.

    python tests/bench/bench_groups.py DIR [DIR ...] [--photos 60] [--no-times]

Each DIR holds photos and a `truth.json` (`rings[].photos[].file`, `no_ring[].file`).
Whole rings are taken from the first folder on, those without a ring too, until there
are as many photos as asked for. They are copied into one folder under names that tell
nothing, in the order of a phone: the photos of a ring a few seconds apart, two minutes
between rings (written as EXIF time). `--no-times` leaves the times out and shuffles.

Printed: seconds; of the rings how many groups are right (all photos of one ring and no
other); pairs of photos put together wrongly or not put together; of the rings how many
inscriptions were read right, read wrong, and left undecided by the matcher.
"""

from __future__ import annotations

import argparse
import datetime as dt
import itertools
import json
import pickle
import random
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from PIL import Image

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from ledger.domain.ring import compact  # noqa: E402
from ledger.services import book, photo_folder, photo_groups  # noqa: E402
from ledger.services.identify import by_reading  # noqa: E402

_SECONDS_BETWEEN_PHOTOS, _SECONDS_BETWEEN_RINGS = 6, 120


def chosen(folders: list[Path], at_most: int) -> list[tuple[str, str, list[Path]]]:
    """Ring name, inscription and photos of each; ("", "", [photo]) without a ring."""
    found: list[tuple[str, str, list[Path]]] = []
    for folder in folders:
        truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
        for ring in truth["rings"]:
            lines = [line["text"] for line in ring["inscription"]]
            photos = [folder / photo["file"] for photo in ring["photos"]]
            name = f"{folder.name} {photos[0].name.split('_')[0]}"
            found.append((name, " / ".join(lines), photos))
        found += [("", "", [folder / each["file"]]) for each in truth["no_ring"]]
    kept, count = [], 0
    for name, text, photos in found:
        if count < at_most:
            kept.append((name, text, photos[: at_most - count]))
            count += len(kept[-1][2])
    return kept


def laid_out(
    rings: list[tuple[str, str, list[Path]]], folder: Path, *, times: bool
) -> dict[str, tuple[str, str]]:
    """Copies of the photos under other names; name to ring and inscription."""
    order = [(name, text, photo) for name, text, photos in rings for photo in photos]
    if not times:
        random.Random(3).shuffle(order)
    truth: dict[str, tuple[str, str]] = {}
    now = dt.datetime(2026, 5, 2, 9, 0, tzinfo=dt.UTC)
    before = None
    for number, (name, text, photo) in enumerate(order):
        apart = _SECONDS_BETWEEN_PHOTOS if name == before else _SECONDS_BETWEEN_RINGS
        now += dt.timedelta(seconds=apart)
        before = name
        copy = folder / f"IMG_{4100 + number}.jpg"
        if times:
            with Image.open(photo) as picture:
                exif = picture.getexif()
                exif.get_ifd(0x8769)[0x9003] = now.strftime("%Y:%m:%d %H:%M:%S")
                picture.save(copy, quality="keep", exif=exif)
        else:
            copy.write_bytes(photo.read_bytes())
        truth[copy.name] = (name, text)
    return truth


def judged(grouped: Any, truth: dict[str, tuple[str, str]], flock: Any) -> list[str]:
    """What came out, in lines."""
    of: dict[str, int] = {}
    for number, group in enumerate(grouped.groups):
        of |= {photo.path.name: number for photo in group.photos}
    rings = {name for name, _ in truth.values() if name}
    members = {
        ring: {file for file, (name, _) in truth.items() if name == ring and file in of}
        for ring in rings
    }
    whole = sum(
        bool(files)
        and {f for f, number in of.items() if number == of[min(files)]} == files
        for files in members.values()
    )
    wrong = missed = 0
    for one, other in itertools.combinations(sorted(of), 2):
        same = truth[one][0] == truth[other][0]
        wrong += of[one] == of[other] and not same
        missed += of[one] != of[other] and same
    counts = {"right": 0, "wrong": 0, "undecided": 0, "unknown, rightly": 0}
    details = []
    ours = {compact(ring.inscription): ring for ring in flock.rings.values()}
    for group in grouped.groups:
        names = [truth[p.path.name][0] for p in group.photos]
        ring = max(set(names), key=names.count)
        text = next(t for n, t in truth.values() if n == ring)
        said = by_reading(flock, group.reading)
        known = ours.get(compact(text))
        if said.verdict == "sure":
            right = known is not None and said.candidates[0].ring_id == known.id
            what = "right" if right else "wrong"
        elif said.verdict == "unknown ring":
            what = "unknown, rightly" if known is None else "wrong"
        else:
            what = "undecided"
        counts[what] += 1
        details.append(
            f"  {ring:<12} {text:<24} {len(names)} photos, "
            f"{len(set(names)) - 1} others; read “{group.reading.text}”: {what}"
        )
    exact = sum(
        compact(group.reading.text) == compact(truth[group.photos[0].path.name][1])
        for group in grouped.groups
    )
    apart = {
        why: [photo.path.name for photo in getattr(grouped, why)]
        for why in ("no_ring", "illegible", "unreadable", "copies")
    }
    rightly = sum(not truth[name][0] for name in apart["no_ring"])
    empty = sum(not name for name, _ in truth.values())
    return [
        *details,
        f"groups: {len(grouped.groups)} for {len(rings)} rings; exactly right {whole}; "
        f"pairs wrongly together {wrong}, not put together {missed}",
        f"birds: {counts}; whole inscriptions read right {exact}",
        f"set apart: no ring {len(apart['no_ring'])} ({rightly} of {empty} rightly), "
        f"illegible {len(apart['illegible'])}",
    ]


def main() -> None:
    """Sort, judge, print."""
    words = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    words.add_argument("folders", nargs="+", type=Path)
    words.add_argument("--photos", type=int, default=60)
    words.add_argument("--no-times", action="store_true")
    words.add_argument("--keep", type=Path, help="keep the readings in this file")
    asked = words.parse_args()
    rings = chosen(asked.folders, asked.photos)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        truth = laid_out(rings, folder, times=not asked.no_times)
        with book.open_ledger(ROOT / "demo_db", read_only=True) as ledger:
            flock = ledger.flock
        began = time.perf_counter()
        paths = photo_folder.photos_in([folder])
        if asked.keep and asked.keep.exists():
            photos = pickle.loads(asked.keep.read_bytes())
        else:
            photos = photo_folder.read_each(paths, lambda _: None, lambda: False)
        read = time.perf_counter()
        grouped = photo_groups.group(flock, photos)
        sorted_at = time.perf_counter()
        if asked.keep:
            asked.keep.write_bytes(pickle.dumps(photos))
    print("\n".join(judged(grouped, truth, flock)))
    print(
        f"{len(paths)} photos: read in {read - began:.1f} s "
        f"({(read - began) / len(paths):.2f} each), sorted in {sorted_at - read:.1f} s"
    )


if __name__ == "__main__":
    main()
