"""Kill the program in the middle of a removal, at every step and every system call.

Run: python tests/bench/torture_removal.py [tries]. It stops with an error at the
first ledger that holds a part of the act.
"""

import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "screens"))

from killed_removal import STEPS, one_try


def main():
    tries = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    plan = [("step", at) for at in range(1, len(STEPS) + 2)]
    plan += [
        (call, at)
        for at in range(1, 1 + max(1, (tries - len(plan)) // 3))
        for call in ("write", "fsync", "replace")
    ]
    left = Counter()
    begun = time.perf_counter()
    for number, (call, at) in enumerate(plan[:tries], 1):
        with tempfile.TemporaryDirectory() as folder:
            photo = Path(folder) / "ring.jpg"
            photo.write_bytes(b"a photo " * 5000)
            left[call, *one_try(Path(folder) / "ledger", photo, call, at)] += 1
        if number % 10 == 0:
            print(f"{number} tries", flush=True)
    print(f"\n{min(tries, len(plan))} tries in {time.perf_counter() - begun:.0f} s:")
    for (call, what, said), times in sorted(left.items()):
        told = "said to be stored" if said else "not said to be stored"
        print(f"  killed at {call:8} {what:8} left, {told:22} {times:4}")
    print("no ledger held a part of the act; each opened whole")


if __name__ == "__main__":
    main()
