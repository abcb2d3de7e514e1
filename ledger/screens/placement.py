"""A bird goes to a new home, and what is heard of it there."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ledger.domain.partial_date import PartialDate
from ledger.domain.people import Person
from ledger.errors import LedgerError
from ledger.screens.form_dialog import FormDialog
from ledger.screens.guided import GuidedScreen, Said, Step
from ledger.screens.happened import DATES
from ledger.screens.paper import PaperScreen
from ledger.screens.removal_steps import photos
from ledger.services import book, placing, typed
from ledger.services.papers import PaperKind
from ledger.services.people import person_called
from ledger.services.placing_checks import before_placing
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.screens.desk import Desk

_FEEDING = "What, how much, when; what it must not get."
_REARING = "By its parents, by hand, by others; with whom it grew up."


class PlacementScreen(GuidedScreen):
    """To whom, how to reach them, what they must know; then all of it."""

    @property
    def _flock(self) -> Flock:
        return self.desk.ledger.flock

    @property
    def _bird(self) -> Bird:
        return self._flock.birds[self._bird_id]

    def title_words(self) -> str:
        """What it is about."""
        return "It goes to a new home"

    def steps(self) -> Sequence[Step]:
        """What is asked, in order."""
        people = tuple(sorted(p.name for p in self._flock.people.values() if p.name))
        return [
            Step(
                "to whom",
                lambda _: [
                    FormLine(
                        "person",
                        "To whom",
                        hint="F2 lists who is known. A new name is a new person.",
                        known=people,
                    ),
                    FormLine("on", "When", str(self.desk.today), DATES),
                    FormLine(
                        "text", "Agreed", hint="What you agreed on; on the paper."
                    ),
                ],
                told=self._who,
                trouble=partial(self._trouble, ("person", "on")),
            ),
            Step(
                "how to reach them",
                lambda _: [
                    FormLine("phone", "Phone"),
                    FormLine("email", "E-mail"),
                    FormLine("address", "Address"),
                ],
                lambda _: "So that you can ask how it fares, and be asked.",
                applies=lambda said: isinstance(self._person(said), Person),
            ),
            Step(
                "what they must know",
                lambda _: [
                    FormLine("feeding", "Feeding", self._bird.feeding, _FEEDING),
                    FormLine("rearing", "Rearing", self._bird.rearing, _REARING),
                ],
                lambda _: "Both stand on the paper that travels with the bird.",
            ),
        ]

    def _person(self, said: Said) -> Person | str | None:
        """The id of a known person, or a new one; None while no one is clear."""
        try:
            found = person_called(
                self._flock,
                said.get("person", ""),
                role="owner",
                phone=said.get("phone", ""),
                email=said.get("email", ""),
            )
        except LedgerError:
            return None
        if isinstance(found, Person):
            return replace(found, address=said.get("address", "").strip())
        return found

    def _who(self, said: Said) -> str:
        if not said.get("person", "").strip():
            return ""
        person = self._person(said)
        if isinstance(person, Person):
            return f"{person.name} is new: a new person is entered."
        known = self._flock.people.get(person or "")
        if known is None:
            return ""
        reach = ", ".join(filter(None, [known.role, known.phone, known.email]))
        return f"{known.name}, {reach or 'no way to reach them entered'}"

    def _trouble(self, fields: tuple[str, ...], said: Said) -> tuple[str, str] | None:
        for field in fields:
            try:
                if field == "person":
                    person_called(self._flock, said.get(field, ""))
                else:
                    typed.date(said.get(field, ""), self.desk.today)
            except LedgerError as error:
                return field, f"{error} {error.hint}".strip()
        return None

    def _on(self, said: Said) -> PartialDate:
        try:
            return typed.date(said.get("on", ""), self.desk.today)
        except LedgerError:
            return PartialDate.of(self.desk.today)

    def summary(self, said: Said) -> str:
        """Who takes it, then what must be known before."""
        person = self._person(said)
        known = (
            person if isinstance(person, Person) else self._flock.people[person or ""]
        )
        reach = ", ".join(filter(None, [known.phone, known.email, known.address]))
        told = [
            f"To:       {known.name}{' (new)' if isinstance(person, Person) else ''}",
            f"Reach:    {reach or 'not entered'}",
            f"When:     {self._on(said)}",
        ]
        if said.get("text"):
            told.append(f"Agreed:   {said['text']}")
        told += ["", *(f"! {each}" for each in self._warnings(said)), ""]
        told.append("Its paper is written to be signed and to travel with it.")
        return "\n".join(told)

    def _warnings(self, said: Said) -> tuple[str, ...]:
        return before_placing(
            self._flock,
            self._bird_id,
            self._on(said),
            feeding=said.get("feeding", ""),
            rearing=said.get("rearing", ""),
        )

    def finish(self, said: Said) -> None:
        """Store it, then show the paper.

        Raises:
            LedgerError: it cannot be stored.
        """
        book.place_bird(
            self.desk.ledger,
            self._bird_id,
            self._person(said) or "",
            self._on(said),
            self.desk.keeper,
            text=said.get("text", "").strip(),
            feeding=said.get("feeding", ""),
            rearing=said.get("rearing", ""),
        )
        self.app.switch_screen(
            PaperScreen(self.desk, self._bird_id, PaperKind.PLACEMENT, written=True)
        )


class ReportScreen(FormDialog):
    """What a later owner tells."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def title_words(self) -> str:
        """Who tells of whom."""
        flock = self.desk.ledger.flock
        bird = flock.birds[self._bird_id]
        owner = flock.people.get(bird.owner or "")
        return f"What {owner.name if owner else 'its owner'} reports of {bird.title}"

    def about_words(self) -> str:
        """What counts."""
        return "It may matter to its parents and siblings here. If it died, enter that."

    def lines(self) -> tuple[FormLine, ...]:
        """What is asked."""
        return (
            FormLine("text", "What they tell", hint="How it fares, in their words."),
            FormLine("weight", "Weight in grams", hint="If they weighed it."),
            FormLine("photos", "Photos", hint="Paths of pictures; drop them here."),
            FormLine("on", "When", str(self.desk.today), DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """Store it in the bird's life."""
        self.at = "weight"
        weight_g = typed.grams(words["weight"])
        self.at = "photos"
        pictures = photos(words["photos"])
        self.at = "on"
        on_day = typed.date(words["on"], self.desk.today)
        self.at = "text"
        placing.owner_reports(
            self.desk.ledger,
            self._bird_id,
            on_day,
            self.desk.keeper,
            text=words["text"],
            weight_g=weight_g,
            photos=pictures,
        )

    def stored_words(self) -> str:
        """Where it is."""
        return "It stands on the bird's page."


class CareScreen(FormDialog):
    """How it is fed and was reared."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    @property
    def _bird(self) -> Bird:
        return self.desk.ledger.flock.birds[self._bird_id]

    def title_words(self) -> str:
        """Of whom."""
        return f"How {self._bird.title} is fed and was reared"

    def about_words(self) -> str:
        """What for."""
        return "It stands on its page, and on the paper that travels with it."

    def lines(self) -> tuple[FormLine, ...]:
        """What is asked."""
        return (
            FormLine("feeding", "Feeding", self._bird.feeding, _FEEDING),
            FormLine("rearing", "Rearing", self._bird.rearing, _REARING),
        )

    def store(self, words: dict[str, str]) -> None:
        """Store both."""
        bird = replace(
            self._bird,
            feeding=words["feeding"].strip(),
            rearing=words["rearing"].strip(),
        )
        what = f"{bird.title}: feeding and rearing"
        book.change_bird(self.desk.ledger, bird, self.desk.keeper, what)

    def stored_words(self) -> str:
        """Where it is."""
        return "It stands on the bird's page."
