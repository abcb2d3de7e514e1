"""Two sizes on trial: put on, the fit checked, the other ring off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.leg_findings import RED_LINE
from ledger.care.trial import TrialStep, called, trial_of
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Ring, RingKind, RingState
from ledger.errors import RuleError
from ledger.screens.form_dialog import FormDialog
from ledger.screens.happened import DATES
from ledger.services import trial_decision, trials, typed
from ledger.services.trial_decision import OtherRing
from ledger.services.typed_days import day_to_come
from ledger.services.typed_numbers import count
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


def trial_screen(desk: Desk, bird_id: str) -> FormDialog:
    """What comes next for the trial rings of a bird: begin, check, or take off."""
    trial = _trial(desk, bird_id)
    if trial is None:
        return TrialScreen(desk, bird_id)
    if trial.step is TrialStep.DECIDED:
        return TakeOffScreen(desk, bird_id)
    return FitScreen(desk, bird_id)


def _trial(desk: Desk, bird_id: str) -> Trial | None:
    flock = desk.ledger.flock
    return trial_of(
        flock.birds[bird_id],
        flock.rings_of(bird_id),
        flock.events_of(bird_id),
        flock.tasks_of(bird_id),
    )


class _OfBird(FormDialog):
    """About one bird."""

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    @property
    def bird(self) -> Bird:
        """As the ledger has it now."""
        return self.desk.ledger.flock.birds[self._bird_id]


class TrialScreen(_OfBird):
    """Both rings in one act; what speaks against them is said before it is stored."""

    _warned: tuple[str, ...] = ()

    def title_words(self) -> str:
        """What it is."""
        return f"{self.bird.title}: two sizes on trial"

    def about_words(self) -> str:
        """Which day is proposed, and why."""
        flock, today = self.desk.ledger.flock, PartialDate.of(self.desk.today)
        _, age = trials.check_day(flock, self.bird, today)
        return f"One ring on each leg. Age at the fit check: {age.source}."

    def lines(self) -> tuple[FormLine, ...]:
        """Both rings, and the day of the fit check."""
        flock, today = self.desk.ledger.flock, self.desk.today
        pair = trials.suggest_rings(flock, self.bird)
        stock = tuple(ring.inscription for ring in flock.rings_in_stock())
        lines = []
        for leg, ring in zip(("left", "right"), pair, strict=True):
            size = f"{ring.size_mm:g}" if ring and ring.size_mm else ""
            lines += [
                FormLine(
                    leg,
                    f"Ring on the {leg} leg",
                    ring.inscription if ring else "",
                    "The next in stock is proposed; / parts the lines.",
                    "IE TWK / 26 0042",
                    known=stock,
                ),
                FormLine(
                    f"{leg}-size",
                    "its inner diameter",
                    size,
                    "In mm; that of a ring from stock is known.",
                ),
            ]
        day, age = trials.check_day(flock, self.bird, PartialDate.of(today))
        since = "old" if self.bird.hatched else "after today"
        return (
            *lines,
            FormLine(
                "kind",
                "Kind",
                choices=tuple((str(k), str(k)) for k in RingKind),
                hint="Of rings that are not from stock.",
            ),
            FormLine("colour", "Colour", hint="Of rings that are not from stock."),
            FormLine(
                "check",
                f"Fit check, days {since}",
                str(age.days),
                f"Usual for its species: {age.days}, that is {day}.",
            ),
            FormLine("on", "Put on", str(today), DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """Both rings on; with warnings only when Enter is pressed again."""
        desk = self.desk
        flock = desk.ledger.flock
        self.at = "on"
        day = typed.date(words["on"], desk.today)
        self.at = "check"
        age_days = count(words["check"])
        check_on, _ = trials.check_day(flock, self.bird, day, age_days)
        if check_on < desk.today:
            raise RuleError(f"{check_on} is past.", "Give a greater age.")
        left, right = (self._ring(words, leg) for leg in ("left", "right"))
        self.at = "left"
        trials.refuse_trial(flock, self.bird, left, right, day)
        warned = trials.trial_warnings(flock, self.bird, left, right, day)
        if warned and warned != self._warned:
            self._warned = warned
            raise RuleError(" ".join(warned), "Enter once more stores it all the same.")
        trials.begin_trial(
            desk.ledger, self._bird_id, left, right, day, desk.keeper, check_on=check_on
        )

    def _ring(self, words: dict[str, str], leg: str) -> Ring:
        self.at = f"{leg}-size"
        size_mm = typed.millimetres(words[f"{leg}-size"])
        self.at = leg
        inscription = " ".join(words[leg].split())
        known = [
            ring
            for ring in self.desk.ledger.flock.rings_inscribed(inscription)
            if ring.state is RingState.IN_STOCK
        ]
        if known and inscription:
            return known[0]
        return Ring(
            "", inscription, RingKind(words["kind"]), words["colour"].strip(), size_mm
        )

    def stored_words(self) -> str:
        """When it comes back."""
        return "The fit check stands on Today when its day comes."


class FitScreen(_OfBird):
    """Which of the two stays."""

    def title_words(self) -> str:
        """What it is."""
        return f"{self.bird.title}: fit check of its trial rings"

    def about_words(self) -> str:
        """How a ring sits that fits, and what not to do."""
        return (
            "A ring that fits turns freely and slides without passing the hock or the "
            f"foot (brookfallsveterinary.com). {RED_LINE}"
        )

    def lines(self) -> tuple[FormLine, ...]:
        """The decision, and what became of the other ring."""
        trial = _trial(self.desk, self._bird_id)
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
            self.at = "by"
            trial_decision.decide(
                desk.ledger,
                bird_id,
                words["decision"],
                day,
                desk.keeper,
                text=text,
                other=_other(words),
            )

    def stored_words(self) -> str:
        """What comes next."""
        trial = _trial(self.desk, self._bird_id)
        if trial is None:
            return "The trial is over; both rings are accounted for."
        if trial.step is TrialStep.DECIDED:
            return "The other ring stands on Today until it is off."
        return "The next fit check stands on Today."


class TakeOffScreen(_OfBird):
    """The ring that does not stay came off."""

    def title_words(self) -> str:
        """What it is."""
        return f"{self.bird.title}: the other trial ring came off"

    def about_words(self) -> str:
        """What was decided."""
        trial = _trial(self.desk, self._bird_id)
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
