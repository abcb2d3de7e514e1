"""How tests walk through the program: an invented flock, and a reader on a leash."""

from __future__ import annotations

import datetime as dt
import threading
from contextlib import asynccontextmanager

import numpy as np
from builders import TODAY, a_bird, a_person, a_ring, an_event

from ledger.app import LedgerApp
from ledger.domain import EventKind, FlockSettings
from ledger.domain.change import Put
from ledger.settings import Settings
from ledger.store import open_store
from ledger.widgets.words import Words
from ocr.reading import Glyph, Line, PhotoReading, Reading, Stage

NOW = dt.datetime(TODAY.year, TODAY.month, TODAY.day, 9, 30, tzinfo=dt.UTC)
HOSTILE = "[/x] [bold]"
"""Markup that ends what never began; a text that is taken for it crashes."""

FLOCK = (
    FlockSettings(name="Tidewrack Aviaries", keeper="h0002", vet="h0001"),
    a_person("h0001", "Una Keogh", role="vet", phone="+353 1 555 0100"),
    a_person("h0002", "Nora Byrne", role="keeper", phone="+353 1 555 0101"),
    a_bird("b0001", "Rook", sex="cock", hatched="2012", species="Psittacus erithacus"),
    a_bird("b0002", "Wren", sex="hen", hatched="spring 2013", status="dead"),
    a_bird(
        "b0003",
        "Pip",
        sex="hen",
        hatched="2019-04-12",
        species="Psittacus erithacus",
        sire="b0001",
        dam="b0002",
        location="Aviary 3",
        alerts=("Never hold by the left wing",),
        medication=("Meloxicam 0.1 ml at 8 and 20 h",),
        allergies=("peanuts",),
        health_flags=("feather plucking",),
    ),
    a_bird("b0004", "Juno", sire="b0001", dam="b0002", location="Aviary 1"),
    a_ring("r0001", "IE TWK / 12 0003", bird="b0001"),
    a_ring("r0003", "IE TWK / 19 0174", bird="b0003", colour="blue", size_mm=10.0),
    a_ring("r0004", "IE TWK / 19 0179", bird="b0004"),
    an_event("e0001", "b0003", EventKind.NOTE, "2025-11-02", text="Ate well."),
    an_event("e0002", "b0003", EventKind.WEIGHED, "2025-12-01", weight_g=412.5),
    an_event("e0003", "b0003", EventKind.WEIGHED, "2026-01-05", weight_g=401.0),
    an_event("e0004", "b0004", EventKind.SIGHTED, "2026-01-10", ring="r0004"),
)


def a_store(folder, things=FLOCK):
    """A ledger of these things."""
    with open_store(folder, create=True) as store:
        store.commit([Put(thing) for thing in things], author="test", what="set up")
    return folder


def glyphs(text, sure=0.99, **doubts):
    """A line's glyphs; `doubts` by place: (other character, chance)."""
    made = []
    gap = False
    for sign in text:
        if sign == " ":
            gap = True
            continue
        other = doubts.get(f"at{len(made)}")
        chance = 1 - other[1] - 0.01 if other else sure
        alternatives = ((sign, chance), *((other,) if other else ()))
        made.append(Glyph(sign, chance, alternatives, gap_before=gap))
        gap = False
    return tuple(made)


def a_strip(width=220, height=96):
    """A strip with dark stripes, so that a picture of it shows something."""
    strip = np.full((height, width, 3), 200, np.uint8)
    strip[20:40, ::12] = 40
    strip[56:76, ::9] = 60
    return strip


def a_reading(*lines, file="ring.jpg", found=True, doubts=()):
    """What a photo showed; no lines and not found: no ring."""
    lines = tuple(lines)
    photo = PhotoReading(
        file,
        ring_found=found,
        lines=lines,
        confidence=0.9,
        strip=a_strip() if found else None,
        strip_span_deg=150.0,
    )
    return Reading((photo,), lines, 0.9, doubts=doubts)


PIPS_RING = a_reading(
    Line(glyphs("IE TWK")),
    Line(glyphs("19 0174", at5=("9", 0.35))),
    doubts=("The last character may be 4 or 9.",),
)


class LeashedReader:
    """Reads nothing: answers with what it was given, once it is let go."""

    def __init__(self, *answers):
        self.answers = list(answers) or [PIPS_RING]
        self.asked = []
        self.gate = threading.Event()
        self.gate.set()
        self.saw_cancel = threading.Event()

    def __call__(self, paths, *, report, cancelled):
        self.asked.append([path.name for path in paths])
        report(Stage.OPEN, paths[0].name)
        while not self.gate.wait(0.005):
            if cancelled():
                self.saw_cancel.set()
                raise RuntimeError("stopped, as the reader's own Cancelled does")
        report(Stage.READ, "")
        answer = self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]
        if isinstance(answer, BaseException):
            raise answer
        return answer


async def until(pilot, ready):
    """Wait for a condition, not for a time."""
    for _ in range(1000):
        if ready():
            return
        await pilot.pause(0.01)
    raise AssertionError("did not happen")


@asynccontextmanager
async def walking(folder, *, size=(80, 24), reader=None, **choices):
    """The program over a ledger, its first page open."""
    app = LedgerApp(
        folder,
        settings=Settings(keeper="Nora Byrne", **choices),
        read=reader or LeashedReader(),
        now=lambda: NOW,
    )
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: len(app.screen_stack) > 1)
        await pilot.pause()
        app.cursor_blink = False
        yield pilot


def on(pilot, name):
    """Whether a page of this class is in front."""
    return type(pilot.app.screen).__name__ == name


async def arrive(pilot, name):
    """Wait for a page of this class, drawn."""
    await until(pilot, lambda: on(pilot, name))
    await pilot.pause()
    return pilot.app.screen


async def type_in(pilot, text):
    """Type a text, key by key."""
    await pilot.press(*[{" ": "space"}.get(sign, sign) for sign in text])
    await pilot.pause()


def words(pilot, selector):
    """What a text of the page says."""
    return pilot.app.screen.query_one(selector, Words).text


def toasts(pilot):
    """Titles and texts of what was notified."""
    return [(note.title, note.message) for note in pilot.app._notifications]
