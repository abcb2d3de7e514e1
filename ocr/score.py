"""What counts as right when a reading is held against the truth.

Characters right in a photo: for each line that a person can read, the fewest
edits to the closest part of a read line; spaces and marks are dropped, and up to
two more characters at either end cost nothing, for they stand at the edge of the
view. Lines are paired so that the sum is best; a line not read counts all wrong.
A whole inscription: the lines are the same, wherever a line round the ring
starts. O and 0, I and 1 count as equal: engravers draw them alike.
A ring is found where its outline and the true one overlap by 0.8 or more.
"""

from __future__ import annotations

import itertools
import re
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

FOUND_OVERLAP = 0.8
_EDGE = 2
"""So many characters at either end of a read line may stand at the view's edge."""
_MOST_LINES = 8


def letters(text: str) -> str:
    """Capitals and digits of a line; O as 0, I as 1."""
    return re.sub(r"[^A-Z0-9]", "", text.upper()).translate(str.maketrans("OI", "01"))


def edits(a: str, b: str) -> int:
    """Fewest insertions, deletions and exchanges that make `b` of `a`."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        corner, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            corner, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, corner + (x != y))
    return row[-1]


def line_errors(truth: str, read: str) -> int:
    """Edits from `truth` to `read`, characters at the view's edge left out."""
    most = min(_EDGE, len(read))
    return min(
        edits(truth, read[i : len(read) - k])
        for i, k in itertools.product(range(most + 1), repeat=2)
        if i + k <= len(read)
    )


def photo_errors(
    truth_lines: Sequence[str], read_lines: Sequence[str]
) -> tuple[int, int]:
    """(wrong characters, characters) of one photo."""
    truth = [t for t in map(letters, truth_lines) if t]
    read = [r for r in map(letters, read_lines) if r][:_MOST_LINES]
    total = sum(map(len, truth))
    read += [""] * max(0, len(truth) - len(read))
    costs = [[min(len(t), line_errors(t, r)) for r in read] for t in truth]
    best = min(
        (
            sum(costs[i][j] for i, j in enumerate(chosen))
            for chosen in itertools.permutations(range(len(read)), len(truth))
        ),
        default=0,
    )
    return min(best, total), total


def from_anywhere(line: str) -> str:
    """One name for all starts of a line that runs round a ring."""
    return min((line[i:] + line[:i] for i in range(len(line))), default=line)


def inscription_right(
    truth: Sequence[Mapping[str, Any]], read_lines: Sequence[str]
) -> bool:
    """Whether a joined reading is the whole inscription.

    Args:
        truth: Lines with `text` and `direction`.
        read_lines: Lines in any order; ` / ` parts lines too.
    """
    want = [(letters(t["text"]), t["direction"] == "around") for t in truth]
    got = [g for line in read_lines for g in map(letters, line.split("/")) if g]
    same = sorted(from_anywhere(w) for w, _ in want) == sorted(map(from_anywhere, got))
    if same:
        return all(around or w in got for w, around in want)
    joined = "".join(w for w, _ in want)
    return from_anywhere(joined) == from_anywhere("".join(got))


def overlap(
    outline: Sequence[tuple[float, float]] | NDArray[np.float64],
    photo: Mapping[str, Any],
) -> float:
    """Intersection over union of a found outline with the true one."""
    size = (int(photo["height"]), int(photo["width"]))
    true = photo["outline"]
    band = true["top_arc"] + true["bottom_arc"][::-1]
    masks = []
    for polygon in (outline, band):
        mask = np.zeros(size, np.uint8)
        points = np.round(np.array(polygon, np.float32)).astype(np.int32)
        cv2.fillPoly(mask, [points], 1)
        masks.append(mask.astype(bool))
    union = int((masks[0] | masks[1]).sum())
    return float((masks[0] & masks[1]).sum() / union) if union else 0.0
