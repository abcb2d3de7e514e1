"""How well rings are read: a folder of photos with a truth file, measured.

    python -m ocr.scorecard DIR [DIR ...] [--only easy,medium,hard]
                            [--split held|tuned] [--peers] [--json] [--calibrate]

Rings whose number leaves 2 when divided by 3 are held: nothing is tuned on them.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ocr import calibration
from ocr.errors import OcrError
from ocr.measure import measure

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ocr.measure import Card, Tally

_BINS = (0.0, 0.5, 0.7, 0.85, 0.95, 0.99, 1.001)


def as_json(card: Card) -> dict[str, Any]:
    """The card as plain data."""
    return {
        "groups": {g: _row(t) for g, t in card.groups.items()},
        "no_ring": card.no_ring,
        "reliability": reliability(card.claims),
        "peers": {
            name: {g: _row(t) for g, t in groups.items()}
            for name, groups in card.peers.items()
        },
    }


def _row(tally: Tally) -> dict[str, Any]:
    return {
        "photos": tally.photos,
        "ring_found": tally.found / tally.photos if tally.photos else None,
        "characters": tally.characters,
        "characters_right": tally.right / tally.characters
        if tally.characters
        else None,
        "rings": tally.rings,
        "whole_inscription": tally.whole / tally.rings if tally.rings else None,
        "seconds_per_photo": statistics.median(tally.seconds)
        if tally.seconds
        else None,
    }


def reliability(claims: Sequence[tuple[float, bool]]) -> list[dict[str, float]]:
    """Of the characters given a chance, how many were right."""
    rows = []
    for k, low in enumerate(_BINS[:-1]):
        inside = [c for c in claims if low <= c[0] < _BINS[k + 1]]
        if inside:
            rows.append(
                {
                    "from": low,
                    "to": min(_BINS[k + 1], 1.0),
                    "characters": len(inside),
                    "claimed": sum(p for p, _ in inside) / len(inside),
                    "right": sum(ok for _, ok in inside) / len(inside),
                }
            )
    return rows


def as_text(card: Card) -> str:
    """The card as a table for people."""
    head = f"{'group':14}{'photos':>7}{'found':>8}{'chars right':>13}{'of':>6}"
    out = [head + f"{'rings':>7}{'whole':>8}{'s/photo':>9}"]
    out += [_text_row(group, _row(tally)) for group, tally in card.groups.items()]
    out.append(
        "no ring: {photos} photos, {false_text} with text, {false_ring} with a ring"
        "".format(**card.no_ring)
    )
    out.append("chance given   characters   right")
    out += [
        f"{r['from']:.2f} - {r['to']:.2f}{r['characters']:13.0f}{_share(r['right']):>8}"
        for r in reliability(card.claims)
    ]
    for name, groups in card.peers.items():
        out += [_text_row(f"{name}, {g}", _row(t)) for g, t in groups.items()]
    return "\n".join(out)


def _text_row(name: str, row: Mapping[str, Any]) -> str:
    seconds = row["seconds_per_photo"]
    return (
        f"{name:14}{row['photos']:7}{_share(row['ring_found']):>8}"
        f"{_share(row['characters_right']):>13}{row['characters']:6}"
        f"{row['rings']:7}{_share(row['whole_inscription']):>8}"
        f"{'-' if seconds is None else format(seconds, '.2f'):>9}"
    )


def _share(value: float | None) -> str:
    return "-" if value is None else f"{100 * value:.1f}%"


def _arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m ocr.scorecard", description="Measure how well rings are read."
    )
    parser.add_argument(
        "folders", type=Path, nargs="+", help="photos with their truth.json"
    )
    parser.add_argument("--only", help="difficulties, such as easy,medium")
    parser.add_argument("--split", choices=["held", "tuned"], default="")
    parser.add_argument("--peers", action="store_true", help="other readers as well")
    parser.add_argument("--json", action="store_true", help="plain data")
    parser.add_argument("--readings", type=Path, help="keep the readings in this file")
    parser.add_argument(
        "--calibrate", action="store_true", help="keep what was measured (tuned only)"
    )
    return parser.parse_args(arguments)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the scorecard; 0, or 2 where it cannot be measured."""
    asked = _arguments(arguments)
    for folder in asked.folders:
        if not (folder / "truth.json").is_file():
            print(f"{folder} holds no truth.json.", file=sys.stderr)
            return 2
    if asked.calibrate:
        # Claims are measured as they are made, not as older curves correct them.
        calibration.keep_curves([], [])
    try:
        measured = [_measured(folder, asked) for folder in asked.folders]
    except OcrError as error:
        print(f"{error} {error.hint}", file=sys.stderr)
        return 2
    cards = [card for card, _ in measured]
    if asked.json:
        print(
            json.dumps(_by_folder(asked, [as_json(card) for card in cards]), indent=1)
        )
    else:
        print("\n\n".join(as_text(card) for card in cards))
    if asked.readings:
        kept = _by_folder(asked, [readings for _, readings in measured])
        asked.readings.write_text(json.dumps(kept), encoding="utf-8")
    if asked.calibrate:
        calibration.keep_curves(
            [claim for card in cards for claim in card.presence],
            [claim for card in cards for claim in card.naming],
        )
    return 0


def _by_folder(asked: argparse.Namespace, of_each: list[Any]) -> Any:
    """What is kept of each folder, by its name; of a single one, as it is."""
    if len(of_each) == 1:
        return of_each[0]
    return dict(zip(map(str, asked.folders), of_each, strict=True))


def _measured(folder: Path, asked: argparse.Namespace) -> tuple[Card, dict[str, Any]]:
    measured = measure(
        folder,
        only=set(asked.only.split(",")) if asked.only else None,
        split="tuned" if asked.calibrate else asked.split,
        with_peers=asked.peers,
        told=lambda name: print(name, end=" ", file=sys.stderr, flush=True),
    )
    print(file=sys.stderr)
    return measured


if __name__ == "__main__":
    sys.exit(main())
