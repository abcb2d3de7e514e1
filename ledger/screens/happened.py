"""What happened to a bird, in a short form: weighed, moved, placed, died and so on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.domain.event import EventKind
from ledger.errors import RuleError
from ledger.screens.form_dialog import FormDialog
from ledger.services import book, typed
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from collections.abc import Callable

    from ledger.domain.partial_date import PartialDate
    from ledger.screens.desk import Desk

DATES = "2019, 2019-04, 2019-04-12 or spring 2019."


@dataclass(frozen=True)
class Entered:
    """What stands in the form, understood."""

    on: PartialDate
    text: str
    at: str
    weight_g: float | None
    kind: str


class HappenedScreen(FormDialog):
    """Enter stores and answers True; Escape stores nothing."""

    def __init__(
        self,
        desk: Desk,
        bird_id: str,
        title: str,
        lines: tuple[FormLine, ...],
        store: Callable[[Desk, str, Entered], object],
        *,
        said: str = "",
        about: str = "",
    ) -> None:
        """A form over a page.

        Args:
            desk: The keeper's.
            bird_id: The bird.
            title: Stands on top, after the bird's name.
            lines: Of the form; those called on, text, at, weight and kind count.
            store: Does it; called with what was entered.
            said: What is told when it is stored.
            about: What must be known first, above the form.
        """
        super().__init__(desk)
        self._bird_id = bird_id
        self._title = title
        self._lines = (*lines, _when(desk))
        self._do = store
        self._said = said
        self._about = about

    def title_words(self) -> str:
        """The bird and what happened to it."""
        bird = self.desk.ledger.flock.birds[self._bird_id]
        return f"{bird.title}: {self._title}"

    def about_words(self) -> str:
        """What must be known first."""
        return self._about

    def lines(self) -> tuple[FormLine, ...]:
        """What is asked, the day last."""
        return self._lines

    def store(self, words: dict[str, str]) -> None:
        """Understand what stands in the form, and do it.

        Raises:
            LedgerError: a weight or a day is none, or it cannot be stored.
        """
        first = self._lines[0].name
        self.at = "weight" if "weight" in words else first
        weight_g = typed.grams(words.get("weight", ""))
        self.at = "on"
        on_day = typed.date(words["on"], self.desk.today)
        self.at = first
        entered = Entered(
            on_day,
            words.get("text", "").strip(),
            words.get("at", "").strip(),
            weight_g,
            words.get("kind", ""),
        )
        self._do(self.desk, self._bird_id, entered)

    def stored_words(self) -> str:
        """Where it stands now."""
        return self._said or "It stands on the bird's page."


def _when(desk: Desk) -> FormLine:
    return FormLine("on", "When", str(desk.today), DATES)


def _places(desk: Desk) -> tuple[str, ...]:
    """Aviaries in use, each once."""
    return tuple(
        sorted({b.location for b in desk.ledger.flock.birds.values() if b.location})
    )


def _event(kind: EventKind) -> Callable[[Desk, str, Entered], object]:
    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        return book.record_event(
            desk.ledger,
            bird_id,
            EventKind(said.kind) if said.kind else kind,
            said.on,
            desk.keeper,
            text=said.text,
            weight_g=said.weight_g,
            at=said.at,
        )

    return store


_APART_FIRST = (
    "A bird that was elsewhere may bring an illness: keep it apart, and have an avian "
    "vet look at it before it joins the others."
)
"""Common practice, no source."""
_TEXT = FormLine("text", "In words", hint="May stay empty.")


def weighed(desk: Desk, bird_id: str) -> HappenedScreen:
    """Its weight."""

    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        if said.weight_g is None:
            raise RuleError("No weight is entered.", "Write the grams, such as 412.5.")
        return _event(EventKind.WEIGHED)(desk, bird_id, said)

    lines = (
        FormLine("weight", "Weight in grams", example="for example 412.5"),
        _TEXT,
    )
    return HappenedScreen(desk, bird_id, "weighed", lines, store)


def seen(desk: Desk, bird_id: str) -> HappenedScreen:
    """It was seen, known by something else than a ring that was read."""
    bird = desk.ledger.flock.birds[bird_id]
    lines = (
        FormLine("at", "Where", bird.location, known=_places(desk)),
        FormLine("text", "How you knew it", hint="By its ring, its colour, its ways."),
    )
    return HappenedScreen(desk, bird_id, "seen", lines, _event(EventKind.SIGHTED))


def vet(desk: Desk, bird_id: str) -> HappenedScreen:
    """What a vet found or gave."""
    kinds = tuple((str(k), str(k)) for k in (EventKind.EXAMINED, EventKind.TREATED))

    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        if not said.text:
            raise RuleError("Nothing is said of it.", "Write what was found or given.")
        return _event(EventKind.EXAMINED)(desk, bird_id, said)

    lines = (
        FormLine("text", "Found or given", hint="What the vet found, or gave."),
        FormLine("kind", "It was", choices=kinds, hint="Left and Right choose."),
        FormLine("weight", "Weight in grams", hint="If it was weighed."),
    )
    return HappenedScreen(desk, bird_id, "at the vet", lines, store)


def moved(desk: Desk, bird_id: str) -> HappenedScreen:
    """To another aviary."""

    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        if not said.at:
            raise RuleError("It is not said where to.", "Write the aviary or cage.")
        return _event(EventKind.MOVED)(desk, bird_id, said)

    lines = (
        FormLine("at", "To which aviary", known=_places(desk), hint="Or cage."),
        _TEXT,
    )
    return HappenedScreen(desk, bird_id, "moved", lines, store)


def lost(desk: Desk, bird_id: str) -> HappenedScreen:
    """Flown or stolen."""
    lines = (FormLine("text", "How", hint="Flown or stolen, from where."),)
    return HappenedScreen(desk, bird_id, "lost", lines, _event(EventKind.LOST))


def found(desk: Desk, bird_id: str) -> HappenedScreen:
    """It is here again."""
    lines = (FormLine("text", "Where, by whom"),)
    return HappenedScreen(
        desk,
        bird_id,
        "found again",
        lines,
        _event(EventKind.FOUND),
        about=_APART_FIRST,
    )


def died(desk: Desk, bird_id: str) -> HappenedScreen:
    """What it died of, as far as is known."""
    lines = (
        FormLine(
            "text",
            "Of what",
            hint="What is known or was found; its kin may need it one day.",
        ),
    )
    return HappenedScreen(
        desk,
        bird_id,
        "died",
        lines,
        _event(EventKind.DIED),
        about="Its rings stay entered. Keep them with its papers.",
    )


def brought_back(desk: Desk, bird_id: str) -> HappenedScreen:
    """It is here again."""

    def store(desk: Desk, bird_id: str, said: Entered) -> object:
        return book.bring_back(
            desk.ledger, bird_id, said.on, desk.keeper, location=said.at, text=said.text
        )

    lines = (
        FormLine("at", "Into which aviary", known=_places(desk)),
        FormLine("text", "Why it came back"),
    )
    return HappenedScreen(
        desk, bird_id, "brought back", lines, store, about=_APART_FIRST
    )
