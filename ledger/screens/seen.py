"""More about a bird just seen: one digit says how ring and leg are."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer, Input

from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell, tell_trouble
from ledger.services import typed, walk
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult

    from ledger.domain.walk import Sighting
    from ledger.screens.desk import Desk

_STATES: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("1", "ring and leg: all well", {"ring_state": walk.RING_WELL,
                                     "leg_state": walk.LEG_WELL}),
    *(
        (str(number), f"ring: {state}", {"ring_state": state})
        for number, state in enumerate(walk.RING_STATES[1:], start=2)
    ),
    *(
        (str(number), f"leg: {state}", {"leg_state": state})
        for number, state in enumerate(walk.LEG_STATES[1:], start=4)
    ),
)  # fmt: skip
_WEIGHT, _NOTE, _TAKE_BACK = "8", "9", "0"


class SeenScreen(Dialog[bool]):
    """Each answer is stored at once; True where something was stored."""

    def __init__(self, desk: Desk, sighting: Sighting, name: str) -> None:
        super().__init__(desk)
        self._sighting = sighting
        self._name = name
        self._asked = ""

    def compose(self) -> ComposeResult:
        """Numbered answers; a line for weight or note appears when it is asked for."""
        with Vertical(classes="dialog"):
            yield Words(f"More about {self._name}", classes="title")
            yield RowList([Column("", 1), Column("", 0)], id="answers")
            yield Input(id="line")
            yield Words("", id="trouble", classes="trouble")
        yield Footer()

    def on_mount(self) -> None:
        """Digits answer."""
        answers = self.query_one(RowList)
        rows = [Row(key, (key, words)) for key, words, _ in _STATES]
        rows += [
            Row(_WEIGHT, (_WEIGHT, "weight in grams")),
            Row(_NOTE, (_NOTE, "note")),
            Row(_TAKE_BACK, (_TAKE_BACK, "take this sighting back")),
        ]
        answers.styles.height = len(rows)
        answers.show(rows)
        answers.focus()
        self.query_one("#line", Input).display = False

    def on_key(self, event: events.Key) -> None:
        """A digit chooses, while no line is open."""
        if not self._asked and (event.character or "") in "0123456789":
            event.stop()
            event.prevent_default()
            self._choose(event.character or "")

    @on(RowList.Opened)
    def _open(self, event: RowList.Opened) -> None:
        self._choose(event.row.key)

    def _choose(self, key: str) -> None:
        if key in (_WEIGHT, _NOTE):
            self._ask_for(key)
        elif key == _TAKE_BACK:
            self._take_back()
        else:
            fields = next((f for k, _, f in _STATES if k == key), None)
            if fields is not None:
                self._keep(replace(self._sighting, **fields))

    def _ask_for(self, key: str) -> None:
        self._asked = key
        line = self.query_one("#line", Input)
        line.placeholder = "grams, for example 412.5" if key == _WEIGHT else "note"
        if key == _NOTE:
            line.value = self._sighting.notes
        self.query_one(RowList).display = False
        line.display = True
        line.focus()

    @on(Input.Submitted)
    def _read_line(self, event: Input.Submitted) -> None:
        try:
            if self._asked == _WEIGHT:
                weight = typed.grams(event.value)
                self._keep(replace(self._sighting, weight_g=weight))
            else:
                self._keep(replace(self._sighting, notes=event.value.strip()))
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())

    def _keep(self, sighting: Sighting) -> None:
        try:
            walk.change_sighting(self.desk.ledger, sighting, self.desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not stored", error)
            self.answer(False)
            return
        if walk.needs_a_vet(sighting):
            tell(self.app, walk.CALL_A_VET, title=f"{self._name}: this cannot wait")
        self.answer(True)

    def _take_back(self) -> None:
        try:
            walk.take_back(self.desk.ledger, self._sighting.id, self.desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Not taken back", error)
        self.answer(True)
