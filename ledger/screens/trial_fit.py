"""The fit check of trial rings: which one stays, and where the other one goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.fit import Fit, check_fit
from ledger.care.leg_findings import RED_LINE
from ledger.care.trial import TrialStep, called, trial_of
from ledger.domain.ring import RingState
from ledger.errors import RuleError
from ledger.screens.form_dialog import FormDialog
from ledger.screens.happened import DATES
from ledger.services import trial_decision, typed
from ledger.services.trial_decision import OtherRing
from ledger.services.typed_days import day_to_come
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from ledger.care.trial import Trial
    from ledger.domain.bird import Bird
    from ledger.screens.desk import Desk

_LATER, _KEPT, _NOT_KEPT, _LOST = "later", "kept", "not kept", "lost"
_GOES = (
    (_LATER, "comes off later"),
    (_KEPT, "taken off and kept"),
    (_NOT_KEPT, "taken off, not kept"),
    (_LOST, "fell off, is lost"),
)
_AGAIN, _NEITHER = "again", "neither"


def trial_on(desk: Desk, bird_id: str) -> Trial | None:
    """The trial of a bird as the ledger has it now."""
    flock = desk.ledger.flock
    return trial_of(
        flock.birds[bird_id],
        flock.rings_of(bird_id),
        flock.events_of(bird_id),
        flock.tasks_of(bird_id),
    )


class OfBird(FormDialog):
    """About one bird."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    @property
    def bird(self) -> Bird:
        """As the ledger has it now."""
        return self.desk.ledger.flock.birds[self._bird_id]


class FitScreen(OfBird):
    """Which of the two stays."""

    _warned: tuple[str, ...] = ()

    def title_words(self) -> str:
        """What it is."""
        return f"{self.bird.title}: fit check of its trial rings"

    def about_words(self) -> str:
        """How a ring sits that fits, and what not to do."""
        return (
            "A ring that fits turns freely and slides without passing the hock or the "
            "foot (brookfallsveterinary.com). Taking one off is for an avian vet, or "
            "whom your local rules allow."
        )

    def lines(self) -> tuple[FormLine, ...]:
        """The decision, and what became of the other ring."""
        trial = trial_on(self.desk, self._bird_id)
        rings = trial.rings if trial else ()
        choices = [
            (_AGAIN, "not decided, look again"),  # first: one Enter decides nothing
            *((ring.id, f"{called(ring)} stays") for ring in rings),
            (_NEITHER, "neither fits: avian vet today"),
        ]
        return (
            FormLine(
                "decision",
                "Decision",
                choices=tuple(choices),
                hint="Left and Right choose.",
            ),
            FormLine("text", "Why", hint="How both sit, in words."),
            FormLine(
                "leg",
                "Leg in mm",
                hint="If measured: at mid-length, the wider way.",
            ),
            *_other_lines(_GOES),
            FormLine("again", "Look again", "in 4 weeks", "If nothing is decided."),
            FormLine("on", "When", str(self.desk.today), DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """The decision; with the other ring, where it is off."""
        desk, bird_id = self.desk, self._bird_id
        self.at = "on"
        day = typed.date(words["on"], desk.today)
        self.at = "text"
        text = words["text"]
        if words["decision"] == _NEITHER:
            trial_decision.neither_fits(desk.ledger, bird_id, day, desk.keeper, text)
        elif words["decision"] == _AGAIN:
            self.at = "again"
            again = day_to_come(words["again"], desk.today)
            trial_decision.look_again(
                desk.ledger, bird_id, day, again, desk.keeper, text
            )
        else:
            self.at = "leg"
            leg_mm = typed.millimetres(words["leg"])
            self._warn_of_fit(words["decision"], leg_mm)
            self.at = "by"
            trial_decision.decide(
                desk.ledger,
                bird_id,
                words["decision"],
                day,
                desk.keeper,
                text=text,
                leg_mm=leg_mm,
                other=_other(words),
            )

    def _warn_of_fit(self, ring_id: str, leg_mm: float | None) -> None:
        """Say once that the rule speaks against the ring that shall stay."""
        size_mm = self.desk.ledger.flock.rings[ring_id].size_mm
        if leg_mm is None or size_mm is None:
            return
        fit = check_fit(leg_mm, size_mm)
        said = (*fit.said, ring_id)
        if fit.fit is not Fit.RIGHT and said != self._warned:
            self._warned = said
            raise RuleError(
                " ".join(fit.said[:2]), "Enter once more stores it all the same."
            )

    def stored_words(self) -> str:
        """What comes next."""
        trial = trial_on(self.desk, self._bird_id)
        if trial is None:
            return "The trial is over; both rings are accounted for."
        if trial.step is TrialStep.DECIDED:
            return "The other ring stands on Today until it is off."
        return "The next fit check stands on Today."


class TakeOffScreen(OfBird):
    """The ring that does not stay came off."""

    def title_words(self) -> str:
        """What it is."""
        return f"{self.bird.title}: the other trial ring came off"

    def about_words(self) -> str:
        """What was decided."""
        trial = trial_on(self.desk, self._bird_id)
        which = f"{called(trial.rings[0])} comes off; {trial.why}. " if trial else ""
        return f"{which}By an avian vet, or whom your local rules allow. {RED_LINE}"

    def lines(self) -> tuple[FormLine, ...]:
        """How, by whom, and where it is."""
        return (
            *_other_lines(_GOES[1:]),
            FormLine("on", "When", str(self.desk.today), DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """It is off."""
        self.at = "on"
        day = typed.date(words["on"], self.desk.today)
        self.at = "by"
        other = _other(words)
        if other is not None:
            desk = self.desk
            trial_decision.take_off(desk.ledger, self._bird_id, day, desk.keeper, other)

    def stored_words(self) -> str:
        """The chain is whole."""
        return "The ring that stays carries the identity on."


def _other_lines(choices: tuple[tuple[str, str], ...]) -> tuple[FormLine, ...]:
    return (
        FormLine("other", "The other ring", choices=choices),
        FormLine(
            "by",
            "Taken off by",
            hint="An avian vet, or whom your rules allow, with the proper cutter.",
        ),
        FormLine("kept", "Kept where", hint="Keep a ring that came off: it is proof."),
    )


def _other(words: dict[str, str]) -> OtherRing | None:
    """What became of the other ring; None where it is still on."""
    how = words["other"]
    if how in (_LATER, _LOST) and (words["by"].strip() or words["kept"].strip()):
        raise RuleError(
            f"The other ring {dict(_GOES)[how]}, and yet it is said who took it off or "
            "where it is kept.",
            "Choose “taken off”, or empty those lines.",
        )
    if how == _LATER:
        return None
    if how == _LOST:
        return OtherRing("", RingState.LOST)
    if how == _KEPT and not words["kept"].strip():
        raise RuleError("It is not said where the ring is kept.", "Name the place.")
    return OtherRing(words["by"], kept=words["kept"] if how == _KEPT else "")
