"""A writer that is killed or whose disk fails at any call, and who looks after it.

Run as a program it is the writer: it opens the ledger, prints the number of every
act that was confirmed to it, and goes on until something stops it.
"""

import errno
import os
import random
import signal
import subprocess
import sys
import threading
from pathlib import Path

ROOT = Path(__file__).parents[3]
sys.path.insert(0, str(ROOT))

CALLS = ("write", "fsync", "replace", "ftruncate", "link")
"""What is asked of the system; a fault may come at each."""
FAULTS = ("kill", "kill after", "short and kill", "full", "short and full", "broken")


def spoil(call, at, fault):
    """Let the system's `at`-th call of this name go wrong."""
    real, count = getattr(os, call), 0

    def wrong(*args, **options):
        nonlocal count
        count += 1
        if count != at:
            return real(*args, **options)
        if fault.startswith("short") and call == "write":
            handle, text = args
            real(handle, text[: len(text) // 3 + 1])
        if fault == "kill after":
            real(*args, **options)
        if "kill" in fault:
            os.kill(os.getpid(), signal.SIGKILL)
        code = errno.ENOSPC if "full" in fault else errno.EIO
        raise OSError(code, os.strerror(code), "the disk")

    setattr(os, call, wrong)


def say(what, number):
    sys.stdout.write(f"{what} {number}\n")
    sys.stdout.flush()


def write(folder, first, acts, call, at, fault):
    """The writer: each act puts two birds in, or changes the two of before."""
    from ledger.domain import Bird, Drop, Kind, Put
    from ledger.errors import StoreError
    from ledger.store import files, open_store

    files._SMALL = 1 << 30 if first % 2 else 0  # tidy up at the end, or not
    store = open_store(Path(folder))
    if call != "none":
        spoil(call, at, fault)
    for number in range(first, first + acts):
        both = [
            Put(
                Bird(
                    f"b{2 * number + side:04d}",
                    str(number),
                    notes="x\n" * (number % 300),
                )
            )
            for side in (0, 1)
        ]
        if number > 3 and number % 3 == 0:
            both.append(Drop(Kind.BIRD, f"b{2 * (number - 3):04d}"))
            both.append(Drop(Kind.BIRD, f"b{2 * (number - 3) + 1:04d}"))
        try:
            store.commit(both, author="T", what=str(number))
        except StoreError:
            say("refused", number)
        else:
            say("stored", number)
        if number % 5 == 0:
            try:
                store._file.compact()
            except StoreError:
                say("not tidied", number)
    store.close()


def one_try(folder, first, chance, known):
    """One writer and its end; then what lies on the disk is held against what it said.

    Args:
        folder: Of the ledger.
        first: Number of the first act to do.
        chance: Decides how it ends.
        known: Numbers of the acts confirmed so far.

    Returns:
        The number of the next act, and what stopped the writer.
    """
    call, at, fault = "none", 0, "none"
    by_clock = chance.random() < 0.25
    if not by_clock:
        call, fault = chance.choice(CALLS), chance.choice(FAULTS)
        at = chance.randint(1, 18 if call in ("write", "fsync") else 5)
    command = [sys.executable, __file__, folder, first, 8, call, at, fault]
    writer = subprocess.Popen(
        list(map(str, command)), stdout=subprocess.PIPE, text=True
    )
    if by_clock:
        killer = threading.Timer(0.15 + chance.random() * 0.4, writer.kill)
        killer.start()
    said, _ = writer.communicate()
    if by_clock:
        killer.cancel()
    words = [line.split() for line in said.splitlines()]
    stored = [int(word[1]) for word in words if word[0] == "stored"]
    tried = [int(word[1]) for word in words if word[0] in ("stored", "refused")]
    under_way = (max(tried) if tried else first - 1) + 1
    known |= look(folder, known | set(stored), {*tried, under_way} - set(stored))
    return under_way + 1, (call, fault) if not by_clock else ("clock", "kill")


def look(folder, confirmed, unconfirmed):
    """Every confirmed act is there, no other one half, and the ledger opens.

    Args:
        folder: Of the ledger.
        confirmed: Acts that were confirmed, or seen there before.
        unconfirmed: Acts that may be there or not.

    Returns:
        The acts that are there.

    Raises:
        AssertionError: It is not so.
    """
    from ledger.store import open_store

    with open_store(Path(folder), read_only=True) as store:
        flock = store.flock
        acts = [int(line["what"]) for line in changes_of(store)]
    assert acts == sorted(set(acts)), "an act twice, or out of order"
    assert confirmed <= set(acts), f"lost: {sorted(confirmed - set(acts))}"
    extra = set(acts) - confirmed
    assert extra <= unconfirmed, f"from nowhere: {sorted(extra - unconfirmed)}"
    expected = {}
    for number in acts:
        for side in (0, 1):
            expected[f"b{2 * number + side:04d}"] = str(number)
        if number > 3 and number % 3 == 0:
            for side in (0, 1):
                expected.pop(f"b{2 * (number - 3) + side:04d}", None)
    found = {bird.id: bird.name for bird in flock.birds.values()}
    assert found == expected, "half an act"
    return set(acts)


def changes_of(store):
    import json

    return [json.loads(line) for line in store._file.lines("changes").values()]


def torture(folder, tries, seed, report=lambda *_: None):
    """So many writers one after the other, on one ledger.

    Returns:
        How often each kind of fault came.
    """
    chance = random.Random(seed)
    from ledger.store import open_store

    open_store(folder, create=True).close()
    known, number, count = set(), 1, {}
    for turn in range(tries):
        number, how = one_try(folder, number, chance, known)
        count[how] = count.get(how, 0) + 1
        report(turn, how, len(known))
    return count, len(known)


if __name__ == "__main__":
    folder, first, acts, call, at, fault = sys.argv[1:]
    write(folder, int(first), int(acts), call, int(at), fault)
