"""Make the demo flock anew: `python demo_db/make_demo.py`.

Writes demo_db/ledger.json through the program's own store, and the birds' ids into
demo_images/truth.csv. Chance is seeded and the clock stands still: the same
script gives the same bytes.
"""

from __future__ import annotations

import csv
import datetime as dt
import shutil
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

HERE = Path(__file__).parent
ROOT = HERE.parent
# This clone's own program, installed or not.
sys.path[:0] = [str(ROOT), str(HERE)]

if TYPE_CHECKING:
    from making.lives import Book

    from ledger.domain import Flock


def make_book() -> Book:
    """Everything that ever happened at Tidewrack."""
    from making import fates, january, nests, people, seasons, stock, stories, years
    from making.lives import Book
    from making.marks import Marks
    from making.names import NAMES
    from making.plan import LINES

    book = Book()
    first_day = dt.date(1979, 1, 1)
    for person in people.people():
        book.put(first_day, person)
    book.put(first_day, people.settings())
    for line in LINES:
        seasons.breed(book, line)
    seasons.name_all(book, NAMES)
    marks = Marks(book)
    lives = sorted(book.lives.values(), key=lambda life: (life.here_from, life.key))
    for life in lives:
        fates.decide(book, life)
    for life in lives:
        if life.origin == "ours":
            marks.ring_chick(life)
        elif life.key != "GP-Captain":
            marks.ring_founder(life)
        years.grow_up(book, life, marks)
    marks.unused()
    stock.enter(book)
    stories.tell(book, marks)
    for life in lives:
        years.fall_ill_by_chance(book, life)
        years.pass_the_years(book, life)
        fates.end(book, life)
    january.look_under_all(book, lives)
    january.leave_to_do(book)
    nests.sit(book)
    return book


def write_store(folder: Path) -> Flock:
    """Write the flock into a folder, one change of the ledger for each year."""
    from making.people import STAFF

    from ledger.domain import Put
    from ledger.store import open_store

    by_year: dict[int, list[Put]] = {}
    for year, thing in make_book().finished():
        by_year.setdefault(year, []).append(Put(thing))
    signed = dt.datetime(2024, 1, 2, 18, 0, tzinfo=dt.UTC)

    def clock() -> dt.datetime:
        return signed

    with open_store(folder, create=True, clock=clock) as store:
        for year, changes in sorted(by_year.items()):
            if year >= 2024:
                signed = dt.datetime(year, 12, 31, 18, 0, tzinfo=dt.UTC)
            if year == 2026:
                signed = dt.datetime(2026, 1, 31, 18, 0, tzinfo=dt.UTC)
            how = "copied from the paper book" if year < 2024 else "entered"
            store.commit(changes, author=STAFF[0], what=f"The year {year}, {how}")
        return store.flock


def write_truth(flock: Flock, path: Path) -> None:
    """Put the ids of the birds that wear them beside the rings on the pictures."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        worn = flock.rings_inscribed(row["inscription"]) if row["inscription"] else ()
        row["bird"] = (worn[0].bird or "") if worn else ""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def main(store: Path = HERE, truth: Path = ROOT / "demo_images" / "truth.csv") -> None:
    """Make the flock and put it where the program finds it."""
    from ledger.store import FILE_NAME

    with tempfile.TemporaryDirectory() as folder:
        flock = write_store(Path(folder))
        shutil.copyfile(Path(folder) / FILE_NAME, store / FILE_NAME)
    write_truth(flock, truth)


if __name__ == "__main__":
    main()
