"""A second window that only reads sees what the first one does, and never half."""

import threading

import pytest
from builders import a_bird, an_event

from ledger.domain import Drop, Kind, Put
from ledger.errors import StoreReadOnlyError
from ledger.store import lines as store_lines
from ledger.store import open_store
from ledger.store.lines import Lines


@pytest.fixture
def windows(tmp_path):
    with (
        open_store(tmp_path, create=True) as writer,
        open_store(tmp_path, read_only=True) as reader,
    ):
        yield writer, reader


def put(store, *things):
    return store.commit([Put(t) for t in things], author="Nora", what="put")


def test_reader__follows_act_by_act(windows):
    writer, reader = windows
    for number in range(1, 8):
        put(writer, a_bird(f"b{number:04d}"), an_event(f"e{number:04d}", "b0001"))
        assert reader.reload() == writer.flock
    writer.commit([Drop(Kind.BIRD, "b0004")], author="N", what="gone")
    put(writer, a_bird("b0002", "Another name"))
    assert reader.reload() == writer.flock
    assert reader.flock.events_of("b0001") == writer.flock.events_of("b0001")
    assert reader.flock.birds_named("another NAME")[0].id == "b0002"
    assert reader.flock.next_id(Kind.BIRD) == writer.flock.next_id(Kind.BIRD)


def test_reader__nothing_new_is_the_same_flock(windows):
    writer, reader = windows
    put(writer, a_bird())
    before = reader.reload()
    assert reader.reload() is before


def test_reader__follows_over_a_new_snapshot(windows, tmp_path):
    writer, reader = windows
    put(writer, a_bird())
    assert reader.reload() == writer.flock
    writer.close()  # writes a snapshot
    assert reader.reload() == writer.flock
    with open_store(tmp_path) as third:
        put(third, a_bird("b0002"))
        assert reader.reload() == third.flock
        assert reader.notices == ()


def test_reader__writes_nothing(windows, tmp_path):
    writer, reader = windows
    put(writer, a_bird())
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    before = [path.read_bytes() for path in files]
    reader.reload()
    with pytest.raises(StoreReadOnlyError):
        put(reader, a_bird("b0002"))
    reader.close()
    assert files == [path for path in tmp_path.rglob("*") if path.is_file()]
    assert [path.read_bytes() for path in files] == before


def test_flock__of_before_a_commit_stays_as_it_was(tmp_path):
    """Also where it had not been looked at yet."""
    with open_store(tmp_path, create=True) as store:
        put(store, *(a_bird(f"b{n:04d}") for n in range(1, 300)))
    with open_store(tmp_path) as store:
        before = store.flock
        put(store, a_bird("b0001", "Another"), an_event())
        for number in range(400, 500):
            put(store, a_bird(f"b{number:04d}"))
        assert before.birds["b0001"].name == "Pip"
        assert len(before.birds) == len(list(before.birds)) == 299
        assert not before.events
        assert len(store.flock.birds) == len(list(store.flock.birds)) == 399


def test_lines__what_is_added_while_another_page_looks_is_kept(monkeypatch):
    """A page looks through old acts in a thread while a new one is stored."""
    table = Lines.of({"1": {"what": "first"}, "2": {"what": "second"}})
    lines = Lines(table.text(), 2)
    take_apart = store_lines._taken_apart
    others = []

    def meanwhile(text):
        taken = take_apart(text)
        for act in (lambda: lines.add("3", b"{}"), lambda: lines.by_key, lines.text):
            others.append(threading.Thread(target=act))
            others[-1].start()
        return taken

    monkeypatch.setattr(store_lines, "_taken_apart", meanwhile)
    assert "1" in lines.by_key
    for thread in others:
        thread.join()
    assert list(lines.by_key) == ["1", "2", "3"]
    assert Lines(lines.text(), 3).by_key == lines.by_key
