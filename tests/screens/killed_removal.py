"""A removal entered in the program that is killed on the way; then what is left.

Run as a program it is the keeper: it walks the steps by keys, and dies where it is
told to, by SIGKILL: before one of the steps, or at one of the calls to the system
that store it.
"""

import asyncio
import os
import signal
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "screens")]

CODE = "372098100000001"
STEPS = (
    {"reason": "leg swollen"},
    {"vet": "Una Keogh", "weight": "410"},
    {"ring_kept": "envelope 7"},
    {},
    {"chip": CODE, "scan": CODE},
)


def a_ledger(folder):
    """A bird with its ring."""
    from builders import a_bird, a_ring
    from screen_walk import a_store

    return a_store(
        folder,
        [
            a_bird("b0003", "Pip", hatched="2019", species="Psittacus erithacus"),
            a_ring("r0001", "IE TWK / 19 0174", bird="b0003", put_on="2019"),
        ],
    )


async def enter(folder, photo, call, at):
    """Walk the steps; `call` "step": die before that step is left."""
    from screen_walk import arrive, until, walking, words

    from ledger.screens.removal import RemovalScreen
    from ledger.widgets.form import Form
    from tests.ledger.store.torture import spoil

    async with walking(folder) as pilot:
        pilot.app.push_screen(RemovalScreen(pilot.app.screen.desk, "b0003"))
        await arrive(pilot, "RemovalScreen")
        for number, lines in enumerate(STEPS, 1):
            await until(pilot, lambda n=number: f"{n} of" in words(pilot, "#step"))
            await pilot.pause()
            form = pilot.app.screen.query_one(Form)
            for name, value in lines.items():
                form.put(name, value)
            if number == 3:
                form.put("photos", str(photo))
            if call == "step" and number == at:
                os.kill(os.getpid(), signal.SIGKILL)
            await pilot.press("enter")
        await until(pilot, lambda: "All of it" in words(pilot, "#step"))
        if call == "step":
            os.kill(os.getpid(), signal.SIGKILL)
        spoil(call, at, "kill after" if at % 2 else "kill")
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
        sys.stdout.write("stored\n")
        sys.stdout.flush()
        os.kill(os.getpid(), signal.SIGKILL)


def one_try(folder, photo, call, at):
    """Kill it there, then look.

    Returns:
        "all" or "nothing", and whether the program had said that it was stored.

    Raises:
        AssertionError: something in between is left, or what was said is not so.
    """
    a_ledger(folder)
    command = [sys.executable, __file__, folder, photo, call, at]
    done = subprocess.run(
        list(map(str, command)), capture_output=True, text=True, check=False
    )
    assert done.returncode == -signal.SIGKILL, done.stderr
    left = look(folder)
    said = "stored" in done.stdout
    assert left == "all" or not said
    return left, said


def look(folder):
    """What the ledger holds after the kill: all of the removal, or nothing of it."""
    from ledger.domain import RingState
    from ledger.domain.rules import check
    from ledger.store import open_store

    with open_store(folder) as store:
        flock = store.flock
        ring = flock.rings["r0001"]
        parts = {
            "ring off": ring.state is RingState.REMOVED,
            "why": bool(ring.removed_reason),
            "joined": ring.replaced_by is not None,
            "chip": bool(flock.chips),
            "events": len(flock.events) == 2,
            "paper": bool(flock.removals),
            "photo": bool(flock.photos),
        }
        assert len(set(parts.values())) == 1, parts
        assert not [f for f in check(flock) if f.severity == "error"]
        for photo in flock.photos.values():
            assert (folder / "photos" / f"{photo.sha256}.jpg").is_file()
    return "all" if parts["chip"] else "nothing"


if __name__ == "__main__":
    place, picture, what, where = sys.argv[1:]
    os.environ.setdefault("FLOCK_LEDGER_HOME", str(Path(place).parent / "home"))
    asyncio.run(enter(Path(place), Path(picture), what, int(where)))
