"""Unrolled rings as pictures in the terminal.

Terminals that draw real pictures get them; the others get coloured blocks.
`prepare()` asks the terminal which it is, and has to be called before the program
takes the terminal over: later its answer would be taken for typing.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Literal

from textual.containers import HorizontalScroll

from ledger.widgets.blocks import Blocks
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from textual.widget import Widget

Pictures = Literal["auto", "blocks", "none"]
"""As well as the terminal can, as coloured blocks (any terminal can), or not at
all, for screen readers and slow lines."""


def prepare(wanted: str) -> Pictures:
    """Find out what the terminal can draw.

    Args:
        wanted: The keeper's choice; what is not known means "auto".

    Returns:
        The choice; "blocks" where there is no terminal that could be asked.
    """
    if wanted == "none":
        return "none"
    if wanted == "blocks" or not _can_be_asked():
        return "blocks"
    import textual_image.widget  # noqa: F401 - it asks the terminal as it loads

    return "auto"


def _can_be_asked() -> bool:
    """There is a terminal, and it is none of those known to stay silent.

    tmux and screen pass no pictures on, and neither they nor a bare console
    answer: waiting for them would only delay the first page.
    """
    if not (sys.__stdout__ and sys.__stdout__.isatty()):
        return False
    if not os.get_terminal_size(sys.__stdout__.fileno()).columns:
        return False  # textual-image would divide by it
    term = os.environ.get("TERM", "")
    return "TMUX" not in os.environ and not term.startswith(
        ("screen", "tmux", "linux", "dumb")
    )


class PhotoView(HorizontalScroll):
    """Strips side by side, as high as the widget; none, a sentence says why."""

    DEFAULT_CSS = """
    PhotoView {
        height: 8;
        background: $background;
        scrollbar-size-horizontal: 0;
        &.-words { height: auto; }
        & > Widget { height: 100%; width: auto; margin-right: 2; }
        & > Words { width: 1fr; height: auto; color: $text-muted; padding: 0 1; }
    }
    """
    can_focus = False

    def __init__(
        self,
        pictures: Pictures,
        *,
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self._pictures = pictures
        self.strips: tuple[NDArray, ...] = ()  # type: ignore[type-arg]

    async def show(
        self,
        strips: Sequence[NDArray],  # type: ignore[type-arg]
        instead: str = "",
    ) -> None:
        """Show these strips from now on.

        Args:
            strips: (H, W, 3) uint8 BGR each.
            instead: What to say when there is nothing to show.
        """
        self.strips = tuple(strips)
        self.set_class(not strips or self._pictures == "none", "-words")
        await self.remove_children()
        if not strips:
            self.display = bool(instead)
            await self.mount(Words(instead))
        elif self._pictures == "none":
            await self.mount(Words("Pictures are turned off."))
        else:
            self.display = True
            await self.mount_all([_picture(strip, self._pictures) for strip in strips])


def _picture(strip: NDArray, pictures: Pictures) -> Widget:  # type: ignore[type-arg]
    from PIL import Image

    image = Image.fromarray(strip[:, :, ::-1])
    if pictures == "blocks":
        return Blocks(image)
    from textual_image.widget import Image as BestImage

    return BestImage(image)
