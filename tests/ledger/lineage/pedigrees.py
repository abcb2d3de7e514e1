"""Published pedigrees, random ones, and the slow textbook way to their kinship."""

import csv
from functools import cache
from pathlib import Path

import numpy as np

GOLDEN = Path(__file__).parents[2] / "golden" / "small_pedigrees.csv"


@cache
def _rows():
    with GOLDEN.open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def published(name):
    """Sire and dam of each of a published data set; and F beside them."""
    rows = [row for row in _rows() if row["dataset"] == name]
    assert rows
    parents = {r["id"]: (r["sire"] or None, r["dam"] or None) for r in rows}
    return parents, {r["id"]: float(r["F_recomputed"]) for r in rows}


def names():
    return list(dict.fromkeys(row["dataset"] for row in _rows()))


def tabular_kinship(parents, founders=None):
    """The tabular method, cell by cell: a second way, kept as plain as it can be.

    L. L. Emik and C. E. Terrill, "Systematic procedures for calculating inbreeding
    coefficients", Journal of Heredity 40 (1949), 51-55.
    """
    order = []
    while len(order) < len(parents):
        ready = [
            bird
            for bird, pair in parents.items()
            if bird not in order and all(p is None or p in order for p in pair)
        ]
        assert ready, "a loop"
        order += ready
    kinship = {}
    for i, bird in enumerate(order):
        sire, dam = parents[bird]
        for other in order[:i]:
            value = sum(kinship[p, other] for p in (sire, dam) if p) / 2
            value += (founders or {}).get((bird, other), 0.0)
            value += (founders or {}).get((other, bird), 0.0)
            kinship[bird, other] = kinship[other, bird] = value
        own = kinship[sire, dam] if sire and dam else 0.0
        kinship[bird, bird] = (founders or {}).get((bird, bird), (1 + own) / 2)
    return kinship


def random_places(random, n, founders, *, unknown=0.1, back=None, same=False):
    """Random parents among those before: (n,) sires and (n,) dams, -1 unknown."""
    sire = np.full(n, -1)
    dam = np.full(n, -1)
    for i in range(founders, n):
        first = max(0, i - back) if back else 0
        a = int(random.integers(first, i))
        b = int(random.integers(first, i))
        if a == b and not same:
            b = a - 1 if a > 0 else a + 1 if a + 1 < i else -1
        sire[i] = -1 if random.random() < unknown else a
        dam[i] = -1 if random.random() < unknown else b
    return sire, dam


def as_parents(sire, dam):
    """Places as a mapping of names."""
    return {
        str(i): (str(s) if s >= 0 else None, str(d) if d >= 0 else None)
        for i, (s, d) in enumerate(zip(sire, dam, strict=True))
    }
