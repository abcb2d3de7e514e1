"""Backups: made in time, thinned out with age, whole; and the way back."""

import datetime as dt
import shutil
from pathlib import Path

import pytest
from builders import a_bird, an_event

from ledger.domain import Drop, Kind, Put
from ledger.errors import (
    NotFoundError,
    StoreDamagedError,
    StoreInUseError,
    StoreReadOnlyError,
)
from ledger.services import backups, book
from ledger.store import FILE_NAME, open_store
from ledger.store.backups import FOLDER, all_of, thin_out

FORMS = Path(__file__).parent / "forms"


class Clock:
    def __init__(self, day):
        self.day = dt.date.fromisoformat(day)

    def __call__(self):
        return dt.datetime.combine(self.day, dt.time(12)).astimezone()


def put(store, *things):
    store.commit([Put(thing) for thing in things], author="Nora", what="put")


def names(folder):
    return [backup.name for backup in all_of(folder)]


def test_daily__before_the_first_change_of_a_day(tmp_path):
    clock = Clock("2026-01-15")
    with open_store(tmp_path, create=True, clock=clock) as store:
        put(store, a_bird())
        assert names(tmp_path) == []  # there was nothing to keep
        put(store, a_bird("b0002"))
        put(store, a_bird("b0003"))
        assert names(tmp_path) == ["ledger-2026-01-15-daily"]
        before = store.flock
        clock.day += dt.timedelta(days=1)
        put(store, a_bird("b0004"))
    assert names(tmp_path) == ["ledger-2026-01-16-daily", "ledger-2026-01-15-daily"]
    assert backups.flock_in(all_of(tmp_path)[0].path) == before


def test_daily__a_disk_that_refuses_does_not_stop_the_change(tmp_path):
    with open_store(tmp_path, create=True) as store:
        put(store, a_bird())
        (tmp_path / FOLDER).write_text("in the way")
        put(store, a_bird("b0002"))
        assert "could not be made" in store.notices[0]
        assert len(store.flock.birds) == 2


def test_thin_out__ten_days_and_twelve_months(tmp_path):
    (tmp_path / FOLDER).mkdir()
    first = dt.date(2024, 1, 1)
    for day in range(760):
        on = first + dt.timedelta(days=day)
        (tmp_path / FOLDER / f"ledger-{on}-daily.json").write_text("{}")
    mine = tmp_path / FOLDER / "mine.json"
    mine.write_text("{}")
    thin_out(tmp_path)
    days = sorted(backup.day for backup in all_of(tmp_path))
    last = first + dt.timedelta(days=759)  # 2026-01-29
    assert days[-10:] == [last - dt.timedelta(days=n) for n in reversed(range(10))]
    # The last of each month, this one's among the ten days.
    assert [(day.year, day.month) for day in days[:-10]] == [
        (2025, month) for month in range(2, 13)
    ]
    assert all((day + dt.timedelta(days=1)).day == 1 for day in days[:-10])
    assert mine.exists()


def test_migration__the_old_file_is_kept_byte_for_byte(tmp_path):
    shutil.copyfile(FORMS / "form-1.json", tmp_path / FILE_NAME)
    with open_store(tmp_path) as store:
        assert names(tmp_path) == []  # looking changes nothing
        put(store, a_bird("b0009"))
    kept = [b for b in all_of(tmp_path) if b.reason == "before-migration"]
    assert len(kept) == 1
    assert kept[0].path.read_bytes() == (FORMS / "form-1.json").read_bytes()


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path, create=True) as ledger:
        puts = [Put(a_bird()), Put(a_bird("b0002", "Juno")), Put(an_event())]
        ledger.commit(puts, author="Nora", what="begin")
        yield ledger


def test_restore__shows_does_and_keeps(ledger):
    path = backups.backup(ledger)
    then = ledger.flock
    ledger.commit([Put(a_bird(name="Pippa"))], author="Nora", what="renamed")
    ledger.commit([Put(a_bird("b0003", "Finn"))], author="Nora", what="new")
    ledger.commit([Drop(Kind.EVENT, "e0001")], author="Nora", what="gone")
    now = ledger.flock
    chosen = backups.find(ledger.folder, path.stem)
    birds, events = backups.differences(now, backups.flock_in(path))
    assert (birds.comes_back, birds.changes_back, birds.goes) == (
        (),
        ("b0001",),
        ("b0003",),
    )
    assert (events.kind, events.comes_back) == (Kind.EVENT, ("e0001",))
    assert ledger.flock is now
    assert backups.restore(ledger, chosen, "Nora") == [birds, events]
    assert ledger.flock == then
    # What it replaced is kept, and an id that was given is not given again.
    kept = backups.find(ledger.folder, path.stem.replace("by-hand", "before-restore"))
    assert backups.flock_in(kept.path) == now
    assert ledger.flock.next_id(Kind.BIRD) == "b0004"
    assert backups.restore(ledger, chosen, "Nora") == []


def test_restore__survives_reopening_with_its_history(ledger):
    path = backups.backup(ledger)
    ledger.commit([Put(a_bird(name="Pippa"))], author="Nora", what="renamed")
    backups.restore(ledger, backups.find(ledger.folder, str(path)), "Nora")
    ledger.close()
    with open_store(ledger.folder) as store:
        assert store.flock.birds["b0001"].name == "Pip"
        assert len(store._file.tables["changes"]) == 3


def test_lay_back__over_a_ledger_that_cannot_be_opened(ledger):
    path = backups.backup(ledger)
    then = ledger.flock
    with pytest.raises(StoreInUseError):
        backups.lay_back(ledger.folder, path)
    ledger.close()
    for name in (FILE_NAME, "ledger.previous.json"):
        (ledger.folder / name).write_text("{")
    with pytest.raises(StoreDamagedError):
        open_store(ledger.folder)
    kept = backups.lay_back(ledger.folder, path)
    assert any(file.read_text() == "{" for file in kept)
    with open_store(ledger.folder) as store:
        assert store.flock == then
        assert store.notices == ()
        put(store, a_bird("b0005"))


def test_lay_back__a_backup_that_is_not_whole_is_refused(ledger):
    path = backups.backup(ledger)
    path.write_bytes(path.read_bytes()[:-4])
    ledger.close()
    before = (ledger.folder / FILE_NAME).read_bytes()
    with pytest.raises(StoreDamagedError):
        backups.lay_back(ledger.folder, path)
    assert (ledger.folder / FILE_NAME).read_bytes() == before


def test_find__by_day_name_or_file(ledger, tmp_path):
    path = backups.backup(ledger)
    again = backups.backup(ledger)
    day = all_of(tmp_path)[0].day.isoformat()
    assert backups.find(tmp_path, day).path == again
    assert backups.find(tmp_path, path.name).path == path
    elsewhere = tmp_path / "stick.json"
    shutil.copyfile(path, elsewhere)
    assert backups.find(tmp_path, str(elsewhere)).path == elsewhere
    with pytest.raises(NotFoundError, match="no backup") as missing:
        backups.find(tmp_path, "1999-01-01")
    assert missing.value.hint


def test_backup__not_from_a_window_that_only_reads(ledger):
    with (
        book.open_ledger(ledger.folder, read_only=True) as reader,
        pytest.raises(StoreReadOnlyError),
    ):
        backups.backup(reader)
