"""Writers killed at any moment, two at once; a shorter run than the bench's 1,000."""

import subprocess
import sys
from pathlib import Path

import pytest
from builders import a_bird

from ledger.domain import Put
from ledger.errors import StoreInUseError
from ledger.store import open_store
from ledger.store.frames import line_of, scan

sys.path.insert(0, str(Path(__file__).parent))

import torture

ROOT = Path(__file__).parents[3]


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
def test_torture__no_confirmed_act_is_lost_and_none_is_half(tmp_path):
    count, known = torture.torture(tmp_path / "ledger", tries=60, seed=20260115)
    assert sum(count.values()) == 60
    assert known > 200  # it did store something between all that


HAMMER = """
import sys
from pathlib import Path
from ledger.domain import Event, EventKind, Kind, PartialDate, Put
from ledger.errors import StoreInUseError
from ledger.store import open_store
done = 0
while done < int(sys.argv[3]):
    try:
        with open_store(Path(sys.argv[1])) as store:
            event = Event(store.flock.next_id(Kind.EVENT), "b0001", EventKind.NOTE,
                          PartialDate(2026), text=f"{sys.argv[2]} {done}")
            store.commit([Put(event)], author=sys.argv[2], what="note")
    except StoreInUseError:
        continue
    done += 1
"""


def test_two_processes__hammering_one_ledger_lose_nothing(tmp_path):
    with open_store(tmp_path, create=True) as store:
        store.commit([Put(a_bird())], author="Nora", what="a bird")
    both = [
        subprocess.Popen(
            [sys.executable, "-c", HAMMER, str(tmp_path), name, "30"], cwd=ROOT
        )
        for name in ("Nora", "Max")
    ]
    # Meanwhile a third only looks, and never sees less than before.
    with open_store(tmp_path, read_only=True) as reader:
        seen = 0
        while any(process.poll() is None for process in both):
            now = len(reader.reload().events)
            assert now >= seen
            seen = now
    assert [process.wait() for process in both] == [0, 0]
    with open_store(tmp_path) as store:
        texts = [event.text for event in store.flock.events.values()]
        assert store.notices == ()
    assert len(texts) == 60
    assert set(texts) == {f"{who} {n}" for who in ("Nora", "Max") for n in range(30)}


def test_lock__a_killed_writer_holds_nothing(tmp_path):
    code = (
        "import os, signal, sys; from pathlib import Path\n"
        "from ledger.store import open_store\n"
        "store = open_store(Path(sys.argv[1]), create=True)\n"
        "print('open', flush=True); sys.stdin.read()\n"
    )
    holder = subprocess.Popen(
        [sys.executable, "-c", code, str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=ROOT,
    )
    assert holder.stdout.readline().strip() == b"open"
    with pytest.raises(StoreInUseError):
        open_store(tmp_path)
    holder.kill()
    holder.communicate()
    open_store(tmp_path).close()


def test_frames__check_is_the_crc_32_of_the_standard():
    # The check value of CRC-32/ISO-HDLC for "123456789", as catalogued by
    # https://reveng.sourceforge.io/crc-catalogue/all.htm (from memory).
    from zlib import crc32

    assert crc32(b"123456789") == 0xCBF43926
    line, check = line_of(0, "00000000", b"{}")
    assert line == check.encode() + b" 00000000 0 2 {}\n"
    assert int(check, 16) == crc32(b"00000000 0 2 {}")
    assert scan(line + b"  ").entries[0].payload == b"{}"
