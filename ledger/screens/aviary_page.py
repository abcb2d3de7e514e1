"""What the page of an aviary shows: the line typed, the bird it means, and the list."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.binding import Binding
from textual.widgets import Footer

from ledger.rings.last_signs import ending_of
from ledger.screens.aviary_rows import COLUMNS, expected_rows, fit_rows
from ledger.screens.base import Page, heading
from ledger.services import walk, walk_find
from ledger.services.walk_find import Standing
from ledger.services.walk_plan import worn_ring
from ledger.widgets.big_words import BigWords
from ledger.widgets.row_list import RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from ledger.domain.walk import Stop
    from ledger.screens.desk import Desk
    from ledger.services.walk_find import Fit, Found


class BirdRows(RowList, inherit_bindings=False):
    """Rows that leave the keys of the round to the page, in the order they come."""

    BINDINGS = [
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
    ]


class AviaryPage(Page):
    """Everything but the keys, which `AviaryScreen` adds."""

    def __init__(
        self, desk: Desk, walk_id: str, stop: int, bird: str | None = None
    ) -> None:
        """Open an aviary.

        Args:
            desk: What all pages need.
            walk_id: The round.
            stop: The aviary's place in it, from 0.
            bird: Whom to look for first.
        """
        super().__init__(desk)
        self._walk_id = walk_id
        self._place = stop
        self._first = bird
        self._typed = ""
        self._found: Found | None = None
        self._chosen = False
        self._at_hand: str | None = None

    @property
    def stop(self) -> Stop:
        """The aviary as the round has it."""
        return self.desk.ledger.flock.walks[self._walk_id].stops[self._place]

    def compose(self) -> ComposeResult:
        """What is typed, the bird it means, the list, and what was just stored."""
        yield Words(id="heading")
        yield Words("", id="typed")
        yield BigWords(id="big")
        yield BirdRows(COLUMNS, empty="Nobody is expected here.", id="birds")
        yield Words("", id="said")
        yield Footer()

    def on_mount(self) -> None:
        """Keys go to the list; signs go to the line."""
        self.query_one(RowList).focus()
        self._dress()
        self._show()
        if self._first:
            self.query_one(RowList).select(self._first)
        self._show_typed()

    def on_screen_resume(self) -> None:
        """Show what was stored meanwhile."""
        self._show()

    def _dress(self) -> None:
        large = self.desk.settings.large
        self.set_class(large, "-large")
        self.query_one(RowList).spread = large
        self.query_one(BigWords).display = large

    def _show(self) -> None:
        flock = self.desk.ledger.flock
        round_ = flock.walks[self._walk_id]
        rows = self.query_one(RowList)
        if self._typed:
            self._found = walk_find.by_text(
                flock, self._walk_id, self._place, self._typed
            )
            rows.show(
                fit_rows(self._found),
                empty="No bird of ours fits. Enter stores it as an unknown ring.",
            )
            if not self._chosen:
                rows.cursor = 0  # the likeliest, whichever was marked before
        else:
            self._found = None
            rows.show(
                expected_rows(flock, self._walk_id, self._place),
                empty="Nobody is expected here. Enter goes on.",
            )
        seen = walk.first_sightings(flock, self._walk_id)
        here = self.stop.birds
        done = sum(bird in seen for bird in here)
        place = f"{self._place + 1} of {len(round_.stops)}   {done} of {len(here)} seen"
        self.query_one("#heading", Words).update(
            heading(self.stop.aviary, self.desk, place)
        )
        self._show_typed()

    def _show_typed(self) -> None:
        line = self.query_one("#typed", Words)
        bird_id = self._marked
        flock = self.desk.ledger.flock
        bird = flock.birds.get(bird_id or "")
        name = bird.title if bird else ""
        ring = worn_ring(flock, bird_id) if bird_id else ""
        if self._typed:
            said = f"▸ {self._typed}▏ "
            said += self._meaning()
        elif name:
            said = (
                f"▸ ▏ {name}, {ring or 'no ring entered'}: its end, or Space by sight"
            )
        else:
            said = "▸ ▏ Enter closes this aviary"
        line.update(said)
        self.query_one(BigWords).words = (
            f"{ending_of(ring)} {name}" if ring else name
        ) or self._typed

    def _meaning(self) -> str:
        found = self._found
        if found is None:
            return ""
        if not found.fits:
            return found.said or "no bird of ours fits"
        marked = self._fit_marked(found)
        if found.is_open and not self._chosen:
            return "several may be meant: type more, or Enter and choose"
        if marked.standing is Standing.EXPECTED:
            return f"Enter: {marked.name}, {marked.ring}"
        return f"{found.said} {marked.said}".strip()

    def _fit_marked(self, found: Found) -> Fit:
        """The bird that Enter takes: the marked one."""
        key = self._marked
        return next((f for f in found.fits if f.bird_id == key), found.fits[0])

    @property
    def _marked(self) -> str | None:
        row = self.query_one(RowList).row
        return row.key.split()[0] if row else None

    @on(RowList.Moved)
    def _mark(self) -> None:
        self._show_typed()
