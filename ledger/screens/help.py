"""Help for the page one comes from: what it is for, and every key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Footer, Markdown

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.screen import Screen


class HelpScreen(ModalScreen[None]):
    """One page of help; any way out leads back."""

    BINDINGS = [
        Binding("escape,f1,question_mark,q", "dismiss", "Back", id="help.back"),
    ]

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text

    @classmethod
    def about(cls, screen: Screen[Any], text: str) -> HelpScreen:
        """Help on a screen, its keys read off the screen itself."""
        lines = [text.strip(), "", "## Keys", ""]
        for _, binding, enabled, tip in screen.active_bindings.values():
            if binding.id and enabled and not binding.system:
                key = screen.app.get_key_display(binding)
                does = ": ".join(filter(None, [binding.description, tip]))
                lines.append(f"- **{key}** {does}")
        return cls("\n".join(lines))

    def compose(self) -> ComposeResult:
        """The text and a way back."""
        with VerticalScroll(id="help"):
            yield Markdown(self._text, open_links=False)
        yield Footer()
