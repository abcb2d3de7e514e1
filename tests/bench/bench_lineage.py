"""Inbreeding and kinship of invented flocks, beside sgkit, in one run.

Run: python tests/bench/bench_lineage.py, in an environment with numpy; with the
extra "oracle" sgkit runs beside. It prints and asserts nothing. Every figure comes
from a process of its own, so that peak memory is that of the one task; each is called
twice and timed the second time, when libraries are loaded and sgkit is compiled.
Seconds of work are those of the processor, which a busy machine lengthens less.
Words name the flocks to run: python tests/bench/bench_lineage.py "last 20,000".
"""

import json
import resource
import subprocess
import sys
import time
from importlib.util import find_spec
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from ledger.lineage.inbreeding import inbreeding
from ledger.lineage.kinship import kinship_between
from ledger.lineage.table import ParentTable

PATIENCE_S = 180
"""After so long a peer is given up."""


def generations(n, count, sires, dams, family, seed=0):
    """Generations that do not overlap: families from chosen parents of the last."""
    random = np.random.default_rng(seed)
    per = n // count
    sire, dam = [np.full(per, -1)], [np.full(per, -1)]
    for generation in range(1, count):
        before = (generation - 1) * per + random.permutation(per)
        pairs = -(-per // family)
        of_bird = np.repeat(np.arange(pairs), family)[:per]
        sire.append(random.choice(before[:sires], pairs)[of_bird])
        dam.append(random.choice(before[sires : sires + dams], pairs)[of_bird])
    return np.concatenate(sire), np.concatenate(dam)


def any_before(n, founders, back=None, family=1, seed=0):
    """Overlapping: parents any two birds before, or among the last `back`."""
    random = np.random.default_rng(seed)
    sire, dam = np.full(n, -1), np.full(n, -1)
    birds = np.arange(founders, n)
    first = birds - (birds - founders) % family
    reach = np.minimum(first, back or n)
    nest = (birds - founders) // family
    draw = random.random((2, n))[:, nest]
    sire[founders:] = first - 1 - (draw[0] * reach).astype(int)
    dam[founders:] = first - 1 - (draw[1] * reach).astype(int)
    same = sire == dam
    same[:founders] = False
    dam[same] = np.where(sire[same] > 0, sire[same] - 1, 1)
    return sire, dam


def species(count, sire, dam):
    """As many species of the same parentage, the birds of all hatching in turn."""
    of_each = np.arange(count)
    return tuple(
        np.where(parent[:, None] >= 0, parent[:, None] * count + of_each, -1).ravel()
        for parent in (sire, dam)
    )


FLOCKS = {
    "10,000 birds, 10 generations, 100 sires, 200 dams, families of 3": lambda: (
        generations(10_000, 10, 100, 200, 3)
    ),
    "10,000 birds, parents any two before, 500 founders": lambda: any_before(
        10_000, 500
    ),
    "100,000 birds, 20 generations, 500 sires, 1,000 dams, families of 4": lambda: (
        generations(100_000, 20, 500, 1000, 4)
    ),
    "100,000 birds, 40 generations, 300 sires, 600 dams, families of 4": lambda: (
        generations(100_000, 40, 300, 600, 4)
    ),
    "100,000 birds, 10 generations, 1,000 sires, 5,000 dams, no families": lambda: (
        generations(100_000, 10, 1000, 5000, 1)
    ),
    "100,000 birds, parents among the last 3,000, families of 3": lambda: any_before(
        100_000, 1000, 3000, 3
    ),
    "100,000 birds, parents among the last 20,000, families of 3": lambda: any_before(
        100_000, 1000, 20_000, 3
    ),
    "100,000 birds, parents any two before, 1,000 founders": lambda: any_before(
        100_000, 1000
    ),
    "100,000 birds of four species, parents among the last 2,000 of theirs": lambda: (
        species(4, *any_before(25_000, 500, 2000, 3))
    ),
}


def ours(sire, dam):
    return inbreeding(ParentTable.of_places(sire, dam))


def our_block(sire, dam):
    table = ParentTable.of_places(sire, dam)
    last = np.arange(len(table))[-1000:]
    return kinship_between(table, last, last, inbreeding(table))


def _sgkit_set(sire, dam):
    import xarray

    told = xarray.Dataset()
    told["parent"] = ["samples", "parents"], np.stack([sire, dam], axis=1)
    return told


def theirs(sire, dam):
    import sgkit

    told = sgkit.pedigree_inbreeding(_sgkit_set(sire, dam), method="diploid")
    return told.stat_pedigree_inbreeding.values


def their_block(sire, dam):
    """The whole matrix: sgkit has no way to a part of it."""
    import sgkit

    told = sgkit.pedigree_kinship(_sgkit_set(sire, dam), method="diploid")
    return told.stat_pedigree_kinship.values[-1000:, -1000:]


TASKS = {f.__name__: f for f in (ours, our_block, theirs, their_block)}


def one(task, flock):
    """Run a task in this process and print what it took."""
    sire, dam = FLOCKS[flock]()
    import scipy.sparse  # noqa: F401 - a small flock may do without

    TASKS[task](*any_before(50, 5))
    begun, worked = time.perf_counter(), time.process_time()
    found = TASKS[task](sire, dam)
    took, work = time.perf_counter() - begun, time.process_time() - worked
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps([took, peak, float(found.sum()), work]))


def measured(task, flock):
    """Seconds, peak MB, a sum to compare, seconds of work; None: given up."""
    try:
        done = subprocess.run(
            [sys.executable, __file__, task, flock],
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return None
    if done.returncode:
        return None
    return json.loads(done.stdout.splitlines()[-1])


def compare(title, flock, our_task, their_task):
    mine = measured(our_task, flock)
    print(f"{title}: {flock}")
    print(f"  ours   {mine[0]:8.3f} s  {mine[3]:8.3f} s of work  {mine[1]:7.0f} MB")
    if find_spec("sgkit") is None:
        print("  sgkit is not installed")
        return
    peer = measured(their_task, flock)
    if peer is None:
        print(f"  sgkit  given up after {PATIENCE_S} s, or out of memory")
        return
    print(
        f"  sgkit  {peer[0]:8.3f} s  {peer[3]:8.3f} s of work  {peer[1]:7.0f} MB   "
        f"{peer[0] / mine[0]:.1f} times ours; "
        f"sums differ by {abs(peer[2] - mine[2]):.1e}"
    )


def main(words):
    wanted = [flock for flock in FLOCKS if not words or any(w in flock for w in words)]
    for flock in wanted:
        compare("inbreeding", flock, "ours", "theirs")
    for flock in wanted:
        if flock.startswith("10,000"):
            compare("kinship 1,000 x 1,000", flock, "our_block", "their_block")


if __name__ == "__main__":
    if sys.argv[1:2] and sys.argv[1] in TASKS:
        one(sys.argv[1], sys.argv[2])
    else:
        main(sys.argv[1:])
