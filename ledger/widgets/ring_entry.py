"""The one place to put what one has: a photo, several, or what is legible."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input

from ledger.services import typed
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from textual import events
    from textual.app import ComposeResult


class _Line(Input):
    """An input that keeps all that is dropped on it, not the first line only."""

    BINDINGS = [Binding("down", "app.focus_next", "Down", show=False)]

    def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        if self.parent is not None:
            assert isinstance(self.parent, RingEntry)
            self.parent.take(event.text)


class RingEntry(Vertical):
    """Says what it understands while one types; Enter posts it."""

    DEFAULT_CSS = """
    RingEntry {
        height: auto;
        & > Words { padding: 0 2; height: auto; max-height: 3; }
    }
    """

    @dataclass
    class Given(Message):
        """Photos of one ring, or a fragment of an inscription."""

        meaning: typed.Photos | typed.Fragment | typed.Folder

    def __init__(
        self,
        placeholder: str,
        *,
        photos_only: bool = False,
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self._placeholder = placeholder
        self._photos_only = photos_only
        self._pasted = ""

    def compose(self) -> ComposeResult:
        """The line and what it is understood as."""
        yield _Line(placeholder=self._placeholder, id="entry")
        yield Words("", id="meaning")

    def on_mount(self) -> None:
        """Nothing is typed yet."""
        self._explain("")

    @property
    def line(self) -> Input:
        """The line itself."""
        return self.query_one("#entry", Input)

    def take(self, pasted: str) -> None:
        """Put what was pasted or dropped at the cursor; paths replace the line."""
        if typed.looks_like_path(pasted.strip()):
            self._pasted = pasted
            self.line.value = " ".join(pasted.split("\n")).strip()
            self.line.cursor_position = len(self.line.value)
        else:
            self.line.insert_text_at_cursor(" ".join(pasted.split()))
        self.line.focus()

    def clear(self) -> None:
        """Ready for the next ring."""
        self.line.value = ""

    @property
    def meaning(self) -> typed.Meaning:
        """What the line means now; as pasted, while nothing was changed in it."""
        value = self.line.value
        as_pasted = " ".join(self._pasted.split("\n")).strip() == value
        return typed.understand(self._pasted if self._pasted and as_pasted else value)

    @on(Input.Changed, "#entry")
    def _explain_typed(self, event: Input.Changed) -> None:
        event.stop()
        self._explain(event.value)

    def _explain(self, value: str) -> None:
        self.query_one("#meaning", Words).update(
            _in_words(self.meaning, photos_only=self._photos_only)
            if value.strip()
            else Content.styled(
                "Type or paste a photo's path, or drop the photo here."
                if self._photos_only
                else "A photo's path, or the letters and digits you can read: "
                "? for one you cannot, * for several.",
                "$text-muted",
            )
        )

    @on(Input.Submitted, "#entry")
    def _give(self, event: Input.Submitted) -> None:
        event.stop()
        meaning = self.meaning
        if isinstance(meaning, typed.Unclear) or (
            self._photos_only and not isinstance(meaning, typed.Photos)
        ):
            self.app.bell()
            return
        self.post_message(self.Given(meaning))


def _in_words(meaning: typed.Meaning, *, photos_only: bool) -> Content:
    """What Enter would do, with a mark that tells the kinds apart."""
    match meaning:
        case typed.Photos(paths) if len(paths) == 1:
            said = ("▣ Photo", f" {paths[0].name}: Enter reads the ring on it.")
        case typed.Photos(paths):
            said = (
                f"▣ {len(paths)} photos",
                " of one ring: Enter reads them together.",
            )
        case typed.Folder(path):
            said = ("▤ Folder", f" {path.name}: not a photo; F4 makes it the inbox.")
        case typed.Fragment(text) if not photos_only:
            said = ("≈ Characters", f" {text.upper()}: Enter ranks the birds it fits.")
        case typed.Fragment():
            said = ("✗", " This is no path of a photo.")
        case typed.Unclear(sentence):
            said = ("✗", f" {sentence}")
    style = "$text-warning" if said[0] == "✗" else "$text-success"
    return Content.assemble((said[0], f"{style} bold"), shown(said[1]))
