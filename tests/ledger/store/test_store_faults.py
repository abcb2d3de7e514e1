"""Disks that fail or fill up: all that was confirmed is there, or a sentence says."""

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest
from builders import a_bird
from filelock import FileLock

from ledger.domain import Put
from ledger.errors import StoreDamagedError, StoreError
from ledger.store import FILE_NAME, loading, open_store
from ledger.store.journal import CHUNK, Journal

JOURNAL = "ledger.journal"


@pytest.fixture
def kept(tmp_path):
    """A store with one bird in it, closed."""
    folder = tmp_path / "kept"
    with open_store(folder, create=True) as store:
        store.commit([Put(a_bird())], author="Nora", what="first")
    return folder


@pytest.fixture(autouse=True)
def _no_waiting(monkeypatch):
    """Nobody else writes to these ledgers: no need to look again."""
    monkeypatch.setattr(loading, "_TRIES", 1)


@pytest.fixture
def left(kept):
    """A store as a killed program leaves it: one bird in the snapshot, five since."""
    store = open_store(kept)
    for number in range(2, 7):
        put_bird(store, number)
    yield kept
    store.close()


def put_bird(store, number):
    store.commit(
        [Put(a_bird(f"b{number:04d}", name="Ó“\n" * number))], author="N", what="put"
    )


def put_second(store):
    put_bird(store, 2)


def copy_of(folder, to):
    """The same files elsewhere: nobody holds their lock."""
    to.mkdir(exist_ok=True)
    for path in folder.iterdir():
        if path.is_file() and path.suffix != ".lock":
            (to / path.name).write_bytes(path.read_bytes())
    return to


def failing(code):
    def fail(*_args, **_options):
        raise OSError(code, os.strerror(code))

    return fail


def birds_in(folder):
    with open_store(folder, read_only=True) as store:
        return list(store.flock.birds)


def opened(folder):
    """Ids of the birds, or None; and what is told about the files."""
    try:
        with open_store(folder, read_only=True) as store:
            return list(store.flock.birds), " ".join(store.notices)
    except StoreError as error:
        return None, f"{error} {error.hint}"


ERRORS = [errno.ENOSPC, errno.EIO, errno.EROFS]


@pytest.mark.parametrize("code", ERRORS)
@pytest.mark.parametrize("place", ["os.fsync", "os.write"])
def test_disk_fails__nothing_is_stored(kept, monkeypatch, place, code):
    with open_store(kept) as store:
        with monkeypatch.context() as broken:
            broken.setattr(place, failing(code))
            with pytest.raises(StoreError, match="could not be written") as refused:
                put_second(store)
        assert os.strerror(code) in str(refused.value)
        assert list(store.flock.birds) == ["b0001"]
        assert birds_in(kept) == ["b0001"]
        put_second(store)  # once the disk is mended
        assert birds_in(kept) == ["b0001", "b0002"]
    assert birds_in(kept) == ["b0001", "b0002"]
    assert not list(kept.glob("*.part"))


@pytest.mark.parametrize("code", ERRORS)
@pytest.mark.parametrize("place", ["os.fsync", "os.write", "pathlib.Path.replace"])
def test_disk_fails__while_tidying_up__the_journal_has_it(
    kept, monkeypatch, place, code
):
    store = open_store(kept)
    put_second(store)
    with monkeypatch.context() as broken:
        broken.setattr(place, failing(code))
        store.close()
    assert not list(kept.glob("*.part"))
    assert birds_in(kept) == ["b0001", "b0002"]
    with open_store(kept) as store:
        put_bird(store, 3)
    assert birds_in(kept) == ["b0001", "b0002", "b0003"]


def test_write__short_ones_go_on_where_they_stopped(kept, monkeypatch):
    real = os.write
    with open_store(kept) as store:
        monkeypatch.setattr(os, "write", lambda handle, text: real(handle, text[:7]))
        put_second(store)
        monkeypatch.undo()
        assert birds_in(kept) == ["b0001", "b0002"]


def test_write__short_then_full__takes_back_the_half(kept, monkeypatch):
    real, calls = os.write, []

    def fill_up(handle, text):
        calls.append(1)
        if len(calls) > 1:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(handle, text[:30])

    with open_store(kept) as store:
        put_second(store)
        before = (kept / JOURNAL).read_bytes()
        with monkeypatch.context() as broken:
            broken.setattr(os, "write", fill_up)
            with pytest.raises(StoreError):
                put_bird(store, 3)
        assert (kept / JOURNAL).read_bytes() != before  # it could not take it back
        put_bird(store, 4)  # but does as soon as the disk lets it
        assert birds_in(kept) == ["b0001", "b0002", "b0004"]


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
        "    limit = (100_000, resource.RLIM_INFINITY)\n"
        "    resource.setrlimit(resource.RLIMIT_FSIZE, limit)\n"
        "    birds = [Put(Bird(f'b{n:04d}', 'x' * 500)) for n in range(2, 500)]\n"
        "    try: store.commit(birds, author='Nora', what='many')\n"
        "    except StoreError as error: print(error)\n"
        "    print(len(store.flock.birds))\n"
        "    store.commit(birds[:1], author='Nora', what='one')\n"
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
    assert (kept / JOURNAL).stat().st_size == CHUNK
    assert birds_in(kept) == ["b0001", "b0002"]


def test_folder_sync__a_disk_that_cannot_is_no_fault(kept, monkeypatch):
    real = os.fsync

    def refuse_folders(handle):
        if os.fstat(handle).st_mode & 0o040000:
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        real(handle)

    monkeypatch.setattr(os, "fsync", refuse_folders)
    with open_store(kept) as store:
        put_second(store)
    assert birds_in(kept) == ["b0001", "b0002"]


def test_links__a_disk_that_knows_none_keeps_the_old_snapshot_too(kept, monkeypatch):
    monkeypatch.setattr(os, "link", failing(errno.EPERM))
    with open_store(kept) as store:
        put_second(store)
    (kept / FILE_NAME).write_bytes(b"{")
    assert birds_in(kept) == ["b0001", "b0002"]


# --- a journal that is not as it was written ---


def test_journal__cut_anywhere__opens_with_what_is_whole(left, tmp_path):
    text = (left / JOURNAL).read_bytes()
    used = len(text.rstrip(b" "))
    there = copy_of(left, tmp_path / "cut")
    counts = set()
    for size in range(used + 1):
        (there / JOURNAL).write_bytes(text[:size])
        with open_store(there, read_only=True) as store:
            birds = list(store.flock.birds)
            assert store.notices  # however little is missing, it is told
        assert birds == [f"b{n:04d}" for n in range(1, len(birds) + 1)]
        counts.add(len(birds))
    assert counts == {1, 2, 3, 4, 5, 6}


@pytest.mark.parametrize("flip", [0x01, 0x80])
def test_journal__one_bit_wrong_anywhere__is_told_or_refused(left, tmp_path, flip):
    text = (left / JOURNAL).read_bytes()
    used = len(text.rstrip(b" "))
    there = copy_of(left, tmp_path / "flipped")
    whole = [f"b{n:04d}" for n in range(1, 7)]
    refused = 0
    for place in [*range(used), used + 1, used + 99, CHUNK - 1]:
        spoilt = bytearray(text)
        spoilt[place] ^= flip
        (there / JOURNAL).write_bytes(spoilt)
        birds, told = opened(there)
        if birds is None:
            refused += 1
            assert JOURNAL in told
        else:
            # Only the last act can be taken for one that was never finished.
            assert birds in (whole, whole[:-1])
            assert told
    assert refused > used / 2


def test_journal__gone__is_told_where_there_must_have_been_one(left, tmp_path):
    there = copy_of(left, tmp_path / "gone")
    (there / JOURNAL).unlink()
    birds, told = opened(there)
    assert birds == ["b0001"]
    assert "is missing" in told
    with open_store(there) as store:
        put_bird(store, 2)
    assert opened(there) == (["b0001", "b0002"], "")


def test_journal__none__where_only_a_snapshot_was_laid(left, tmp_path):
    (tmp_path / "copy").mkdir()
    (tmp_path / "copy" / FILE_NAME).write_bytes((left / FILE_NAME).read_bytes())
    assert opened(tmp_path / "copy") == (["b0001"], "")


def test_journal__cut_off__work_goes_on_and_the_rest_is_kept(left, tmp_path):
    there = copy_of(left, tmp_path / "cut")
    text = (there / JOURNAL).read_bytes().rstrip()
    (there / JOURNAL).write_bytes(text[:-20])
    with open_store(there) as store:
        assert "not whole" in store.notices[0]
        assert list(store.flock.birds)[-1] == "b0005"
        put_bird(store, 9)
    assert birds_in(there) == [f"b000{n}" for n in (1, 2, 3, 4, 5, 9)]
    (rest,) = there.glob("*cut-off*")
    assert text[:-20].endswith(rest.read_bytes())
    with open_store(there) as store:
        assert store.notices == ()


def test_journal__of_another_snapshot_is_refused(left, tmp_path):
    there = copy_of(left, tmp_path / "mixed")
    with open_store(tmp_path / "other", create=True) as store:
        put_bird(store, 50)
    for name in (FILE_NAME, "ledger.previous.json", "ledger.previous.journal"):
        (there / name).write_bytes((tmp_path / "other" / name).read_bytes())
    with pytest.raises(StoreDamagedError, match="does not go on from"):
        open_store(there, read_only=True)


def test_journal__an_act_missing_doubled_or_moved_is_refused(left, tmp_path):
    there = copy_of(left, tmp_path / "mixed")
    lines = (there / JOURNAL).read_bytes().splitlines(keepends=True)
    acts = lines[:6]
    for order in ([0, 1, 3, 4, 5], [0, 1, 1, 2, 3], [0, 2, 1, 3], [1, 2, 3]):
        (there / JOURNAL).write_bytes(b"".join(acts[n] for n in order))
        with pytest.raises(StoreDamagedError, match="is damaged in line"):
            open_store(there, read_only=True)


# --- a snapshot that is not as it was written ---


def test_snapshot__spoilt_anywhere__is_made_again(left, tmp_path):
    there = copy_of(left, tmp_path / "spoilt")
    path = there / FILE_NAME
    whole = path.read_bytes()
    every = [f"b{n:04d}" for n in range(1, 7)]
    for place in range(len(whole)):
        spoilt = bytearray(whole)
        spoilt[place] ^= 0x01
        path.write_bytes(spoilt)
        birds, told = opened(there)
        if birds is None:  # the number of the form is a later one
            assert "later version" in told
        else:
            assert birds == every
            assert "made again" in told
    for size in range(len(whole)):
        path.write_bytes(whole[:size])
        assert birds_in(there) == every
    path.unlink()
    assert birds_in(there) == every


def test_snapshot__made_again__is_laid_back_and_the_damaged_one_kept(left, tmp_path):
    there = copy_of(left, tmp_path / "spoilt")
    whole = (there / FILE_NAME).read_bytes()
    (there / FILE_NAME).write_bytes(whole[:-9])
    store = open_store(there)
    put_bird(store, 7)
    assert (there / FILE_NAME).read_bytes() == whole
    store.close()
    (damaged,) = there.glob("*damaged*")
    assert damaged.read_bytes() == whole[:-9]
    assert len(birds_in(there)) == 7


def test_snapshot__cut_anywhere_with_nothing_before_it_is_refused(kept, tmp_path):
    there = tmp_path / "alone"
    there.mkdir()
    path = there / FILE_NAME
    whole = (kept / FILE_NAME).read_bytes()
    for size in range(len(whole)):
        path.write_bytes(whole[:size])
        with pytest.raises(StoreDamagedError, match=FILE_NAME):
            open_store(there)
        assert path.stat().st_size == size
    path.write_bytes(whole)
    assert birds_in(there) == ["b0001"]


def test_snapshot__one_bit_wrong_with_nothing_before_it_is_refused(kept, tmp_path):
    there = tmp_path / "alone"
    there.mkdir()
    whole = (kept / FILE_NAME).read_bytes()
    for place in range(len(whole)):
        spoilt = bytearray(whole)
        spoilt[place] ^= 0x01
        (there / FILE_NAME).write_bytes(spoilt)
        with pytest.raises(StoreError, match=FILE_NAME):
            open_store(there, read_only=True)


# --- folders ---


def test_folder_not_writable__says_so_and_can_be_read(kept, monkeypatch):
    # Not by permissions: whoever runs the tests may be allowed everything.
    monkeypatch.setattr(FileLock, "acquire", failing(errno.EROFS))
    with pytest.raises(StoreError, match="cannot be written to") as refused:
        open_store(kept)
    assert "reading only" in refused.value.hint
    assert birds_in(kept) == ["b0001"]


def test_file_not_readable__says_so(kept, monkeypatch):
    monkeypatch.setattr(Path, "open", failing(errno.EACCES))
    with pytest.raises(StoreError, match="cannot be read"):
        open_store(kept, read_only=True)


def test_tidying_up__while_the_journal_of_before_still_lies_there(kept, monkeypatch):
    """Killed between the new snapshot and its journal, then a disk that refuses."""
    store = open_store(kept)
    put_second(store)
    with monkeypatch.context() as killed:
        killed.setattr(Journal, "begin", failing(errno.EIO))
        with pytest.raises(StoreError):
            store._file.compact()
    store._lock.release()
    with open_store(kept) as store:
        with monkeypatch.context() as broken:
            broken.setattr(Journal, "begin", failing(errno.EIO))
            with pytest.raises(StoreError):
                put_bird(store, 3)
            with pytest.raises(StoreError):
                store._file.compact()
        assert birds_in(kept) == ["b0001", "b0002"]
        store._file.compact()
        put_bird(store, 4)
        assert birds_in(kept) == ["b0001", "b0002", "b0004"]


def test_disk_fails_for_a_while__nothing_confirmed_is_written_over(kept, monkeypatch):
    """Neither writing nor reading works for some time; then both do again."""
    with open_store(kept) as store:
        for number in range(2, 6):
            put_bird(store, number)
        with monkeypatch.context() as broken:
            broken.setattr(os, "write", failing(errno.EIO))
            broken.setattr(Path, "open", failing(errno.EIO))
            for _ in range(3):
                with pytest.raises(StoreError):
                    put_bird(store, 6)
        put_bird(store, 7)
        every = [f"b{n:04d}" for n in (1, 2, 3, 4, 5, 7)]
        assert list(store.flock.birds) == birds_in(kept) == every
    assert birds_in(kept) == every
