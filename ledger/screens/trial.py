"""Two sizes on trial: both rings on in one act."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.trial import TrialStep
from ledger.domain.partial_date import PartialDate
from ledger.domain.ring import Ring, RingKind, RingState
from ledger.errors import RuleError
from ledger.screens.happened import DATES
from ledger.screens.trial_fit import FitScreen, OfBird, TakeOffScreen, trial_on
from ledger.services import trials, typed
from ledger.services.typed_numbers import count
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from ledger.screens.desk import Desk


def trial_screen(desk: Desk, bird_id: str) -> OfBird:
    """What comes next for the trial rings of a bird: begin, check, or take off."""
    trial = trial_on(desk, bird_id)
    if trial is None:
        return TrialScreen(desk, bird_id)
    if trial.step is TrialStep.DECIDED:
        return TakeOffScreen(desk, bird_id)
    return FitScreen(desk, bird_id)


class TrialScreen(OfBird):
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
