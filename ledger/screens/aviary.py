"""One aviary of a walk-through: who should be here, and who was seen."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding

from ledger.domain.walk import SeenHow
from ledger.errors import LedgerError
from ledger.screens.ask import AskScreen
from ledger.screens.aviary_page import AviaryPage
from ledger.screens.base import tell, tell_trouble
from ledger.screens.taking import Taking
from ledger.services import walk, walk_find
from ledger.services.walk_find import Standing
from ledger.widgets.row_list import RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual import events

    from ledger.domain.walk import Sighting

_CLOSE, _LOOK_ON = "close", "look on"


class AviaryScreen(AviaryPage):
    """Type the end of a ring, or tick a bird known by sight; one hand is enough."""

    HELP_TEXT: ClassVar[str] = """
# An aviary of the walk-through

- **Digits**: the end of a ring, two are mostly enough among the birds expected here.
  The likeliest bird is marked at once; **Enter** stores that it was seen.
- **Space**: the bird that is marked is here, known by sight. It is kept as that:
  no ring was read.
- **Up, Down** mark another bird.
- **Right**, then a digit: ring, leg, weight or note of the bird just seen, or take
  the sighting back.
- **F2**: photos, one or a whole folder of them; they are sorted by ring.
- **Enter** with nothing typed closes the aviary and goes to the next; birds not seen
  are named first.
- **Escape** empties the line; with nothing typed it is a break. Everything is stored
  already, and you come back to this very bird.

A whole inscription, `?` and `*`, or a chip's number can be typed too. A bird that
should be elsewhere, was seen before, or is recorded as dead or placed is never stored
unasked.

✓ ring read   ○ known by sight   · not seen yet   ≠ should be elsewhere   ? unknown
"""

    BINDINGS = [
        Binding("f2", "photos", "Photos", id="walk.photos", tooltip="Read photos here"),
        Binding(
            "right",
            "more",
            "Ring, leg",
            id="walk.more",
            tooltip="Ring, leg, weight, note of the bird just seen",
        ),
        Binding(
            "f6",
            "large",
            "Large",
            id="walk.large",
            tooltip="Large, wide text; it is remembered",
        ),
        Binding("escape", "back", "Break", id="walk.break", tooltip="All is stored"),
    ]

    # --- keys ---

    def on_key(self, event: events.Key) -> None:
        """Every key of the round, in the order they come.

        As bindings some would overtake others that come in one burst, as from a
        scanner or a held key, and the wrong bird would be ticked.
        """
        acts: dict[str, Callable[[], None]] = {
            "enter": self._enter,
            "right": self.action_more,
            "escape": self.action_back,
            "up": partial(self._walk, -1),
            "down": partial(self._walk, 1),
            "backspace": partial(self._type, self._typed[:-1]),
        }
        sign = event.character or ""
        if event.key in acts:
            event.stop()
            acts[event.key]()
        elif event.key == "space" and not self._typed:
            event.stop()
            self._tick()
        elif len(sign) == 1 and sign.isprintable():
            event.stop()
            self._type(self._typed + sign)

    def _type(self, typed: str) -> None:
        self._typed = typed
        self._chosen = False
        self._show()

    def _walk(self, by: int) -> None:
        """Mark the bird above or below; Enter then takes what is marked."""
        self.query_one(RowList).cursor += by
        self._chosen = True
        self._at_hand = None

    def action_back(self) -> None:
        """Empty the line; with nothing typed, take a break."""
        if self._typed:
            self._clear()
            self._show()
        else:
            super().action_back()

    def _clear(self) -> None:
        self._typed = ""
        self._chosen = False

    def action_large(self) -> None:
        """Large text or not, and remember it."""
        try:
            self.desk.choose(large=not self.desk.settings.large)
        except LedgerError as error:
            tell_trouble(self.app, "Not kept", error)
        self._dress()
        self._show()

    @on(RowList.Opened)
    def _click(self) -> None:
        """A second click takes what is typed; it never closes an aviary."""
        if self._typed:
            self._take_typed()

    def _enter(self) -> None:
        if self._typed:
            self._take_typed()
        else:
            self._close()

    # --- seeing ---

    def _taking(self) -> Taking:
        return Taking(self.app, self.desk, self._walk_id, self.stop.aviary, self._seen)

    def _take_typed(self) -> None:
        found = self._found
        if found is None:
            return
        if not found.fits:
            self._taking().take_stranger(found)
            return
        first = self._fit_marked(found)
        if found.is_open and not self._chosen:
            self._taking().take_one_of(found)
        else:
            self._taking().take(found, first)

    def _tick(self) -> None:
        bird_id = self._marked
        if bird_id is None or bird_id not in self.desk.ledger.flock.birds:
            return
        flock = self.desk.ledger.flock
        found = walk_find.by_sight(flock, self._walk_id, self._place, bird_id)
        if found.fits[0].standing is Standing.SEEN:
            self._say(found.fits[0].said)
        else:
            self._taking().take(found, found.fits[0])

    def _seen(self, sighting: Sighting) -> None:
        """It is stored: say so, and mark the next bird."""
        flock = self.desk.ledger.flock
        self._clear()
        self._at_hand = sighting.id
        self._show()
        seen = walk.first_sightings(flock, self._walk_id)
        following = walk.next_unseen(self.stop, seen, sighting.bird)
        if following:
            self.query_one(RowList).select(following)
        bird = flock.birds.get(sighting.bird or "")
        who = bird.title if bird else f"unknown ring {sighting.read}"
        sign = "○" if sighting.how is SeenHow.BY_SIGHT else "✓"
        left = "" if following else " All seen: Enter goes on."
        self._say(f"{sign} {who}, {sighting.how}.{left} Right: ring, leg, weight, note")
        self._show_typed()

    def _say(self, words: str) -> None:
        self.query_one("#said", Words).say(words)

    def action_more(self) -> None:
        """Ring, leg, weight or note of the bird just seen, else of the marked one."""
        from ledger.screens.seen import SeenScreen

        flock = self.desk.ledger.flock
        sighting = flock.walk_sightings.get(self._at_hand or "")
        if sighting is None:
            here = walk.seen_at(flock, self._walk_id, self.stop.aviary)
            sighting = here.get(self._marked or "")
        if sighting is None:
            self._say("Not seen yet: type its ring or press Space first.")
            return
        bird = flock.birds.get(sighting.bird or "")
        name = bird.title if bird else sighting.read
        self.app.push_screen(SeenScreen(self.desk, sighting, name))

    def action_photos(self) -> None:
        """Photos of rings in this aviary."""
        from ledger.screens.walk_photos import ask_for_photos

        ask_for_photos(self, self._walk_id, self._place)

    # --- closing ---

    def _close(self) -> None:
        flock = self.desk.ledger.flock
        seen = walk.first_sightings(flock, self._walk_id)
        missing = [flock.birds[b].title for b in self.stop.birds if b not in seen]
        if not missing:
            self._go_on(_CLOSE)
            return
        some, more = missing[:8], len(missing) - 8
        named = ", ".join(some) + (f" and {more} more" if more > 0 else "")
        self.app.push_screen(
            AskScreen(
                self.desk,
                f"{len(missing)} not seen in {self.stop.aviary}",
                f"{named}.",
                [
                    (_CLOSE, "they are missing: close this aviary"),
                    (_LOOK_ON, "look on"),
                ],
            ),
            self._go_on,
        )

    def _go_on(self, answer: str | None) -> None:
        if answer != _CLOSE:
            return
        closed = self.stop.aviary
        try:
            walk.close_aviary(
                self.desk.ledger, self._walk_id, self._place, self.desk.keeper
            )
        except LedgerError as error:
            tell_trouble(self.app, "Not closed", error)
            return
        stops = self.desk.ledger.flock.walks[self._walk_id].stops
        order = [*range(self._place + 1, len(stops)), *range(self._place)]
        following = next((i for i in order if not stops[i].done), None)
        if following is None:
            tell(self.app, "Every aviary is closed.", title="The round is walked")
            self.app.pop_screen()
            return
        self._place = following
        self._clear()
        self._at_hand = None
        self._say(f"✓ {closed} closed.")
        self._show()
        first = walk.next_unseen(
            self.stop, walk.first_sightings(self.desk.ledger.flock, self._walk_id)
        )
        if first:
            self.query_one(RowList).select(first)
        self._show_typed()
