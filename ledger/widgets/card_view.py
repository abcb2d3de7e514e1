"""An emergency card on the screen: the printed one, set for the window's width."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content
from textual.widget import Widget

from ledger.services import card as cards
from ledger.widgets.words import shown

if TYPE_CHECKING:
    from textual.geometry import Size

    from ledger.services.card import Card

_WIDEST = 96
"""Longer lines are hard to follow in a hurry."""
_LABEL = 12


class CardView(Widget):
    """Urgent lines stand out by `!!` and weight, and by colour besides."""

    DEFAULT_CSS = "CardView { height: auto; padding: 0 1; }"

    def __init__(self, card: Card, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._card = card

    def show(self, card: Card) -> None:
        """Show this card from now on."""
        self._card = card
        self.refresh(layout=True)

    def render(self) -> Content:
        """The card's lines, dressed."""
        return self._dressed(self.content_size.width)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """One row a line."""
        return len(self._lines(width))

    def _lines(self, width: int) -> list[str]:
        return shown(cards.as_text(self._card, min(width, _WIDEST))).splitlines()

    def _dressed(self, width: int) -> Content:
        parts = []
        urgent = False
        for line in self._lines(width):
            is_rule = set(line) in ({"="}, {"-"})
            urgent = not is_rule and (
                line.startswith("!!") or (urgent and line.startswith(" " * _LABEL))
            )
            if is_rule:
                parts.append(Content.styled("─" * len(line), "$text-muted"))
            elif urgent or "!!" in line:
                parts.append(Content.styled(line, "$text-error bold"))
            elif line.startswith("EMERGENCY CARD"):
                parts.append(Content.styled(line, "$text-primary bold"))
            else:
                label, text = line[:_LABEL], line[_LABEL:]
                parts.append(Content.assemble((label, "$text-secondary bold"), text))
        return Content("\n").join(parts)
