"""A whole walk-through by keys: 300 birds in 40 aviaries, with a planted truth.

    python tests/bench/walk_round.py            in the program, without a terminal
    python tests/bench/walk_round.py --tmux     the same keys in a real terminal

The demo flock is laid out as 40 aviaries. Six birds were moved, three are missing, two
strangers are there, one bird is recorded as dead and one ring is on two birds. A keeper
types the end of each ring, looks at what the program makes of it, and types more where
it is not the ring in hand; every tenth bird is ticked by sight. Printed: keystrokes and
seconds per bird, and whether the list of differences is the planted one.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from ledger.app import LedgerApp  # noqa: E402
from ledger.domain import Drop, EventKind, Kind, Put, RingState, Status  # noqa: E402
from ledger.rings.last_signs import ending_of  # noqa: E402
from ledger.services import book, walk_differences, walk_summary  # noqa: E402
from ledger.services.walk_plan import worn_ring  # noqa: E402
from ledger.settings import Settings  # noqa: E402

N_BIRDS, N_AVIARIES = 300, 40
STRANGERS = ("SLO 19 / 4418", "HAX 22 0907")
KEYS = {" ": "space", "/": "slash", "?": "question_mark"}
STATES = {40: "1", 90: "2", 160: "8412.5\n", 240: "6"}
"""After these birds: Right and this."""


@dataclass
class Here:
    """One bird as it stands before the keeper."""

    ring: str
    bird: str | None = None
    by_sight: bool = False


@dataclass
class Truth:
    """Where everybody really is."""

    aviaries: dict[str, list[Here]]
    planted: Counter[tuple[str, str]] = field(default_factory=Counter)
    """Kind of difference, and bird id or ring."""


def lay_out(folder: Path) -> None:
    """The demo flock as 40 aviaries with 300 living birds."""
    shutil.copytree(ROOT / "demo_db", folder, ignore=shutil.ignore_patterns("*.py"))
    with book.open_ledger(folder) as ledger:
        flock = ledger.flock
        worn = [r.bird for r in flock.rings.values() if r.state is RingState.ON_BIRD]
        birds = [b for b in flock.birds.values() if b.id in set(worn)][-N_BIRDS:]
        changes = []
        for number, bird in enumerate(birds):
            aviary = f"Aviary {number % N_AVIARIES + 1}"
            alive = replace(bird, status=Status.ALIVE, location=aviary, owner=None)
            changes.append(Put(alive))
            changes += [
                Drop(Kind.EVENT, event.id)
                for event in flock.events_of(bird.id)
                if event.kind is EventKind.DIED
            ]
        here = {bird.id for bird in birds}
        changes += [
            Put(replace(b, status=Status.DEAD, location=""))
            for b in flock.birds.values()
            if b.id not in here and b.status is Status.ALIVE
        ]
        ledger.commit_unchecked(changes, author="bench", what="laid out")


def plant(folder: Path, seed: int) -> Truth:
    """Six moved, three missing, two strangers, one dead, one double."""
    with book.open_ledger(folder, read_only=True) as ledger:
        flock = ledger.flock
    chance = random.Random(seed)
    living = [b for b in flock.birds.values() if b.status is Status.ALIVE]
    names = sorted({b.location for b in living}, key=lambda n: int(n.split()[1]))
    truth = Truth({name: [] for name in names})
    odd = chance.sample([b for b in living if b.location != names[-1]], 10)
    moved, missing, (double,) = odd[:6], odd[6:9], odd[9:]
    by_sight = set(chance.sample([b.id for b in living if b not in odd], N_BIRDS // 10))

    def put(aviary: str, ring: str, bird: str | None) -> None:
        truth.aviaries[aviary].append(Here(ring, bird, bird in by_sight))

    for bird in living:
        ring = worn_ring(flock, bird.id)
        if bird in missing:
            truth.planted["missing", bird.id] += 1
            continue
        where = bird.location
        if bird in moved:
            where = chance.choice([n for n in names if n != bird.location])
            truth.planted["wrong aviary", bird.id] += 1
        put(where, ring, bird.id)
    for ring in STRANGERS:
        put(chance.choice(names), ring, None)
        truth.planted["unknown ring", ring] += 1
    dead = chance.choice([
        b for b in flock.birds.values()
        if b.status is Status.DEAD and worn_ring(flock, b.id)
    ])  # fmt: skip
    put(chance.choice(names), worn_ring(flock, dead.id), dead.id)
    truth.planted["recorded dead", dead.id] += 1
    later = names[names.index(double.location) + 1 :]
    put(chance.choice(later), worn_ring(flock, double.id), double.id)
    truth.planted["seen twice", double.id] += 1
    for birds in truth.aviaries.values():
        chance.shuffle(birds)
    return truth


@dataclass
class Walked:
    """What the round took."""

    keys: list[list[str]] = field(default_factory=list)
    """Pressed for each bird, then for closing; in order."""
    of_birds: list[int] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    typed_more: int = 0


def settings() -> Settings:
    """A keeper's."""
    return Settings(keeper="Bench", pictures="none")


async def walk_by_pilot(folder: Path, truth: Truth) -> Walked:
    """Walk the round in the program; every key is what a keeper would press."""
    app = LedgerApp(folder, settings=settings())
    walked = Walked()
    async with app.run_test(size=(80, 24)) as pilot:
        while len(app.screen_stack) < 2:
            await pilot.pause(0.05)

        async def press(*keys: str) -> None:
            walked.keys[-1] += keys
            await pilot.press(*keys)

        async def start(*keys: str) -> None:
            walked.keys.append([])
            await press(*keys)
            await pilot.pause()

        await start("f7")
        await start("enter")
        number = 0
        for _ in truth.aviaries:
            name = app.screen.stop.aviary
            for here in truth.aviaries[name]:
                began = time.perf_counter()
                walked.keys.append([])
                await see(pilot, press, here, walked)
                number += 1
                if number in STATES:
                    await press("right")
                    await pilot.pause()
                    await press(*spelled(STATES[number]))
                    await pilot.pause()
                walked.seconds.append(time.perf_counter() - began)
                walked.of_birds.append(len(walked.keys[-1]))
            walked.keys.append([])
            await press("enter")
            await pilot.pause()
            if type(app.screen).__name__ == "AskScreen":
                await press("1")
                await pilot.pause()
        await start("r")
        await start("e")
        await pilot.pause()
        await start("a")
        await start("1")
        await pilot.pause()
    return walked


def spelled(text: str) -> list[str]:
    """Keys that type a text; a line end is Enter."""
    return [{"\n": "enter", ".": "full_stop", **KEYS}.get(sign, sign) for sign in text]


async def see(pilot, press, here: Here, walked: Walked) -> None:
    """One bird: its ring's end, more of it where that is not enough, then Enter."""
    screen = pilot.app.screen
    if here.by_sight:
        rows = screen.query_one("#birds")
        places = [row.key for row in rows.rows]
        steps = places.index(here.bird) - rows.cursor
        await press(*(["down"] * steps if steps > 0 else ["up"] * -steps), "space")
        await pilot.pause()
        return
    typed = ""
    whole = "".join(sign for sign in here.ring if sign.isalnum() or sign == " ")
    for attempt in (ending_of(here.ring), ending_long(here.ring), whole):
        if attempt == typed:
            continue
        if typed:
            walked.typed_more += 1
            await press("escape")
        await press(*spelled(attempt.lower()))
        typed = attempt
        await pilot.pause()
        found = screen._found
        shown = found.fits[0].ring if found.fits else ""
        if shown == here.ring and not found.is_open:
            break
        if here.bird is None and attempt == whole and not found.fits:
            break
    if found.is_open:  # the right one of several is marked by hand
        rings = [fit.ring for fit in found.fits]
        place = rings.index(here.ring) if here.ring in rings else 0
        await press(*["down"] * place)
        if not place:
            listed = min(len(rings), 6)
            await press("enter")
            await pilot.pause()
            await press("1" if here.ring in rings else str(listed + 1))
        else:
            await press("enter")
    else:
        await press("enter")
    await pilot.pause()
    if type(pilot.app.screen).__name__ == "AskScreen":
        await press("1")
        await pilot.pause()


def ending_long(ring: str) -> str:
    """Four signs of the serial's end: what a keeper types when two do not do."""
    parts = [part for part in ring.split() if part.isdecimal()]
    end = ending_of(ring)
    return next((p for p in reversed(parts) if p.endswith(end)), end)[-4:]


def judge(folder: Path, truth: Truth) -> tuple[bool, str]:
    """The differences of the round against what was planted."""
    with book.open_ledger(folder, read_only=True) as ledger:
        flock = ledger.flock
    (round_,) = flock.walks
    found = Counter(
        (d.kind.value, d.bird or "".join(d.name.strip("“”").split()).upper())
        for d in walk_differences.differences(flock, round_)
    )
    planted = Counter(
        {
            (kind, "".join(r for r in who if r.isalnum()) if "un" in kind else who): n
            for (kind, who), n in truth.planted.items()
        }
    )
    figures = walk_summary.summary(flock, round_)
    moved = sum(
        flock.birds[bird].location == aviary
        for aviary, birds in truth.aviaries.items()
        for bird in [h.bird for h in birds]
        if ("wrong aviary", bird or "") in truth.planted
    )
    said = f"{figures.coverage}; moved in the ledger: {moved} of 6"
    if found == planted:
        return True, f"differences as planted ({sum(planted.values())}); {said}"
    return False, f"too many {found - planted}, too few {planted - found}; {said}"


def walk_in_tmux(folder: Path, walked: Walked, home: Path) -> list[float]:
    """The same keys in a real terminal; seconds from key to screen, by step."""
    session = f"walk{int(time.time())}"
    (home / "settings.toml").write_text('keeper = "Bench"\npictures = "none"\n')
    program = f"FLOCK_LEDGER_HOME={home} {sys.executable} -m ledger --store {folder}"

    def tmux(*words: str) -> str:
        done = subprocess.run(
            ["tmux", *words], capture_output=True, text=True, check=True, cwd=ROOT
        )
        return done.stdout

    def pane() -> str:
        return tmux("capture-pane", "-p", "-t", session)

    def settled(before: str, at_most: float = 8.0) -> None:
        """Until the screen is another one, and drawn to its end."""
        began = time.perf_counter()
        shown = before
        while time.perf_counter() - began < at_most:
            now = pane()
            if now == shown != before:
                return
            shown = now
            time.sleep(0.03)

    def waited_for(words: str, at_most: float = 20.0) -> bool:
        began = time.perf_counter()
        while words not in pane():
            if time.perf_counter() - began > at_most:
                return False
            time.sleep(0.05)
        return True

    def walk_step(keys: list[str]) -> None:
        """What a keeper does for one bird, looking at the screen after each part."""
        typed = ""
        for number, part in enumerate(chunks(keys)):
            before = pane()
            tmux("send-keys", "-t", session, *part)
            last = number + 1 == len(chunks(keys))
            if part[-1] in ("Enter", "Right"):
                then = chunks(keys)[number + 1 :]
                shown = not then or waited_for(
                    "▸ ▏" if then[0] == ["Right"] else "esc Leave"
                )
            elif part == ["Escape"]:
                shown = waited_for("▸ ▏")
            elif part[-1] == "Space" and last:
                shown = True  # a tick
            elif number and chunks(keys)[number - 1] != ["Escape"]:
                shown = last or settled(before) is None
            else:
                typed = "".join({"Space": " "}.get(key, key) for key in part)
                shown = waited_for(f"▸ {typed.strip()}")
            if not shown:
                raise SystemExit(f"lost at {part} of {keys}:\n{pane()}")
        if not waited_for(f" of {N_AVIARIES} ") or not waited_for("▸ ▏"):
            raise SystemExit(f"lost after {keys}:\n{pane()}")

    tmux("new-session", "-d", "-x", "80", "-y", "24", "-s", session, program)
    seconds = []
    try:
        waited_for("Birds seen lately")
        time.sleep(5.0)
        tmux("send-keys", "-t", session, "F7")
        waited_for("No round goes on")
        time.sleep(1.0)
        tmux("send-keys", "-t", session, "Enter")
        waited_for("1 of 40")
        for keys in walked.keys[2:-4]:
            began = time.perf_counter()
            walk_step(keys)
            seconds.append(time.perf_counter() - began)
        for keys in walked.keys[-4:]:
            before = pane()
            tmux("send-keys", "-t", session, *keys)
            settled(before)
        time.sleep(1.0)
        print(pane())
        tmux("send-keys", "-t", session, "C-q")
        time.sleep(1.0)
    finally:
        subprocess.run(["tmux", "kill-session", "-t", session], check=False)
    return seconds


TMUX = {"enter": "Enter", "space": "Space", "escape": "Escape", "right": "Right",
        "up": "Up", "down": "Down", "f7": "F7", "slash": "/", "full_stop": ".",
        "question_mark": "?"}  # fmt: skip


def chunks(keys: list[str]) -> list[list[str]]:
    """Keys that may be sent at once; whoever answers a question sees it first."""
    found: list[list[str]] = [[]]
    asked = False
    for key in keys:
        if key in ("enter", "right", "escape"):
            found.append([])
        found[-1].append(TMUX.get(key, key))
        asked = asked or key in ("enter", "right")
        if asked or key == "escape":
            found.append([])
    return [part for part in found if part]


def main() -> int:
    """Walk, judge, print."""
    words = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    words.add_argument("--tmux", action="store_true")
    words.add_argument("--seed", type=int, default=7)
    asked = words.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "ledger"
        lay_out(folder)
        again = Path(place) / "again"
        shutil.copytree(folder, again)
        truth = plant(folder, asked.seed)
        walked = asyncio.run(walk_by_pilot(folder, truth))
        right, said = judge(folder, truth)
        n = len(walked.of_birds)
        print(f"in the program: {n} birds, {said}")
        print(
            f"  keystrokes per bird: {sum(walked.of_birds) / n:.2f} (all keys of the "
            f"round: {sum(map(len, walked.keys))}); typed more for {walked.typed_more}"
        )
        times = sorted(walked.seconds)
        print(
            f"  seconds per bird, program only: mean {sum(times) / n:.3f}, median "
            f"{times[n // 2]:.3f}, longest {times[-1]:.3f}"
        )
        if asked.tmux:
            home = Path(place) / "home"
            home.mkdir()
            began = time.perf_counter()
            seconds = walk_in_tmux(again, walked, home)
            right_too, said = judge(again, truth)
            print(f"in tmux: {said}")
            print(
                f"  {time.perf_counter() - began:.0f} s for {n} birds; per step mean "
                f"{sum(seconds) / len(seconds):.3f}, longest {max(seconds):.3f}"
            )
            right = right and right_too
        print(json.dumps({"right": right, "birds": n}))
    return 0 if right else 1


if __name__ == "__main__":
    raise SystemExit(main())
