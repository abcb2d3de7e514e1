"""What one durable change and one opening cost, side by side with others.

Run: python tests/bench/bench_store.py [changes] [folder]. It prints, asserts
nothing. 10,000 birds, each with a ring, and 100,000 events, all invented. The peers,
in the same run and on the same disk: SQLite with synchronous=FULL, its journal as
write-ahead log and as rollback file; and TinyDB with the storage it brings.
"""

import datetime as dt
import gc
import json
import random
import resource
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tinydb import TinyDB
from tinydb.table import Table

from ledger.domain import (
    Bird,
    Event,
    EventKind,
    Kind,
    PartialDate,
    Put,
    Ring,
    RingKind,
    RingState,
    Sex,
)
from ledger.services import book
from ledger.store import open_store
from ledger.store.documents import to_document

BIRDS, EVENTS = 10_000, 100_000
KINDS = [EventKind.WEIGHED, EventKind.NOTE, EventKind.EXAMINED, EventKind.SIGHTED]


def invented():
    """The flock, bird by bird."""
    chance = random.Random(4)
    for number in range(1, BIRDS + 1):
        year = 1995 + number * 30 // BIRDS
        parents = {}
        if number > 400:
            low = max(1, number - 3000)
            parents = {
                "sire": f"b{chance.randrange(low, number - 300) | 1:04d}",
                "dam": f"b{chance.randrange(low, number - 300) & ~1 or 2:04d}",
            }
        yield Bird(
            f"b{number:04d}",
            f"Bird {number}",
            "Ara ararauna",
            Sex.COCK if number % 2 else Sex.HEN,
            PartialDate.parse(f"{year}-04-12"),
            location=f"Aviary {number % 60}",
            **parents,
        )
        yield Ring(
            f"r{number:04d}",
            f"IE TWK / {year % 100:02d} {number:05d}",
            RingKind.CLOSED,
            size_mm=14.0,
            bird=f"b{number:04d}",
            put_on=PartialDate.parse(f"{year}-05-01"),
            state=RingState.ON_BIRD,
        )
    for number in range(1, EVENTS + 1):
        yield an_event(number, chance)


def an_event(number, chance):
    bird = 1 + number % BIRDS
    year = 1996 + bird * 30 // BIRDS
    return Event(
        f"e{number:04d}",
        f"b{bird:04d}",
        KINDS[number % 20 if number % 20 < 4 else 0],
        PartialDate.parse(f"{year}-{1 + number % 12:02d}-{1 + number % 28:02d}"),
        text="Crop empty, keel well covered, bright.",
        weight_g=float(900 + chance.randrange(300)),
        by="Nora",
    )


def timed(act, times):
    """Median, and the slowest of ten, in milliseconds."""
    took = []
    for turn in range(times):
        begun = time.perf_counter()
        act(turn)
        took.append((time.perf_counter() - begun) * 1000)
    took.sort()
    return statistics.median(took), took[int(len(took) * 0.9)]


def say(what, took, base=None):
    ratio = f"   ratio to ours {took[0] / base[0]:6.2f}" if base else ""
    print(f"{what:42} {took[0]:9.2f} ms  (9 of 10 under {took[1]:.2f}){ratio}")


def sqlite_of(folder, mode, things):
    db = sqlite3.connect(folder / f"{mode}.db", isolation_level=None)
    db.execute(f"PRAGMA journal_mode={mode}")
    db.execute("PRAGMA synchronous=FULL")
    db.execute("CREATE TABLE things (kind, id, document, PRIMARY KEY (kind, id))")
    db.execute("CREATE TABLE changes (number INTEGER PRIMARY KEY, document)")
    db.execute("BEGIN")
    db.executemany("INSERT INTO things VALUES (?, ?, ?)", map(row, things))
    db.execute("COMMIT")

    def change(event):
        act = {
            "time": dt.datetime.now(dt.UTC).isoformat(timespec="seconds"),
            "author": "Nora",
            "what": "weighed",
            "entries": [{"kind": "events", "id": event.id, "did": "add"}],
        }
        db.execute("BEGIN IMMEDIATE")
        db.execute("INSERT OR REPLACE INTO things VALUES (?, ?, ?)", row(event))
        db.execute("INSERT INTO changes (document) VALUES (?)", (json.dumps(act),))
        db.execute("COMMIT")

    return db, change


def row(thing):
    return str(thing.KIND), thing.id, json.dumps(to_document(thing))


class _OwnKeys(Table):
    document_id_class = str


def tinydb_of(folder, things):
    tables = {}
    for thing in things:
        tables.setdefault(str(thing.KIND), {})[thing.id] = to_document(thing)
    (folder / "stock.json").write_text(json.dumps(tables))
    db = TinyDB(folder / "stock.json")
    db.table_class = _OwnKeys

    def change(event):
        from tinydb.table import Document

        db.table("events").upsert(Document(to_document(event), doc_id=event.id))

    return db, change


OPENING = """
import sys, time
from pathlib import Path
def held():
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096
begun = time.perf_counter()
from ledger.store import open_store
loaded = time.perf_counter()
base = held()
store = open_store(Path(sys.argv[1]), read_only=True)
opened = time.perf_counter()
ring = store.flock.rings_inscribed("IE TWK 10 05000")
first = time.perf_counter()
card = store.flock.events_of("b5000"), store.flock.siblings_of("b5000")
second = time.perf_counter()
memory = held()
all_things = sum(1 for thing in store.flock)
third = time.perf_counter()
every = held()
print(loaded - begun, opened - loaded, first - opened, second - first,
      third - second, (memory - base) / 1e6, (every - base) / 1e6)
"""
READING = """
import json, sqlite3, sys, time
from pathlib import Path
def held():
    return int(Path("/proc/self/statm").read_text().split()[1]) * 4096
base = held()
begun = time.perf_counter()
db = sqlite3.connect(sys.argv[1])
rows = db.execute("SELECT kind, id, document FROM things").fetchall()
read = time.perf_counter()
parsed = [json.loads(document) for _, _, document in rows]
print(read - begun, time.perf_counter() - begun,
      (held() - base) / 1e6)
"""


def in_own_process(code, path, times=5):
    """Each figure's median over some processes."""
    runs = []
    for _ in range(times):
        done = subprocess.run(
            [sys.executable, "-c", code, str(path)],
            capture_output=True,
            text=True,
            check=True,
            cwd=Path(__file__).parents[2],
        )
        runs.append([float(figure) for figure in done.stdout.split()])
    return [statistics.median(column) for column in zip(*runs, strict=True)]


def main():
    changes = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    place = sys.argv[2] if len(sys.argv) > 2 else None
    things = list(invented())
    with tempfile.TemporaryDirectory(dir=place) as name:
        folder = Path(name)
        ours = folder / "ours"
        with open_store(ours, create=True) as store:
            for begin in range(0, len(things), 2000):
                puts = [Put(thing) for thing in things[begin : begin + 2000]]
                store.commit(puts, author="Nora", what="brought in")
        size = (ours / "ledger.json").stat().st_size
        print(f"{len(things)} things, a snapshot of {size / 1e6:.1f} MB\n")
        openings(folder, ours, things)
        durable_changes(folder, ours, things, changes)
        new_snapshot(ours)


def openings(folder, ours, things):
    db, _ = sqlite_of(folder, "wal", things)
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    db.close()
    load, opened, ring, card, all_things, memory, every = in_own_process(OPENING, ours)
    rows, parsed, sqlite_memory = in_own_process(READING, folder / "wal.db")
    print(f"loading the store's modules                {load * 1000:9.0f} ms")
    print(f"opening                                    {opened * 1000:9.0f} ms")
    print(f"  then the first ring looked up            {ring * 1000:9.0f} ms")
    print(f"  then the first bird's events and kin     {card * 1000:9.0f} ms")
    print(f"  then every single thing made             {all_things * 1000:9.0f} ms")
    print(f"SQLite: the same rows read                 {rows * 1000:9.0f} ms")
    print(f"SQLite: read, and their JSON parsed        {parsed * 1000:9.0f} ms")
    looked = opened + ring + card
    print(f"ratios to SQLite reading the rows: opening {opened / rows:.2f}, with both ")
    print(f"  first looks {looked / rows:.2f}; to rows parsed {looked / parsed:.2f}")
    print(f"memory: {memory:.0f} MB after first looks, {every:.0f} MB with every thing")
    print(f"  made; SQLite's rows, parsed: {sqlite_memory:.0f} MB\n")
    (folder / "wal.db").unlink()


def durable_changes(folder, ours, things, changes):
    chance = random.Random(5)
    events = [an_event(EVENTS + 1 + n, chance) for n in range(5 * changes + 4)]
    wal, into_wal = sqlite_of(folder, "wal", things)
    rollback, into_rollback = sqlite_of(folder, "delete", things)
    stock, into_stock = tinydb_of(folder, things)
    with book.open_ledger(ours) as ledger:

        def into_ours(event):
            new = replace(event, id=ledger.flock.next_id(Kind.EVENT))
            ledger.commit([Put(new)], author="Nora", what="weighed")

        into_ours(events.pop())  # reads what it needs, opens the journal
        store = ledger._store

        def without_rules(event):
            new = replace(event, id=ledger.flock.next_id(Kind.EVENT))
            store.commit([Put(new)], author="Nora", what="weighed")

        took = {"ours": [], "store": [], "wal": [], "rollback": []}
        gc.collect()
        # Turn about, so that whatever else the disk does hits all alike.
        for _ in range(changes):
            for name, act in (
                ("ours", into_ours),
                ("store", without_rules),
                ("wal", into_wal),
                ("rollback", into_rollback),
            ):
                event = events.pop()
                begun = time.perf_counter()
                act(event)
                took[name].append((time.perf_counter() - begun) * 1000)
    figures = {
        name: (statistics.median(each), sorted(each)[int(len(each) * 0.9)])
        for name, each in took.items()
    }
    mine = figures["ours"]
    say("one change, rules checked: ours", mine)
    say("one change: ours, the store alone", figures["store"], mine)
    say("one change: SQLite, FULL, write-ahead log", figures["wal"], mine)
    say("one change: SQLite, FULL, rollback file", figures["rollback"], mine)
    say(
        "one change: TinyDB as it comes",
        timed(lambda n: into_stock(events[n]), 4),
        mine,
    )
    for name in ("wal", "rollback"):
        peer = figures[name][0]
        print(
            f"ours to SQLite, {name}: {mine[0] / peer:.2f} with the rules checked, "
            f"{figures['store'][0] / peer:.2f} the store alone"
        )
    for db in (wal, rollback, stock):
        db.close()
    print()


def new_snapshot(ours):
    copy = ours.with_name("copy")
    shutil.copytree(ours, copy)
    with open_store(copy) as store:
        store.commit([Put(Bird("b9999"))], author="Nora", what="one more")
        begun = time.perf_counter()
        store._file.compact()
        print(f"a new snapshot {time.perf_counter() - begun:30.2f} s")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory in this whole run {peak:15.0f} MB")


if __name__ == "__main__":
    main()
