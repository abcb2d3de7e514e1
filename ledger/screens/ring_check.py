"""A look under the rings of one bird: W for all well, a letter for what is not."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.care.leg_findings import (
    FOOT_GRADES,
    LEG_VERDICTS,
    Found,
    LegFinding,
    verdict,
)
from ledger.care.ring_check import ring_check, worn_rings
from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell
from ledger.screens.happened import DATES
from ledger.services import ring_checks, typed
from ledger.widgets.form import Form, FormLine
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk
    from ledger.services.ring_checks import Checked

LETTERS = {
    "w": LegFinding.WELL,
    "d": LegFinding.DEAD_SKIN,
    "r": LegFinding.RED,
    "s": LegFinding.SORE,
    "b": LegFinding.BLOOD,
    "g": LegFinding.SWELLING,
    "t": LegFinding.STUCK,
    "h": LegFinding.ABOVE_HOCK,
    "l": LegFinding.LAME,
}
_FOOT = "f"


class RingCheckScreen(Dialog[bool]):
    """One letter; all well is stored at once, all else asks for a few words."""

    BINDINGS = [
        Binding("w", "well", "All well", id="all-well", tooltip="Stores it at once"),
    ]

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def compose(self) -> ComposeResult:
        """Why the bird is looked at, and the findings."""
        flock = self.desk.ledger.flock
        bird = flock.birds[self._bird_id]
        rings, events = flock.rings_of(bird.id), flock.events_of(bird.id)
        check = ring_check(bird, rings, events, flock.settings, self.desk.today)
        with Vertical(classes="dialog"):
            yield Words(f"{bird.title}: ring check", classes="title")
            for ring in worn_rings(rings):
                yield Words(ring_checks.called_place(ring))
            if check is None:
                yield Words("It wears no ring.")
            else:
                last = f"last {check.last}" if check.last else "never checked"
                yield Words(f"{last}; {check.why}".capitalize())
            yield RowList([Column("", 2), Column("", 0), Column("", 22)], id="findings")
            yield Words("", id="trouble", classes="trouble")
        yield Footer()

    def on_mount(self) -> None:
        """All well is under the cursor."""
        rows = [
            Row(letter, (letter.upper(), str(finding), _asks(finding)))
            for letter, finding in LETTERS.items()
        ]
        rows.append(Row(_FOOT, ("F", "bumblefoot, by grade", "")))
        findings = self.query_one("#findings", RowList)
        findings.show(rows)
        findings.focus()

    def on_key(self, event: events.Key) -> None:
        """A letter is a finding."""
        letter = (event.character or "").lower()
        if letter in (*LETTERS, _FOOT) and letter != "w":
            event.stop()
            self._choose(letter)

    @on(RowList.Opened)
    def _open(self, event: RowList.Opened) -> None:
        self._choose(event.row.key)

    def action_well(self) -> None:
        """All is well under all rings."""
        self._choose("w")

    def _choose(self, letter: str) -> None:
        if letter == "w":
            desk = self.desk
            try:
                ring_checks.check_rings(
                    desk.ledger,
                    self._bird_id,
                    Found(LegFinding.WELL),
                    desk.today,
                    desk.keeper,
                )
            except LedgerError as error:
                self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}")
                return
            name = desk.ledger.flock.birds[self._bird_id].title
            tell(self.app, f"{name}: all well.", title="Ring check stored")
            self.answer(True)
            return
        leg = LETTERS.get(letter, LegFinding.WELL)
        foot = 1 if letter == _FOOT else 0
        self.app.push_screen(
            LegTroubleScreen(self.desk, self._bird_id, Found(leg, foot)), self._done
        )

    def _done(self, stored: bool | None) -> None:
        if stored:
            self.answer(True)


class LegTroubleScreen(Dialog[bool]):
    """What was found, in words; Enter stores it and says what to do."""

    def __init__(self, desk: Desk, bird_id: str, what: Found) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        self._what = what

    def compose(self) -> ComposeResult:
        """The finding and the words."""
        flock = self.desk.ledger.flock
        bird = flock.birds[self._bird_id]
        worn = worn_rings(flock.rings_of(bird.id))
        rings = [(ring.id, ring_checks.called_place(ring)) for ring in worn]
        foot = [("0", "none")]
        foot += [(str(g), f"{g} of 7: {words}") for g, words in FOOT_GRADES.items()]
        lines = [
            FormLine(
                "leg",
                "Under the ring",
                str(self._what.leg or LegFinding.WELL),
                hint="Left and Right choose.",
                choices=tuple((str(f), str(f)) for f in LegFinding),
            ),
            FormLine(
                "foot",
                "Bumblefoot",
                str(self._what.foot),
                hint="Stages 1 to 7 (treeoflifeexotics.vet).",
                choices=tuple(foot),
            ),
            FormLine("text", "In words", hint="Where, how large, since when."),
            FormLine("weight", "Weight in grams", hint="If it was weighed."),
            FormLine("leg-mm", "Leg in mm", hint="If measured: at mid-length."),
            FormLine("on", "When", str(self.desk.today), DATES),
        ]
        if len(rings) > 1:
            lines.insert(0, FormLine("ring", "At which ring", choices=tuple(rings)))
        with Vertical(classes="dialog"):
            yield Words(f"{bird.title}: found at a ring check", classes="title")
            yield Form(lines)
            yield Words("", id="todo", classes="trouble")
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    def on_mount(self) -> None:
        """The words are what is left to write."""
        self.query_one(Form).go_to("text")
        self._tell()

    @on(Form.Changed)
    def _tell(self) -> None:
        self.query_one("#todo", Words).say(verdict(self._entered()).said)

    def _entered(self) -> Found:
        words = self.query_one(Form).entered()
        return Found(LegFinding(words["leg"]), int(words["foot"]))

    @on(Form.Submitted)
    def _store(self) -> None:
        form = self.query_one(Form)
        words = form.entered()
        field = "on"
        try:
            day = typed.date(words["on"], self.desk.today)
            field = "weight"
            weight_g = typed.grams(words["weight"])
            field = "leg-mm"
            found = replace(self._entered(), leg_mm=typed.millimetres(words["leg-mm"]))
            field = "text"
            checked = ring_checks.check_rings(
                self.desk.ledger,
                self._bird_id,
                found,
                day,
                self.desk.keeper,
                ring_id=words.get("ring"),
                text=words["text"],
                weight_g=weight_g,
            )
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            form.go_to(field)
            return
        _tell_vet(self, self._bird_id, checked)
        self.answer(True)


def _tell_vet(screen: LegTroubleScreen, bird_id: str, checked: Checked) -> None:
    """Say loudly what is to be done; whom to call stands with it."""
    from ledger.services.card import emergency_card

    desk = screen.desk
    card = emergency_card(desk.ledger.flock, bird_id, desk.today)
    vets = [c for c in card.contacts if c.role == "vet"]
    call = f" {vets[0].name}: {vets[0].phone}." if vets and checked.vet else ""
    screen.app.notify(
        f"{checked.said or 'Stored.'}{call}",
        title=f"{card.name}: ring check stored",
        severity="warning" if checked.vet else "information",
        timeout=15,
        markup=False,
    )


def _asks(finding: LegFinding) -> str:
    """What a finding asks for, in a few words."""
    asked = LEG_VERDICTS[finding]
    if asked.vet_within_days == 0:
        return "avian vet today"
    if asked.vet_within_days is not None:
        return f"avian vet, {asked.vet_within_days} days"
    return f"look again, {asked.look_again_days} days" if asked.look_again_days else ""
