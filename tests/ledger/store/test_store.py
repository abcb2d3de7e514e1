"""A real store on a real disk: what is kept, who may write, what is refused."""

import datetime as dt
import json
import os
import stat
import subprocess
import sys

import pytest
from builders import a_bird, an_event

from ledger.domain import Drop, Flock, Kind, Put
from ledger.errors import (
    StoreChangedError,
    StoreDamagedError,
    StoreError,
    StoreInUseError,
    StoreMissingError,
    StoreNewerError,
    StoreReadOnlyError,
)
from ledger.store import CHANGES, FILE_NAME, open_store, schema
from ledger.store.schema import SCHEMA

NOON = dt.datetime(2026, 1, 15, 12, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "vol [1] ä"


def a_store(folder, **options):
    return open_store(folder, create=True, clock=lambda: NOON, **options)


def put(store, *things):
    return store.commit([Put(t) for t in things], author="Nora", what="a test")


def tables(folder):
    return json.loads((folder / FILE_NAME).read_bytes())


def contents(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def without_seal(folder):
    """The file as somebody leaves it who edits it and takes the seal out."""
    known = tables(folder)
    del known["seal"]
    return known


def test_create__an_empty_flock(folder):
    with a_store(folder) as store:
        assert store.flock == Flock.of()
    with open_store(folder) as store:
        assert store.flock == Flock.of()


def test_create__leaves_what_is_there(folder):
    with a_store(folder) as store:
        put(store, a_bird())
    with a_store(folder) as store:
        assert "b0001" in store.flock.birds


@pytest.mark.parametrize("read_only", [True, False])
def test_open__nothing_there(folder, read_only):
    with pytest.raises(StoreMissingError, match="There is no ledger"):
        open_store(folder, read_only=read_only)
    assert not folder.exists()


def test_open__the_folder_is_a_file(tmp_path):
    place = tmp_path / "file"
    place.write_text("mine")
    with pytest.raises(StoreMissingError):
        open_store(place)
    with pytest.raises(StoreError, match="cannot be made"):
        open_store(place, create=True)
    assert place.read_text() == "mine"


def test_commit__comes_back(folder):
    with a_store(folder) as store:
        flock = put(store, a_bird(hatched="spring 2019"), an_event())
        assert store.flock is flock
    with open_store(folder) as store:
        assert store.flock == flock


def test_commit__all_changes_of_an_act_in_one_write(folder, monkeypatch):
    with a_store(folder) as store:
        put(store, a_bird("b0098"))  # begins the journal
        put(store, a_bird("b0099"))  # makes the day's backup
        writes = []
        real = os.fsync
        monkeypatch.setattr(os, "fsync", lambda f: (writes.append(f), real(f)))
        put(store, *(a_bird(f"b{n:04d}") for n in range(1, 40)), an_event())
        assert len(writes) == 1


def test_commit__nothing_writes_nothing(folder):
    with a_store(folder) as store:
        before = contents(folder)
        store.commit([], author="Nora", what="nothing")
        assert contents(folder) == before


def test_commit__leaves_a_trace_of_what_was_there(folder):
    with a_store(folder) as store:
        put(store, a_bird(name="Pip"))
        put(store, a_bird(name="Pippa"))
        store.commit([Drop(Kind.BIRD, "b0001")], author="Max", what="gone")
    first, second, third = tables(folder)[CHANGES].values()
    assert (first["time"], first["author"]) == ("2026-01-15T12:00:00+00:00", "Nora")
    assert first["entries"] == [{"kind": "birds", "id": "b0001", "did": "add"}]
    assert second["entries"][0]["before"]["name"] == "Pip"
    assert (third["author"], third["what"]) == ("Max", "gone")
    assert third["entries"][0]["did"] == "drop"
    assert third["entries"][0]["before"]["name"] == "Pippa"


def test_commit__put_and_drop_in_one_act_follow_their_order(folder):
    with a_store(folder) as store:
        store.commit(
            [Put(a_bird()), Drop(Kind.BIRD, "b0001"), Drop(Kind.BIRD, "b0002")],
            author="Nora",
            what="in and out",
        )
        store.commit(
            [Drop(Kind.BIRD, "b0003"), Put(a_bird("b0003"))], author="N", what="back"
        )
        flock = store.flock
    with open_store(folder) as store:
        assert store.flock == flock
        assert list(store.flock.birds) == ["b0003"]


def test_ids__are_not_given_again_after_reopening(folder):
    with a_store(folder) as store:
        put(store, a_bird("b0007"))
        store.commit([Drop(Kind.BIRD, "b0007")], author="Nora", what="gone")
    with open_store(folder) as store:
        assert store.flock.next_id(Kind.BIRD) == "b0008"


def test_file__one_document_a_line(folder):
    with a_store(folder) as store:
        put(store, *(a_bird(f"b{n:04d}", notes='a\n"b"') for n in range(1, 4)))
    lines = (folder / FILE_NAME).read_text(encoding="utf-8").splitlines()
    assert sum(line.startswith('"b000') for line in lines) == 3


def test_file__unknown_fields_tables_and_meta_survive(folder):
    a_store(folder).close()
    path = folder / FILE_NAME
    known = without_seal(folder)
    known["meta"]["ledger"]["colour"] = "green"
    known["feeds"] = {"1": {"seed": "millet"}}
    known["birds"] = {"b0001": {"name": "Pip", "moult": "late"}}
    path.write_text(json.dumps(known), encoding="utf-8")
    with open_store(folder) as store:
        put(store, a_bird("b0002"))
    after = tables(folder)
    assert after["meta"]["ledger"]["colour"] == "green"
    assert after["feeds"] == {"1": {"seed": "millet"}}
    assert after["birds"]["b0001"]["moult"] == "late"


@pytest.mark.skipif(os.name != "posix", reason="modes are a matter of POSIX")
def test_file__keeps_its_mode(folder):
    with a_store(folder) as store:
        (folder / FILE_NAME).chmod(0o640)
        put(store, a_bird())
    assert stat.S_IMODE((folder / FILE_NAME).stat().st_mode) == 0o640


def test_lock__a_second_opener_is_refused_but_may_read(folder):
    with a_store(folder) as store:
        put(store, a_bird())
        with pytest.raises(StoreInUseError, match="open in another window") as refused:
            open_store(folder)
        assert refused.value.hint
        reader = open_store(folder, read_only=True)
        assert reader.flock == store.flock
        put(store, a_bird(name="Pippa"))
        assert reader.flock.birds["b0001"].name == "Pip"
        assert reader.reload() == store.flock
    open_store(folder).close()


def test_lock__holds_between_processes(folder):
    with a_store(folder):
        code = (
            "import sys; from pathlib import Path\n"
            "from ledger.errors import StoreInUseError\n"
            "from ledger.store import open_store\n"
            "try: open_store(Path(sys.argv[1]))\n"
            "except StoreInUseError: print('in use')"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, str(folder)],
            capture_output=True,
            text=True,
            check=True,
        )
    assert done.stdout.strip() == "in use"


def test_lock__is_let_go_when_opening_fails(folder):
    a_store(folder).close()
    whole = (folder / FILE_NAME).read_bytes()
    (folder / FILE_NAME).write_bytes(b"{")
    for _ in range(2):
        with pytest.raises(StoreDamagedError):
            open_store(folder)
    (folder / FILE_NAME).write_bytes(whole)
    open_store(folder).close()


def test_read_only__takes_no_change_and_no_lock(folder):
    a_store(folder).close()
    (folder / "ledger.lock").unlink(missing_ok=True)
    with open_store(folder, read_only=True) as store:
        with pytest.raises(StoreReadOnlyError, match="reading only"):
            put(store, a_bird())
        assert store.read_only
    assert [path.name for path in folder.iterdir()] == [FILE_NAME]


def test_another_program__changed_the_file(folder):
    with a_store(folder) as store:
        path = folder / FILE_NAME
        known = without_seal(folder)
        known["birds"] = {"b0007": {"name": "Theirs"}}
        path.write_text(json.dumps(known), encoding="utf-8")
        theirs = path.read_bytes()
        with pytest.raises(StoreChangedError, match="Another program changed"):
            put(store, a_bird())
        assert path.read_bytes() == theirs
        # What is shown from then on is what lies there, and work can go on.
        assert list(store.flock.birds) == ["b0007"]
        put(store, a_bird())
    assert list(tables(folder)["birds"]) == ["b0007", "b0001"]


def test_another_program__spoilt_the_file(folder):
    with a_store(folder) as store:
        put(store, a_bird())
        path = folder / FILE_NAME
        theirs = path.read_bytes().replace(b'"schema"', b'"Schema"')
        path.write_bytes(theirs)
        for refusal in (StoreChangedError, StoreDamagedError, StoreDamagedError):
            with pytest.raises(refusal):
                put(store, a_bird("b0002"))
        assert path.read_bytes() == theirs
        assert list(store.flock.birds) == ["b0001"]


@pytest.mark.parametrize("what", ["deleted", "replaced", "shortened"])
def test_another_program__touched_the_journal(folder, what):
    with a_store(folder) as store:
        put(store, a_bird())
        path = folder / "ledger.journal"
        text = path.read_bytes()
        path.unlink()
        if what == "replaced":
            (folder / "theirs").write_bytes(text)
            (folder / "theirs").replace(path)
        elif what == "shortened":
            path.write_bytes(text[:-1])
        with pytest.raises(StoreChangedError, match=r"ledger\.journal"):
            put(store, a_bird("b0002"))


def test_another_program__deleted_the_file(folder):
    with a_store(folder) as store:
        (folder / FILE_NAME).unlink()
        with pytest.raises(StoreChangedError):
            put(store, a_bird())


@pytest.mark.parametrize("rest", ["", "and then?"])
def test_schema__a_newer_one_is_refused_and_left_alone(folder, rest):
    a_store(folder).close()
    path = folder / FILE_NAME
    text = path.read_text().replace(f'"schema": {SCHEMA}', f'"schema": {SCHEMA + 1}')
    # What a later version holds may make no sense here.
    path.write_text(text.replace("{}", '{"dragons": "x"}') + rest)
    before = path.read_bytes()
    with pytest.raises(StoreNewerError, match="later version"):
        open_store(folder)
    assert path.read_bytes() == before


def test_schema__an_older_one_is_brought_up_step_by_step(folder, monkeypatch):
    with a_store(folder) as store:
        put(store, a_bird(name="Pip"))

    def shout(tables):
        birds = {
            k: {**d, "name": d["name"].upper()} for k, d in tables["birds"].items()
        }
        return {**tables, "birds": birds}

    monkeypatch.setattr(schema, "SCHEMA", SCHEMA + 1)
    monkeypatch.setitem(schema.MIGRATIONS, SCHEMA, shout)
    with open_store(folder) as store:
        assert store.flock.birds["b0001"].name == "PIP"
        put(store, a_bird("b0002", "Juno"))
    assert tables(folder)["meta"]["ledger"]["schema"] == SCHEMA + 1
    with open_store(folder) as store:
        assert [bird.name for bird in store.flock.birds.values()] == ["PIP", "Juno"]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "null",
        "[]",
        "{}",
        "7",
        '{"meta": {}}',
        '{"meta": 3}',
        '{"meta": {"ledger": {"schema": "1"}}}',
        '{"meta": {"ledger": {"schema": true}}}',
        '{"meta": {"ledger": {"schema": 0}}}',
        '{"meta": {"ledger": {"schema": 1}}, "birds": []}',
        '{"meta": {"ledger": {"schema": 1}}, "birds": {"b0001": 1}}',
        '{"meta": {"ledger": {"schema": 1}}, "birds": {"b0001": {"sex": "x"}}}',
        '{"meta": {"ledger": {"schema": 1, "last_numbers": {"x": 1}}}}',
        '{"meta": {"ledger": {"schema": 1, "last_numbers": 1}}}',
        "[" * 100_000,
    ],
)
@pytest.mark.parametrize("read_only", [True, False])
def test_damaged__is_refused_by_name_and_left_alone(tmp_path, text, read_only):
    path = tmp_path / FILE_NAME
    path.write_text(text)
    with pytest.raises(StoreDamagedError) as refused:
        open_store(tmp_path, read_only=read_only)
    assert str(path) in str(refused.value)
    assert path.read_text() == text


def test_damaged__bytes_that_are_no_text(tmp_path):
    (tmp_path / FILE_NAME).write_bytes(b"\xff\xfe\x00\x80")
    with pytest.raises(StoreDamagedError):
        open_store(tmp_path)
