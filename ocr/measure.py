"""Read a folder of photos and hold the readings against its truth file."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ocr import score
from ocr.peers import peers_of
from ocr.pipeline import read_ring

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from ocr.reading import Glyph, Line, PhotoReading, Reading

CLAIM_DEG = 58.0
"""Characters further round are left out: there the truth lists not all."""
SAME_PLACE_DEG = 9.0
"""A character read this near to a true one is taken for it."""
_LEAST_IN_ORDER = 0.6
"""Share of a line that must stand in a true line for its order to count."""


@dataclass
class Tally:
    """Counts of one group of rings."""

    photos: int = 0
    found: int = 0
    characters: int = 0
    right: int = 0
    rings: int = 0
    whole: int = 0
    seconds: list[float] = field(default_factory=list)


@dataclass
class Card:
    """Everything measured in one run."""

    groups: dict[str, Tally] = field(default_factory=lambda: defaultdict(Tally))
    no_ring: dict[str, int] = field(
        default_factory=lambda: {"photos": 0, "false_text": 0, "false_ring": 0}
    )
    claims: list[tuple[float, bool]] = field(default_factory=list)
    """Chance claimed for a character, and whether it was right."""
    presence: list[tuple[float, bool]] = field(default_factory=list)
    """Chance claimed that one stands somewhere, and whether one did."""
    naming: list[tuple[float, bool]] = field(default_factory=list)
    """Of those that stood: chance claimed for the name, and whether it was right."""
    peers: dict[str, dict[str, Tally]] = field(default_factory=dict)


def is_held(ring_id: str) -> bool:
    """Whether a ring, such as "r05", is kept out of all tuning."""
    return int(ring_id.lstrip("rn") or 0) % 3 == 2


def measure(
    folder: Path,
    *,
    only: set[str] | None = None,
    split: str = "",
    with_peers: bool = False,
    read: Callable[[Sequence[Path]], Reading] = read_ring,
    told: Callable[[str], None] = lambda _: None,
) -> tuple[Card, dict[str, Any]]:
    """Read every photo of a folder and hold the readings against the truth.

    Args:
        folder: Photos and their `truth.json`.
        only: Difficulties to read; all if None.
        split: "held", "tuned" or "" for both.
        with_peers: Measure other readers on the same photos too.
        read: The reader to measure.
        told: Called with the name of each ring as it begins.

    Returns:
        The card, and the readings themselves as plain data.
    """
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    card = Card()
    kept: dict[str, Any] = {"photos": {}, "rings": {}}
    for ring in truth["rings"]:
        if (only and ring["difficulty"] not in only) or not _in_split(
            ring["id"], split
        ):
            continue
        told(ring["id"])
        paths = [_path(folder, photo) for photo in ring["photos"]]
        reading = read(paths)
        _keep(kept, ring["id"], reading)
        _count_ring(card, ring, reading)
        if with_peers:
            _count_peers(card, ring, paths, reading)
    for photo in truth.get("no_ring", []) if not only else []:
        path = _path(folder, photo)
        if not _in_split(path.stem.split("_")[0], split):
            continue
        told(path.stem)
        _count_no_ring(card, read([path]).photos[0], kept)
    return card, kept


def _in_split(ring_id: str, split: str) -> bool:
    return not split or is_held(ring_id) == (split == "held")


def _path(folder: Path, photo: Mapping[str, Any]) -> Path:
    return folder / Path(photo["file"]).name


def _keep(kept: dict[str, Any], ring_id: str, reading: Reading) -> None:
    for p in reading.photos:
        kept["photos"][p.file] = {
            "ring_found": p.ring_found,
            "outline": [list(point) for point in p.outline],
            "lines": [line.text for line in p.lines],
            "seconds": p.seconds,
        }
    kept["rings"][ring_id] = {"lines": [line.text for line in reading.lines]}


def _count_ring(card: Card, ring: Mapping[str, Any], reading: Reading) -> None:
    tallies = [card.groups[g] for g in ("all", ring["difficulty"], ring["marking"])]
    for photo, read in zip(ring["photos"], reading.photos, strict=True):
        wrong, total = _photo_errors(photo, [line.text for line in read.lines])
        found = bool(read.ring_found and read.outline) and (
            score.overlap(read.outline, photo) >= score.FOUND_OVERLAP
        )
        for tally in tallies:
            tally.photos += 1
            tally.found += found
            tally.characters += total
            tally.right += total - wrong
            tally.seconds.append(read.seconds)
        card.claims.extend(claims_of(photo, read))
        presence, naming = parts_of_claims(photo, read)
        card.presence.extend(presence)
        card.naming.extend(naming)
    if ring.get("union_complete"):
        whole = score.inscription_right(
            ring["inscription"], [line.text for line in reading.lines]
        )
        for tally in tallies:
            tally.rings += 1
            tally.whole += whole


def _photo_errors(photo: Mapping[str, Any], lines: Sequence[str]) -> tuple[int, int]:
    if not photo["legible"]:
        return 0, 0
    return score.photo_errors([v["text"] for v in photo["visible"]], lines)


def claims_of(photo: Mapping[str, Any], read: PhotoReading) -> list[tuple[float, bool]]:
    """Chance and outcome of each character read where the truth covers the ring.

    A character is right where the truth has the same one at that angle, or in that
    order in a line most of which was read. One read where there is none is wrong: a
    chance must answer for made-up characters too.
    """
    return [(g.probability, right) for g, right, _ in _outcomes(photo, read)]


def parts_of_claims(
    photo: Mapping[str, Any], read: PhotoReading
) -> tuple[list[tuple[float, bool]], list[tuple[float, bool]]]:
    """Chances and outcomes of what `claims_of` counts: presence, and naming."""
    presence, naming = [], []
    for glyph, right, there in _outcomes(photo, read):
        stands = min(1.0, sum(chance for _, chance in glyph.alternatives))
        presence.append((stands, there))
        if there and stands:
            naming.append((glyph.probability / stands, right))
    return presence, naming


def _outcomes(
    photo: Mapping[str, Any], read: PhotoReading
) -> list[tuple[Glyph, bool, bool]]:
    """Each character with whether it is right, and whether one stands there."""
    glyphs = [
        (g, in_order)
        for line in read.lines
        for g, in_order in zip(line.glyphs, _in_order(photo, line), strict=True)
        if score.letters(g.text) and abs(g.phi_deg) < CLAIM_DEG
    ]

    def seen(way: int) -> list[tuple[Glyph, bool, bool]]:
        found = []
        for glyph, in_order in glyphs:
            near = [c for c in photo["visible_chars"] if _is_near(c, glyph, way)]
            alike = any(
                score.letters(c["ch"]) == score.letters(glyph.text) for c in near
            )
            found.append((glyph, in_order or alike, in_order or bool(near)))
        return found

    # The strip may lie the other way up than the truth's own frame.
    return max(seen(1), seen(-1), key=lambda found: sum(right for _, right, _ in found))


def _is_near(seen: Mapping[str, Any], glyph: Glyph, way: int) -> bool:
    return bool(abs(seen["phi_rel"] - way * glyph.phi_deg) < SAME_PLACE_DEG)


def _in_order(photo: Mapping[str, Any], line: Line) -> list[bool]:
    """Which characters of a line stand so in a true line, wherever the angle put them.

    Where a rim is taken for another, angles are off and the characters are right.
    """
    read = [score.letters(g.text) or " " for g in line.glyphs]
    lines: dict[int, list[str]] = defaultdict(list)
    for c in sorted(photo["visible_chars"], key=lambda c: c.get("idx", 0)):
        lines[c.get("line", 0)].append(score.letters(c["ch"]) or " ")
    most: set[int] = set()
    for true in lines.values():
        matcher = SequenceMatcher(None, true, read, autojunk=False)
        alike = {
            at
            for block in matcher.get_matching_blocks()
            for at in range(block.b, block.b + block.size)
        }
        most = max(most, alike, key=len)
    if len(most) < _LEAST_IN_ORDER * len(read):
        most = set()
    return [at in most for at in range(len(read))]


def _count_no_ring(card: Card, read: PhotoReading, kept: dict[str, Any]) -> None:
    lines = [line.text for line in read.lines]
    kept["photos"][read.file] = {"ring_found": read.ring_found, "lines": lines}
    card.no_ring["photos"] += 1
    card.no_ring["false_text"] += any(score.letters(text) for text in lines)
    card.no_ring["false_ring"] += read.ring_found


def _count_peers(
    card: Card, ring: Mapping[str, Any], paths: Sequence[Path], reading: Reading
) -> None:
    for name, peer in peers_of().items():
        for photo, path, read in zip(
            ring["photos"], paths, reading.photos, strict=True
        ):
            lines, seconds = peer(path, read)
            wrong, total = _photo_errors(photo, lines)
            for group in ("all", ring["difficulty"]):
                tally = card.peers.setdefault(name, {}).setdefault(group, Tally())
                tally.photos += 1
                tally.characters += total
                tally.right += total - wrong
                tally.seconds.append(seconds)
