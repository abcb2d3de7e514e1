"""Disks that fail or fill up, programs killed: the old ledger whole, or a sentence."""

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from builders import a_bird
from filelock import FileLock

from ledger.domain import Put
from ledger.errors import StoreDamagedError, StoreError
from ledger.store import FILE_NAME, open_store


@pytest.fixture
def kept(tmp_path):
    """A store with one bird in it."""
    with open_store(tmp_path, create=True) as store:
        store.commit([Put(a_bird())], author="Nora", what="first")
    return tmp_path


def put_second(store):
    store.commit([Put(a_bird("b0002"))], author="Nora", what="second")


def failing(code):
    def fail(*_args, **_options):
        raise OSError(code, os.strerror(code))

    return fail


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EROFS])
@pytest.mark.parametrize("place", ["os.fsync", "pathlib.Path.replace"])
def test_disk_fails__the_old_ledger_stays_whole(kept, monkeypatch, place, code):
    before = (kept / FILE_NAME).read_bytes()
    with open_store(kept) as store:
        with monkeypatch.context() as broken:
            broken.setattr(place, failing(code))
            with pytest.raises(StoreError, match="could not be written") as refused:
                put_second(store)
        assert os.strerror(code) in str(refused.value)
        assert (kept / FILE_NAME).read_bytes() == before
        assert list(store.flock.birds) == ["b0001"]
        assert not list(kept.glob("*.part"))
        put_second(store)  # once the disk is mended
    with open_store(kept) as store:
        assert list(store.flock.birds) == ["b0001", "b0002"]


@pytest.mark.skipif(os.name != "posix", reason="only POSIX syncs folders")
def test_folder_sync_fails__what_is_shown_is_what_lies_there(kept, monkeypatch):
    real, calls = os.fsync, []

    def fail_second(handle):
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        real(handle)

    with open_store(kept) as store:
        monkeypatch.setattr(os, "fsync", fail_second)
        with pytest.raises(StoreError):
            put_second(store)
        monkeypatch.undo()
        assert set(store.flock.birds) == set(
            json.loads((kept / FILE_NAME).read_bytes())["birds"]
        )
        store.commit([Put(a_bird("b0003"))], author="Nora", what="third")


@pytest.mark.skipif(os.name != "posix", reason="only POSIX syncs folders")
def test_folder_sync__a_disk_that_cannot_is_no_fault(kept, monkeypatch):
    real, calls = os.fsync, []

    def refuse_folders(handle):
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        real(handle)

    with open_store(kept) as store:
        monkeypatch.setattr(os, "fsync", refuse_folders)
        put_second(store)
        assert len(calls) == 2
    assert "b0002" in json.loads((kept / FILE_NAME).read_bytes())["birds"]


@pytest.mark.skipif(os.name != "posix", reason="needs a limit on file sizes")
def test_disk_full__the_old_ledger_stays_whole(kept):
    """A real short write: the system refuses to let the file grow."""
    code = (
        "import resource, signal, sys\n"
        "from pathlib import Path\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "from ledger.domain import Bird, Put\n"
        "from ledger.errors import StoreError\n"
        "from ledger.store import open_store\n"
        "with open_store(Path(sys.argv[1])) as store:\n"
        "    limit = (4096, resource.RLIM_INFINITY)\n"
        "    resource.setrlimit(resource.RLIMIT_FSIZE, limit)\n"
        "    birds = [Put(Bird(f'b{n:04d}', 'x' * 50)) for n in range(2, 500)]\n"
        "    try: store.commit(birds, author='Nora', what='many')\n"
        "    except StoreError as error: print(error)\n"
        "    print(len(store.flock.birds))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(kept)],
        capture_output=True,
        text=True,
        check=True,
    )
    said, count = done.stdout.splitlines()
    assert "could not be written" in said
    assert count == "1"
    assert not list(kept.glob("*.part"))
    with open_store(kept) as store:
        assert list(store.flock.birds) == ["b0001"]


KILLED = """
import os, sys
from pathlib import Path
from ledger.domain import Bird, Put
from ledger.store import open_store
place, after = sys.argv[2], int(sys.argv[3])
owner, name = (os, "fsync") if place == "fsync" else (Path, "replace")
real, calls = getattr(owner, name), []
def kill(*args, **options):
    calls.append(1)
    if len(calls) == after:
        os._exit(9)
    return real(*args, **options)
store = open_store(Path(sys.argv[1]))
setattr(owner, name, kill)
for number in (2, 3):
    store.commit([Put(Bird(f"b{number:04d}"))], author="Nora", what="one more")
    print(number, flush=True)
"""


@pytest.mark.parametrize(
    ("place", "after"),
    [("fsync", 1), ("fsync", 2), ("fsync", 3), ("replace", 1), ("replace", 2)],
)
def test_killed__every_confirmed_change_is_there(kept, place, after):
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(kept), place, str(after)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 9, done.stderr
    confirmed = {f"b{int(line):04d}" for line in done.stdout.split()}
    with open_store(kept) as store:
        there = set(store.flock.birds)
        assert {"b0001"} | confirmed <= there
        assert len(there - confirmed - {"b0001"}) <= 1  # the act in progress
        assert not list(kept.glob("*.part"))  # swept at opening
        put_last(store)


def put_last(store):
    store.commit([Put(a_bird("b0099"))], author="Nora", what="goes on")


def test_truncated__anywhere_is_refused_with_a_sentence(kept):
    path = kept / FILE_NAME
    whole = path.read_bytes()
    for size in range(len(whole) - 1):  # the last newline may go
        path.write_bytes(whole[:size])
        with pytest.raises(StoreDamagedError, match=r"is not a whole ledger"):
            open_store(kept)
        assert path.stat().st_size == size
    path.write_bytes(whole)
    with open_store(kept) as store:
        assert list(store.flock.birds) == ["b0001"]


def test_folder_not_writable__says_so_and_can_be_read(kept, monkeypatch):
    # Not by permissions: whoever runs the tests may be allowed everything.
    monkeypatch.setattr(FileLock, "acquire", failing(errno.EROFS))
    with pytest.raises(StoreError, match="cannot be written to") as refused:
        open_store(kept)
    assert "reading only" in refused.value.hint
    assert list(open_store(kept, read_only=True).flock.birds) == ["b0001"]


def test_file_not_readable__says_so(kept, monkeypatch):
    monkeypatch.setattr(Path, "open", failing(errno.EACCES))
    with pytest.raises(StoreError, match="cannot be read"):
        open_store(kept, read_only=True)
