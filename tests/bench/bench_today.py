"""What the day's list costs in a large flock.

Run: python tests/bench/bench_today.py. It prints, asserts nothing. 10,000 birds, each
with a ring, and 100,000 events, all invented (`bench_store.py`). Processor seconds, so
that what else the machine does counts little.
"""

import datetime as dt
import sys
import tempfile
from pathlib import Path
from time import process_time

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(0, str(Path(__file__).parent))

from bench_store import invented

from ledger.care.leg_findings import Found, LegFinding
from ledger.domain import Put
from ledger.services import book
from ledger.services.ring_checks import check_rings
from ledger.services.today import DayLists
from ledger.store import open_store

TODAY = dt.date(2026, 3, 1)


def timed(what, act):
    """Do it and print what it took."""
    begun = process_time()
    found = act()
    print(f"{what:<44}{process_time() - begun:8.3f} s")
    return found


def main():
    """Make the flock, then look what is due in it."""
    with tempfile.TemporaryDirectory() as folder:
        with open_store(Path(folder), create=True) as store:
            store.commit([Put(x) for x in invented()], author="bench", what="made")
        with book.open_ledger(Path(folder)) as ledger:
            lists = DayLists()
            found = timed("first list", lambda: lists.of(ledger.flock, TODAY))
            print(f"  {found.summary}")
            timed("again, nothing changed", lambda: lists.of(ledger.flock, TODAY))
            bird = found.due[0].bird
            well = Found(LegFinding.WELL)
            check_rings(ledger, bird, well, TODAY, "bench")
            timed("again, after one act", lambda: lists.of(ledger.flock, TODAY))
            timed(
                "narrowed by three words",
                lambda: found.chosen("aviary 12 check", everything=True),
            )


if __name__ == "__main__":
    main()
