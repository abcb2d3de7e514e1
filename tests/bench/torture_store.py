"""Kill a writer 1,000 times, and let its disk fail, at any moment; then look.

Run: python tests/bench/torture_store.py [tries] [seed] [folder]. It stops with an
error at the first confirmed change that is lost, the first half change, the first
ledger that does not open. The tests run a few of the same tries.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.ledger.store.torture import torture


def main():
    tries = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    place = sys.argv[3] if len(sys.argv) > 3 else None
    begun = time.perf_counter()

    def report(turn, how, known):
        if turn % 100 == 99:
            print(f"{turn + 1} tries, {known} acts confirmed", flush=True)

    with tempfile.TemporaryDirectory(dir=place) as folder:
        count, known = torture(Path(folder) / "ledger", tries, seed, report)
    print(f"\n{tries} tries in {time.perf_counter() - begun:.0f} s, seed {seed}:")
    for (call, fault), times in sorted(count.items()):
        print(f"  {call:10} {fault:15} {times:5}")
    print(f"{known} acts confirmed, none lost, none half; every ledger opened")


if __name__ == "__main__":
    main()
