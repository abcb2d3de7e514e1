"""What all screens share: the desk, a way back, help, and how trouble is told."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual.binding import Binding
from textual.content import Content
from textual.screen import ModalScreen, Screen

from ledger.widgets.words import shown

if TYPE_CHECKING:
    from textual.app import App

    from ledger.errors import LedgerError
    from ledger.screens.desk import Desk

Answer = TypeVar("Answer")

BACK = Binding(
    "escape", "back", "Back", id="back", tooltip="Leave this page; nothing is stored"
)
HELP = Binding("f1", "help", "Help", id="help", tooltip="What this page is for")
HELP_LETTER = Binding("question_mark", "help", "Help", show=False)
"""Only where no text is typed."""


class Page(Screen[None]):
    """A full screen about one thing."""

    BINDINGS = [BACK, HELP]
    HELP_TEXT: ClassVar[str] = ""
    """What a keeper can do here, in Markdown."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def action_back(self) -> None:
        """Go back to where the keeper came from."""
        self.app.pop_screen()

    def action_help(self) -> None:
        """Explain the page and its keys."""
        from ledger.screens.help import HelpScreen

        self.app.push_screen(HelpScreen.about(self, self.HELP_TEXT))


class Dialog(ModalScreen[Answer]):
    """A question over a page; Escape leaves it without an answer."""

    BINDINGS = [
        Binding("escape", "leave", "Leave", id="leave", tooltip="Change nothing")
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk

    def action_leave(self) -> None:
        """No answer."""
        self.answer(None)

    def answer(self, value: Answer | None) -> None:
        """Close with this answer, once; an Escape may arrive with it."""
        if self.is_current:
            self.dismiss(value)


def tell(app: App[Any], said: str, *, title: str = "") -> None:
    """A short word that something is done."""
    app.notify(shown(said), title=shown(title), timeout=4, markup=False)


def tell_trouble(app: App[Any], title: str, error: LedgerError) -> None:
    """Say what went wrong and what to do; nothing was stored."""
    words = "\n".join(part for part in (str(error), error.hint) if part)
    app.notify(
        shown(words), title=shown(title), severity="error", timeout=12, markup=False
    )


def heading(title: str, desk: Desk, place: str = "") -> Content:
    """The first line of a page: where one is, and whether one may write."""
    parts: list[str | Content | tuple[str, str]] = [
        (f" {shown(title)} ", "$text-primary bold")
    ]
    if place:
        parts.append((f" {shown(place)}", "$text-muted"))
    if desk.ledger.read_only:
        parts.append(("   read-only: nothing can be stored", "$text-warning bold"))
    return Content.assemble(*parts)
