"""The unrolled ring over the whole window."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.binding import Binding
from textual.widgets import Footer

from ledger.screens.base import Dialog
from ledger.widgets.photo_view import PhotoView

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from textual.app import ComposeResult

    from ledger.screens.desk import Desk


class PictureScreen(Dialog[None]):
    """One photo's strip at a time; arrows go to the next."""

    BINDINGS = [
        Binding("escape,f3", "leave", "Back", id="picture.back"),
        Binding("right", "turn(1)", "Next photo", id="picture.next"),
        Binding("left", "turn(-1)", "Photo before", id="picture.before", show=False),
    ]

    def __init__(
        self,
        desk: Desk,
        strips: Sequence[NDArray],  # type: ignore[type-arg]
    ) -> None:
        super().__init__(desk)
        self._strips = list(strips)
        self._at = 0

    def compose(self) -> ComposeResult:
        """The strip."""
        yield PhotoView(self.desk.pictures, id="large")
        yield Footer()

    async def on_mount(self) -> None:
        """The first."""
        await self.action_turn(0)

    async def action_turn(self, by: int) -> None:
        """Another photo's strip."""
        self._at = (self._at + by) % len(self._strips)
        await self.query_one(PhotoView).show([self._strips[self._at]])
