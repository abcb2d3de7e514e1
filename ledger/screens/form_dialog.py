"""A form over a page, for what is entered line by line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import Dialog, tell
from ledger.widgets.form import Form, FormLine
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult


class FormDialog(Dialog[bool]):
    """A form over a page: Enter stores and answers True, Escape stores nothing."""

    at = ""
    """The line that is being understood."""

    def lines(self) -> tuple[FormLine, ...]:
        """What is asked."""
        raise NotImplementedError

    def title_words(self) -> str:
        """What stands on top."""
        raise NotImplementedError

    def about_words(self) -> str:
        """What must be known first."""
        return ""

    def store(self, words: dict[str, str]) -> None:
        """Store it; `at` says to which line it has come, for trouble is shown there.

        Raises:
            LedgerError: it cannot be stored so.
        """
        raise NotImplementedError

    def stored_words(self) -> str:
        """Told when it is stored."""
        return "It stands on Today."

    def compose(self) -> ComposeResult:
        """The form, and what is wrong with it."""
        with Vertical(classes="dialog"):
            yield Words(self.title_words(), classes="title")
            if self.about_words():
                yield Words(self.about_words())
            yield Form(self.lines())
            yield Words("", id="trouble", classes="trouble")
            yield Words("Enter stores it. Escape leaves without storing.")
        yield Footer()

    @on(Form.Submitted)
    def _store(self) -> None:
        form = self.query_one(Form)
        try:
            self.store(form.entered())
        except LedgerError as error:
            self.query_one("#trouble", Words).say(f"✗ {error} {error.hint}".strip())
            if self.at:
                form.go_to(self.at)
            return
        tell(self.app, self.stored_words(), title="Stored")
        self.answer(True)
