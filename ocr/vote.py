"""Two readers, one answer: the network's characters and Tesseract's, combined.

Where both agree the chance rises, where they do not it falls and a doubt is
raised. How much is set by measurement (`ocr.calibration`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ocr.calibration import Calibration, calibrated, measured
from ocr.characters import ALPHABET
from ocr.reading import Glyph, Line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from ocr.characters import RawGlyph
    from ocr.lines import RawLine, Sheet

NETWORK, TESSERACT = "network", "tesseract"
_LOOKALIKES = {"O": "O0", "0": "O0", "I": "I1", "1": "I1"}
"""Several engraving faces draw these alike; a vote for one is one for both."""
_MISSING = 2.2
"""What it costs, in nats, to leave a character without partner."""


@dataclass(frozen=True)
class Said:
    """What Tesseract said at one place of a line."""

    text: str
    certainty: float
    s: float
    """Place along the line, in character heights from its start."""


def combine(
    line: RawLine,
    said: Sequence[Sequence[Said]],
    sheet: Sheet,
    calibration: Calibration,
) -> Line:
    """One line with both readers' votes.

    Args:
        line: The network's characters.
        said: Tesseract's answer to each rendering of the line.
        sheet: Size and span of the strip the line lies in.
        calibration: How far to trust each reader.
    """
    network = [calibration.sharpened(g.probabilities) * g.score for g in line.glyphs]
    places = places_along(line)
    ballots: list[dict[str, float]] = [{} for _ in network]
    heard = 0
    for answer in said:
        heard += bool(answer)
        for i, character in aligned(network, places, answer):
            ballot = ballots[i]
            ballot[character.text] = ballot.get(character.text, 0.0) + max(
                character.certainty, 0.1
            )
    glyphs = tuple(
        _glyph(g, gap, chances, ballot, heard, sheet, calibration)
        for g, gap, chances, ballot in zip(
            line.glyphs, line.gaps, network, ballots, strict=True
        )
    )
    return Line(glyphs, line.direction, line.cut_start, line.cut_end)


def places_along(line: RawLine) -> list[float]:
    """Place of each character along its line, in heights of a capital."""
    start, _ = extent(line)
    size = capital_px(line)
    return [abs(_s(g, line) - start) / size for g in line.glyphs]


def extent(line: RawLine) -> tuple[float, float]:
    """Where the line starts and ends along its own direction, pixels.

    For lines that are read upward the start is the larger number.
    """
    axial = line.direction != "around"
    low = min(_s(g, line) - (g.h if axial else g.w) / 2 for g in line.glyphs)
    high = max(_s(g, line) + (g.h if axial else g.w) / 2 for g in line.glyphs)
    return (high, low) if line.direction == "axial_up" else (low, high)


def capital_px(line: RawLine) -> float:
    """Height of the line's capitals in pixels of the strip."""
    axial = line.direction != "around"
    return float(max(np.median([g.w if axial else g.h for g in line.glyphs]), 1.0))


def _s(g: RawGlyph, line: RawLine) -> float:
    return g.x if line.direction == "around" else g.y


def aligned(
    network: Sequence[NDArray[np.float64]],
    places: Sequence[float],
    answer: Sequence[Said],
) -> list[tuple[int, Said]]:
    """Which of the network's characters each of Tesseract's belongs to.

    The cheapest alignment in order: a pair costs by the network's chance for
    Tesseract's character and by how far apart both stand; Tesseract's places are
    rough, so distance alone never decides.
    """
    n, m = len(network), len(answer)
    cost = np.full((n + 1, m + 1), np.inf)
    cost[0] = np.arange(m + 1) * _MISSING
    cost[:, 0] = np.arange(n + 1) * _MISSING
    pair = np.zeros((n, m))
    for i in range(n):
        for j, character in enumerate(answer):
            alike = sum(
                float(network[i][ALPHABET.index(c)])
                for c in _LOOKALIKES.get(character.text, character.text)
            )
            apart = min(abs(places[i] - character.s) / 0.6, 3.0)
            pair[i, j] = min(-np.log(alike + 0.03), 3.0) + apart
    for i in range(1, n + 1):
        for j in range(1, m + 1):
            cost[i, j] = min(
                cost[i - 1, j - 1] + pair[i - 1, j - 1],
                cost[i - 1, j] + _MISSING,
                cost[i, j - 1] + _MISSING,
            )
    pairs: list[tuple[int, Said]] = []
    i, j = n, m
    while i and j:
        if cost[i, j] == cost[i - 1, j - 1] + pair[i - 1, j - 1]:
            i, j = i - 1, j - 1
            pairs.append((i, answer[j]))
        elif cost[i, j] == cost[i - 1, j] + _MISSING:
            i -= 1
        else:
            j -= 1
    return pairs[::-1]


def with_vote(
    chances: NDArray[np.float64], voted: str, right: float, weight: float
) -> NDArray[np.float64]:
    """The network's chances after Tesseract's vote, by Bayes.

    Args:
        chances: (len(ALPHABET),) summing to at most 1; the rest is "something else".
        voted: The character Tesseract saw.
        right: How often Tesseract is right when it speaks like this.
        weight: Below 1 the vote counts for less, as both see the same picture.
    """
    alike = _LOOKALIKES.get(voted, voted)
    others = (1.0 - right) / (len(ALPHABET) - len(alike))
    factor = np.full(len(ALPHABET), others**weight)
    for character in alike:
        factor[ALPHABET.index(character)] = max(right, others) ** weight
    unknown = max(0.0, 1.0 - float(chances.sum())) * others**weight
    updated = chances * factor
    return np.asarray(updated / (updated.sum() + unknown), np.float64)


def _glyph(
    raw: RawGlyph,
    gap: bool,
    chances: NDArray[np.float64],
    ballot: dict[str, float],
    heard: int,
    sheet: Sheet,
    calibration: Calibration,
) -> Glyph:
    chances = chances / max(float(chances.sum()), 1e-9)
    network_says = ALPHABET[int(np.argmax(chances))]
    tesseract_says = max(ballot, key=lambda c: ballot[c], default="")
    if tesseract_says and network_says not in ".-":
        share = ballot[tesseract_says] / max(heard, 1)
        chances = with_vote(
            chances,
            tesseract_says,
            calibration.trust(share),
            calibration.tesseract_weight,
        )
    chances = calibrated(chances, calibration.naming)
    chances = chances * measured(calibration.presence, raw.score)
    order = np.argsort(-chances)[:8]
    alternatives = tuple(
        (ALPHABET[i], round(float(chances[i]), 5)) for i in order if chances[i] >= 0.003
    )
    text, probability = ALPHABET[order[0]], float(chances[order[0]])
    return Glyph(
        text=text,
        probability=min(probability, 1.0),
        alternatives=alternatives or ((text, probability),),
        phi_deg=sheet.phi_deg(raw.x),
        height=sheet.height(raw.y),
        width_deg=raw.w / sheet.width_px * sheet.span_deg,
        height_span=raw.h / sheet.height_px,
        gap_before=gap,
        votes=((NETWORK, network_says), (TESSERACT, tesseract_says)),
    )
