import os
import threading
from itertools import count

import pytest

from ledger.errors import NotFoundError
from ledger.services import inbox


class Seconds:
    """A clock that tells a whole second more each time it is asked."""

    def __init__(self):
        self._ticks = count()

    def __call__(self) -> float:
        return float(next(self._ticks))


@pytest.fixture
def arrivals(tmp_path):
    """Watches a folder; what arrives is put in the list."""
    got, done, started = [], threading.Event(), threading.Event()
    (tmp_path / "old.jpg").write_bytes(b"old")

    def stop():
        started.set()
        return done.is_set()

    def run():
        for path in inbox.watch(tmp_path, stop, settle_s=0.5, clock=Seconds()):
            got.append(path.name)
            arrived.release()

    arrived = threading.Semaphore(0)
    thread = threading.Thread(target=run)
    thread.start()
    assert started.wait(20)
    yield tmp_path, got, arrived
    done.set()
    thread.join(20)
    assert not thread.is_alive()


def test_watch__new_photo(arrivals):
    folder, got, arrived = arrivals
    (folder / "Käfig [1].JPG").write_bytes(b"whole")
    assert arrived.acquire(timeout=20)
    assert got == ["Käfig [1].JPG"]


def test_watch__other_files_and_hidden_copies_are_passed_over(arrivals):
    folder, got, arrived = arrivals
    (folder / "notes.txt").write_bytes(b"x")
    (folder / ".a.jpg").write_bytes(b"x")
    (folder / "a.heic").write_bytes(b"x")
    assert arrived.acquire(timeout=20)
    assert got == ["a.heic"]


def test_watch__renamed_when_whole(arrivals):
    folder, got, arrived = arrivals
    part = folder / "b.jpg.part"
    part.write_bytes(b"whole")
    part.rename(folder / "b.jpg")
    assert arrived.acquire(timeout=20)
    assert got == ["b.jpg"]


def test_watch__waits_until_it_has_stopped_growing(tmp_path, monkeypatch):
    """Each look finds it longer, until it stays; only then it is new."""
    photo = tmp_path / "c.jpg"
    sizes = iter([0, 10, 20, 30])
    now = [0.0]
    seen_at = []

    def glances(folder, stop):
        yield
        for _ in range(8):
            now[0] += 1.0
            size = next(sizes, None)
            if size is not None:
                photo.write_bytes(b"x" * size)
                os.utime(photo, ns=(0, size))
            yield

    monkeypatch.setattr(inbox, "_glances", glances)
    for path in inbox.watch(tmp_path, lambda: False, settle_s=1, clock=lambda: now[0]):
        seen_at.append((path.name, path.stat().st_size))
    assert seen_at == [("c.jpg", 30)]


def test_watch__rewritten_photo_is_new_again(tmp_path, monkeypatch):
    photo = tmp_path / "d.jpg"
    photo.write_bytes(b"first")
    now = [0.0]

    def glances(folder, stop):
        yield
        photo.write_bytes(b"second, longer")
        for _ in range(3):
            now[0] += 1.0
            yield

    monkeypatch.setattr(inbox, "_glances", glances)
    got = list(inbox.watch(tmp_path, lambda: False, settle_s=1, clock=lambda: now[0]))
    assert got == [photo]


def test_watch__missing_folder_is_said(tmp_path):
    with pytest.raises(NotFoundError, match="cannot be looked into"):
        next(inbox.watch(tmp_path / "gone", lambda: False))


def test_photos__newest_first(tmp_path):
    for name, age in [("a.jpg", 3), ("b.png", 1), ("c.webp", 2), ("d.txt", 0)]:
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (1000 - age, 1000 - age))
    assert [p.name for p in inbox.photos(tmp_path)] == ["b.png", "c.webp", "a.jpg"]
    assert [p.name for p in inbox.photos(tmp_path, at_most=1)] == ["b.png"]


def test_photos__missing_folder_is_said(tmp_path):
    with pytest.raises(NotFoundError):
        inbox.photos(tmp_path / "gone")
