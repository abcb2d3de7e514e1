"""Everything one can enter about a bird, each under its letter.

An act more is one line in `ACTS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

from textual import on
from textual.containers import Vertical
from textual.widgets import Footer

from ledger.domain.bird import Status
from ledger.domain.event import EventKind
from ledger.domain.ring import RingState
from ledger.screens.base import Dialog
from ledger.services.clutches import clutch_of_chick
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual import events
    from textual.app import ComposeResult
    from textual.screen import Screen

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.screens.desk import Desk


def always(_flock: Flock, _bird: Bird) -> bool:
    """It can be entered of any bird."""
    return True


def lives_here(_flock: Flock, bird: Bird) -> bool:
    """It is in the keeper's hands."""
    return bird.status is Status.ALIVE


def is_young(flock: Flock, bird: Bird) -> bool:
    """It lives here, hatched from an egg entered here, and does not feed itself yet."""
    return (
        bird.status is Status.ALIVE
        and clutch_of_chick(flock, bird) is not None
        and all(e.kind is not EventKind.WEANED for e in flock.events_of(bird.id))
    )


def has_not_fledged(flock: Flock, bird: Bird) -> bool:
    """It is young and still in the nest, as far as is entered."""
    return is_young(flock, bird) and all(
        event.kind is not EventKind.FLEDGED for event in flock.events_of(bird.id)
    )


def is_placed(_flock: Flock, bird: Bird) -> bool:
    """It lives with someone else."""
    return bird.status is Status.PLACED


def is_lost(_flock: Flock, bird: Bird) -> bool:
    """It flew off or was stolen."""
    return bird.status is Status.LOST


def is_not_dead(_flock: Flock, bird: Bird) -> bool:
    """It lives, wherever that is."""
    return bird.status is not Status.DEAD


def has_a_ring_on(flock: Flock, bird: Bird) -> bool:
    """A ring can come off it, wherever it is."""
    return any(r.state is RingState.ON_BIRD for r in flock.rings_of(bird.id))


def wears_a_ring(flock: Flock, bird: Bird) -> bool:
    """There is something to look under."""
    return lives_here(flock, bird) and any(
        ring.state is RingState.ON_BIRD for ring in flock.rings_of(bird.id)
    )


@dataclass(frozen=True)
class Act:
    """Something that can be entered about one bird."""

    letter: str
    """The key in the menu; each act has its own."""
    name: str
    """What is entered, as a phrase that follows the letter."""
    screen: str
    """Module in `ledger.screens` and what in it makes the screen, such as
    "note.NoteScreen": it is called with the desk and the bird's id. A word, so that
    the menu loads only the one that is chosen."""
    when: Callable[[Flock, Bird], bool] = always
    """Whether it can be entered of this bird."""

    def opened(self, desk: Desk, bird_id: str) -> Screen[Any]:
        """The screen on which it is entered."""
        module, _, name = self.screen.partition(".")
        make = getattr(import_module(f"ledger.screens.{module}"), name)
        screen: Screen[Any] = make(desk, bird_id)
        return screen


ACTS: tuple[Act, ...] = (
    Act("n", "Note", "note.NoteScreen"),
    Act("w", "Weight", "happened.weighed", is_not_dead),
    Act("s", "Seen, without a photo of its ring", "happened.seen", is_not_dead),
    Act("v", "Examined or treated by a vet", "happened.vet", is_not_dead),
    Act("m", "Moved to another aviary", "happened.moved", lives_here),
    Act("o", "A ring put on", "ring_on.RingOnScreen", lives_here),
    Act(
        "k",
        "Ring check: skin and leg under its ring",
        "ring_check.RingCheckScreen",
        wears_a_ring,
    ),
    Act(
        "t",
        "Trial rings: on, fit check, one off",
        "trial.trial_screen",
        lives_here,
    ),
    Act("a", "Again: something to do later", "tasks.TaskScreen", is_not_dead),
    Act("x", "A ring comes off, at the vet", "removal.RemovalScreen", has_a_ring_on),
    Act("i", "A chip put in, its ring stays on", "removal.chip_screen", is_not_dead),
    Act("p", "Placed: it goes to a new home", "placement.PlacementScreen", lives_here),
    Act("r", "Reported by its new owner", "placement.ReportScreen", is_placed),
    Act("b", "Brought back from its new home", "happened.brought_back", is_placed),
    Act("l", "Lost: flown or stolen", "happened.lost", lives_here),
    Act("f", "Found again", "happened.found", is_lost),
    Act("c", "Chick: its ring, in its days", "ring_chick.RingChickScreen", is_young),
    Act("e", "Fledged: left the nest", "young.fledged", has_not_fledged),
    Act("u", "Weaned: feeds itself", "young.weaned", is_young),
    Act("g", "Growth: its weights by day, and the curve", "weights.WeightsScreen"),
    Act("h", "How it is fed and was reared", "placement.CareScreen"),
    Act("d", "Died", "happened.died", is_not_dead),
)
"""In the order of the menu."""


def acts_for(flock: Flock, bird: Bird) -> list[Act]:
    """What can be entered of this bird as it is now."""
    return [act for act in ACTS if act.when(flock, bird)]


class ActsScreen(Dialog[Act]):
    """One letter chooses, or Enter on the line; answers with the act."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id
        flock = desk.ledger.flock
        self._acts = acts_for(flock, flock.birds[bird_id])

    def compose(self) -> ComposeResult:
        """The acts, a letter before each."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        with Vertical(classes="dialog"):
            yield Words(f"What happened to {bird.title}?", classes="title")
            yield RowList([Column("", 3), Column("", 0)], id="acts")
        yield Footer()

    def on_mount(self) -> None:
        """The first is under the cursor."""
        acts = self.query_one("#acts", RowList)
        acts.show([Row(a.letter, (a.letter.upper(), a.name)) for a in self._acts])
        acts.focus()

    def on_key(self, event: events.Key) -> None:
        """A letter chooses its act."""
        for act in self._acts:
            if event.character and event.character.lower() == act.letter:
                event.stop()
                self.answer(act)

    @on(RowList.Opened)
    def _choose(self, event: RowList.Opened) -> None:
        self.answer(next(act for act in self._acts if act.letter == event.row.key))


def open_acts(page: Screen[Any], desk: Desk, bird_id: str) -> None:
    """Ask what to enter about a bird, then open it over this page."""

    def open_it(act: Act | None) -> None:
        if act is not None:
            page.app.push_screen(act.opened(desk, bird_id))

    page.app.push_screen(ActsScreen(desk, bird_id), open_it)
