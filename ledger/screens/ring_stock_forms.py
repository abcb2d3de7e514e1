"""What is asked in the ring stock: what became of a ring, and of a series."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.mark_rules import called_ring
from ledger.domain.ring import RingKind, RingState
from ledger.domain.series import RingSeries
from ledger.errors import RuleError
from ledger.screens.form_dialog import FormDialog
from ledger.services import ring_order, stock, typed
from ledger.services import typed_numbers as numbers
from ledger.services.ledger import ring_of
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from ledger.screens.desk import Desk

_DATES = "2026-02-03, 2026-02 or spring 2026"


class OutDialog(FormDialog):
    """A ring in stock is spoiled or lost; a lost one was found again."""

    def __init__(self, desk: Desk, ring_id: str) -> None:
        """Ask.

        Raises:
            LedgerError: nothing can be asked of this ring.
        """
        super().__init__(desk)
        flock = desk.ledger.flock
        if ring_id in flock.series:
            raise RuleError(
                f"{stock.called_series(flock.series[ring_id])} has not come yet.",
                "F5 takes it into stock; then its rings can be spoiled or lost.",
            )
        self._ring = ring_of(flock, ring_id)
        self._is_lost = self._ring.state is RingState.LOST
        if self._ring.state not in (RingState.IN_STOCK, RingState.LOST):
            on_bird = self._ring.state is RingState.ON_BIRD
            raise RuleError(
                f"{called_ring(self._ring)} is not in stock: it is {self._ring.state}.",
                "Enter on the bird's page how it came off." if on_bird else "",
            )

    def title_words(self) -> str:
        """Which ring."""
        asks = "was found again" if self._is_lost else "leaves the stock"
        return f"{called_ring(self._ring)} {asks}"

    def lines(self) -> tuple[FormLine, ...]:
        """What became of it, why, and when."""
        on = FormLine("on", "When", str(self.desk.today), _DATES)
        if self._is_lost:
            return (on,)
        ways = (("spoiled", "spoiled"), ("lost", "lost"))
        return (
            FormLine("what", "It is", choices=ways, hint="Left and Right choose."),
            FormLine("why", "How", example="bent when opened"),
            on,
        )

    def store(self, words: dict[str, str]) -> None:
        """Enter what became of it.

        Raises:
            LedgerError: something is missing, or it is not in stock any more.
        """
        desk, ring_id = self.desk, self._ring.id
        self.at = "on"
        day = typed.date(words["on"], desk.today)
        if self._is_lost:
            stock.found_again(desk.ledger, ring_id, day, desk.keeper)
            return
        self.at = "why"
        enter = stock.spoil if words["what"] == "spoiled" else stock.lose
        enter(desk.ledger, ring_id, day, desk.keeper, words["why"])

    def stored_words(self) -> str:
        """It stays accounted for."""
        return "It stays in the list, and its number is never used again."


class KeepDialog(FormDialog):
    """Where a ring that came off is kept."""

    def __init__(self, desk: Desk, ring_id: str) -> None:
        """Ask.

        Raises:
            LedgerError: it did not come off a bird.
        """
        super().__init__(desk)
        self._ring = ring_of(desk.ledger.flock, ring_id)
        came_off = self._ring.state in (RingState.REMOVED, RingState.LOST)
        if not came_off or self._ring.bird is None:
            raise RuleError(
                f"{called_ring(self._ring)} did not come off a bird: it is "
                f"{self._ring.state}.",
                "Only a ring that came off is kept as a proof.",
            )

    def title_words(self) -> str:
        """Which ring."""
        return f"{called_ring(self._ring)}: where is it kept?"

    def about_words(self) -> str:
        """Why it is kept."""
        return (
            "Keep every ring that came off a bird: it is part of the proof of who the "
            "bird is (Watchbird, vets' corner)."
        )

    def lines(self) -> tuple[FormLine, ...]:
        """The place."""
        return (FormLine("where", "Kept", self._ring.kept, "", "envelope 7, desk"),)

    def store(self, words: dict[str, str]) -> None:
        """Enter the place.

        Raises:
            LedgerError: none is named.
        """
        self.at = "where"
        desk = self.desk
        stock.keep(desk.ledger, self._ring.id, words["where"], desk.keeper)

    def stored_words(self) -> str:
        """Where it stands."""
        return "It stands in the ring stock as removed and kept."


class ComeDialog(FormDialog):
    """A series has come and is counted."""

    def __init__(self, desk: Desk, series_id: str) -> None:
        super().__init__(desk)
        self._series = stock.series_of(desk.ledger.flock, series_id)

    def title_words(self) -> str:
        """Which series."""
        return f"{stock.called_series(self._series)} has come"

    def about_words(self) -> str:
        """What to look at."""
        size = self._series.size_mm
        return (
            f"Count the {len(self._series.serials)} rings, read the first and the last "
            f"one, and measure one: {size:g} mm inside."
            if size is not None
            else ""
        )

    def lines(self) -> tuple[FormLine, ...]:
        """When, and the supplier's batch."""
        return (
            FormLine("on", "When", str(self.desk.today), _DATES),
            FormLine("batch", "The supplier's batch", self._series.batch),
        )

    def store(self, words: dict[str, str]) -> None:
        """Take it into stock.

        Raises:
            LedgerError: it is there already.
        """
        self.at = "on"
        desk = self.desk
        day = typed.date(words["on"], desk.today)
        stock.arrive(
            desk.ledger, self._series.id, day, desk.keeper, batch=words["batch"]
        )

    def stored_words(self) -> str:
        """Ring by ring."""
        return f"{len(self._series.serials)} rings are in stock."


class SeriesDialog(FormDialog):
    """A series that was ordered, entered by hand."""

    def title_words(self) -> str:
        """What is asked."""
        return "A ring series was ordered"

    def lines(self) -> tuple[FormLine, ...]:
        """Everything a series has; what follows from the others is filled in."""
        flock, today = self.desk.ledger.flock, self.desk.today
        year = ring_order.next_year(today)
        first = ring_order.next_number(flock, year)
        kinds = tuple((str(kind), str(kind)) for kind in RingKind)
        return (
            FormLine("size", "Inner diameter in mm", example="7.5"),
            FormLine("year", "Ring year", str(year)),
            FormLine("first", "First serial", str(first)),
            FormLine("count", "How many", "10"),
            FormLine(
                "pattern",
                "Inscription",
                ring_order.pattern_for(flock.settings, year, 10.0),
                "{serial} stands where the number goes; / parts the lines.",
            ),
            FormLine("digits", "Digits of a serial", "4"),
            FormLine("colour", "Colour", hint="A colour is never one year."),
            FormLine("kind", "Kind", choices=kinds),
            FormLine(
                "issuer", "Issuer", flock.settings.name, "Empty: the flock itself."
            ),
            FormLine("on", "Ordered", str(today), _DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """Enter it as ordered.

        Raises:
            LedgerError: a number is there already, or something makes no sense.
        """
        desk = self.desk
        self.at = "on"
        day = typed.date(words["on"], desk.today)
        self.at = "size"
        size_mm = typed.millimetres(words["size"])
        self.at = "year"
        year = numbers.count(words["year"])
        self.at = "first"
        first = numbers.count(words["first"])
        self.at = "count"
        many = numbers.count(words["count"])
        self.at = "digits"
        digits = numbers.count(words["digits"])
        self.at = "pattern"
        series = RingSeries(
            "",
            " ".join(words["pattern"].split()),
            year,
            first,
            first + many - 1,
            digits,
            size_mm,
            RingKind(words["kind"]),
            words["colour"].strip(),
            words["issuer"].strip(),
        )
        stock.order_series(desk.ledger, series, desk.keeper, day)

    def stored_words(self) -> str:
        """Where it is."""
        return "It is on its way: F5 when it comes."
