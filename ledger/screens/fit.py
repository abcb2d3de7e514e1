"""Does this ring fit? By two measures, and by what one sees; nothing is stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Footer

from ledger.care.fit import FIT_SIGNS, FitSign, check_fit, fitting_sizes
from ledger.errors import LedgerError
from ledger.screens.base import Dialog
from ledger.services import typed
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult


class FitDialog(Dialog[None]):
    """The answer changes with what is entered."""

    def compose(self) -> ComposeResult:
        """Leg, ring, sign; and what they mean."""
        signs = (("", "not looked at"), *((str(sign), str(sign)) for sign in FitSign))
        with Vertical(classes="dialog"):
            yield Words("Does a ring fit?", classes="title")
            yield Form(
                [
                    FormLine(
                        "leg",
                        "Leg in mm",
                        hint="The tarsus at mid-length, the wider way.",
                        example="7.0",
                    ),
                    FormLine(
                        "ring", "Ring in mm", hint="Its inner diameter.", example="11.5"
                    ),
                    FormLine("sign", "What one sees", choices=signs),
                ]
            )
            yield Words("", id="fit")
        yield Footer()

    @on(Form.Changed)
    def _tell(self) -> None:
        entered = self.query_one(Form).entered()
        said = Content("\n").join([*self._measured(entered), *self._seen(entered)])
        self.query_one("#fit", Words).say(said)

    @on(Form.Submitted)
    def _leave(self) -> None:
        self.action_leave()

    def _measured(self, entered: dict[str, str]) -> Iterator[Content]:
        try:
            leg_mm = typed.millimetres(entered["leg"])
            inner_mm = typed.millimetres(entered["ring"])
            if leg_mm is None:
                return
            if inner_mm is None:
                smallest, largest = fitting_sizes(leg_mm)
                yield Content(
                    f"For a leg of {leg_mm:g} mm the rule gives a ring of "
                    f"{smallest:.2f} to {largest:.2f} mm."
                )
                return
            for sentence in check_fit(leg_mm, inner_mm).said:
                yield Content(shown(sentence))
        except LedgerError as error:
            yield Content(shown(f"✗ {error} {error.hint}"))

    def _seen(self, entered: dict[str, str]) -> Iterator[Content]:
        if not entered["sign"]:
            return
        sign = FIT_SIGNS[FitSign(entered["sign"])]
        style = "$text-error bold" if sign.is_danger else "bold"
        yield Content.styled(shown(f"{entered['sign']}: {sign.means}."), style)
        source = "" if sign.source in sign.said else f" ({sign.source})"
        yield Content(shown(f"{sign.said}{source}"))
