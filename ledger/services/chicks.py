"""What a chick goes through: weighed, ringed, fledged, weaned, or it dies."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ledger.care.ringing import WindowOfChick, WindowState, window_of_bird
from ledger.care.sizes import SizeAdvice, advise_size, check_size
from ledger.care.weights import curve_of
from ledger.domain.event import Event, EventKind
from ledger.domain.mark_rules import called_ring, same_inscription
from ledger.domain.ring import Ring, RingKind, RingState
from ledger.errors import RuleError
from ledger.services import book
from ledger.services.ledger import bird_of, date_of, ring_of
from ledger.services.stock import next_serial

if TYPE_CHECKING:
    import datetime as dt

    from ledger.care.weights import WeightLoss
    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger, When

OLDEST_CHICK_DAYS = 365
"""Beyond this age no bird fledges or is weaned: the day must be a slip."""
NO_PROOF = (
    "A split ring or a chip still tells which bird it is, but a bird of any age can "
    "be given one: neither proves any more that it was ringed as a chick and bred "
    "here. (A closed ring does, for it only goes on in the first days of life: "
    "Regulation (EC) 865/2006, Article 66.)"
)
KEEP_PROOF = (
    "Keep what else shows it: this clutch, its weights, photos of the nest, and, "
    "where much hangs on it, a DNA test with both parents. Where a closed ring is "
    "the rule, ask your authority before you mark it otherwise."
)
TOO_SOON = (
    "A ring that goes on too soon slips back over the foot and is lost in the nest; "
    "where it does, wait a day (sjdjavas.co.uk/ringing)."
)


@dataclass(frozen=True, slots=True)
class RingProposal:
    """Which ring a chick should get on a day, and what must be known before."""

    ring: Ring | None
    """The next one of the right size in stock; None where there is none."""
    size: SizeAdvice
    stands: WindowOfChick
    said: tuple[str, ...]
    """Sentences, the most weighty first."""

    @property
    def is_missed(self) -> bool:
        """No closed ring goes on any more."""
        return self.stands.state is WindowState.MISSED


def propose_ring(
    flock: Flock, bird_id: str, today: dt.date, kind: RingKind | None = None
) -> RingProposal:
    """The next ring for a chick.

    Args:
        flock: The flock.
        bird_id: The chick.
        today: The day in question.
        kind: Of ring; None: closed, or split where the days are missed.

    Raises:
        NotFoundError: there is no such bird.
    """
    bird = bird_of(flock, bird_id)
    stands = window_of_bird(flock, bird, today)
    size = advise_size(bird.species, bird.sex, flock.settings)
    missed = stands.state is WindowState.MISSED
    kind = kind or (RingKind.SPLIT if missed else RingKind.CLOSED)
    ring = None
    if size.size_mm is not None:
        year = bird.hatched.year if bird.hatched and kind is RingKind.CLOSED else None
        ring = next_serial(flock, size.size_mm, kind, year=year)
    said = [f"{bird.title}: {stands.said}"]
    if missed:
        said += [NO_PROOF, KEEP_PROOF]
    said.append(size.said)
    if size.doubt:
        said.append(size.doubt)
    if ring is None and size.size_mm is not None:
        of_year = f" of {bird.hatched.year}" if bird.hatched else ""
        said.append(
            f"No {kind} ring of {size.size_mm:g} mm"
            f"{of_year if kind is RingKind.CLOSED else ''} is in stock: type what the "
            "ring reads."
        )
    return RingProposal(ring, size, stands, tuple(said))


def warnings_of_ring(
    flock: Flock, bird_id: str, ring: Ring, on: When
) -> tuple[str, ...]:
    """What to be warned of before a ring goes on a chick; nothing where all is well.

    Args:
        flock: The flock.
        bird_id: The chick.
        ring: As it is to be put on.
        on: When.

    Raises:
        NotFoundError: there is no such bird.
    """
    bird = bird_of(flock, bird_id)
    day = date_of(on)
    said = []
    worn = [r for r in flock.rings_of(bird.id) if r.state is RingState.ON_BIRD]
    if worn:
        names = " and ".join(called_ring(ring) for ring in worn)
        said.append(f"{bird.title} wears {names} already.")
    if ring.kind is RingKind.CLOSED:
        stands = window_of_bird(flock, bird, day.latest)
        if stands.state is not WindowState.OPEN:
            said.append(f"{bird.title}: {stands.said}")
        if stands.state is WindowState.NOT_YET:
            said.append(TOO_SOON)
    return (*said, *check_size(bird.species, bird.sex, ring.size_mm, flock.settings))


def ring_chick(
    ledger: Ledger,
    bird_id: str,
    ring: Ring,
    on: When,
    author: str,
    *,
    although: str = "",
) -> Ring:
    """Enter that a chick got its ring.

    Args:
        ledger: An open ledger.
        bird_id: The chick.
        ring: From stock by its id, or as it reads with an empty id; what lies in
            stock with that inscription is that ring.
        on: When it was put on.
        author: Who put it on.
        although: For a closed ring after its days: how it truly went on. It is kept
            with the ring, and `check` goes on telling it.

    Returns:
        The ring as stored.

    Raises:
        NotFoundError: there is no such bird or ring.
        RuleError: a closed ring after its days without a word on how, the ring is not
            in stock, or a rule of the flock says no.
    """
    flock = ledger.flock
    bird = bird_of(flock, bird_id)
    day = date_of(on)
    ring = in_stock(flock, ring)
    if refuse_missed(flock, bird.id, ring, day, although):
        note = f"Put on after its days. {although.strip()}"
        ring = replace(ring, notes=" ".join(filter(None, [ring.notes, note])))
    return book.put_on_ring(ledger, bird.id, ring, day, author)


def weigh_chick(
    ledger: Ledger, bird_id: str, weight_g: float, on: When, author: str
) -> tuple[Event, WeightLoss | None]:
    """Enter a weight.

    Returns:
        The weighing, and what is to be told where the bird lost weight.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: a rule of the flock says no.
    """
    event = book.record_event(
        ledger, bird_id, EventKind.WEIGHED, on, author, weight_g=weight_g
    )
    return event, curve_of(ledger.flock, bird_id).loss


def fledge(
    ledger: Ledger,
    bird_id: str,
    on: When,
    author: str,
    *,
    weight_g: float | None = None,
    text: str = "",
) -> Event:
    """Enter that a chick left the nest.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it did so before, or it is no chick on that day.
    """
    return _once(
        ledger, bird_id, EventKind.FLEDGED, on, author, weight_g=weight_g, text=text
    )


def wean(
    ledger: Ledger,
    bird_id: str,
    on: When,
    author: str,
    *,
    weight_g: float | None = None,
    text: str = "",
) -> Event:
    """Enter that a young bird feeds itself.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it did so before, or it is no chick on that day.
    """
    return _once(
        ledger, bird_id, EventKind.WEANED, on, author, weight_g=weight_g, text=text
    )


def chick_died(
    ledger: Ledger, bird_id: str, on: When, author: str, text: str = ""
) -> Event:
    """Enter that a chick died, and of what as far as is known.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it died before, or a rule of the flock says no.
    """
    return book.record_event(ledger, bird_id, EventKind.DIED, on, author, text=text)


def _once(
    ledger: Ledger,
    bird_id: str,
    kind: EventKind,
    on: When,
    author: str,
    *,
    weight_g: float | None,
    text: str,
) -> Event:
    bird = bird_of(ledger.flock, bird_id)
    for event in ledger.flock.events_of(bird.id):
        if event.kind is kind:
            raise RuleError(
                f"{bird.title} is entered as {kind} on {event.on} already.",
                "If that was a slip, take it back first: `flock-ledger undo`.",
            )
    _refuse_grown(bird, kind, on)
    return book.record_event(
        ledger, bird.id, kind, on, author, weight_g=weight_g, text=text.strip()
    )


def _refuse_grown(bird: Bird, kind: EventKind, on: When) -> None:
    if bird.hatched is None:
        return
    least, _ = bird.hatched.days_until(date_of(on))
    if least > OLDEST_CHICK_DAYS:
        raise RuleError(
            f"{bird.title} hatched {bird.hatched} and is no chick on {date_of(on)}; it "
            f"cannot have {kind} then.",
            "Correct the day, or the day it hatched.",
        )


def refuse_missed(
    flock: Flock, bird_id: str, ring: Ring, on: When, although: str
) -> bool:
    """Refuse a closed ring after its days, unless it is said how it went on.

    Returns:
        True where it went on after its days all the same.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: nothing is said.
    """
    bird = bird_of(flock, bird_id)
    stands = window_of_bird(flock, bird, date_of(on).latest)
    if ring.kind is not RingKind.CLOSED or stands.state is not WindowState.MISSED:
        return False
    if not although.strip():
        raise RuleError(
            f"{bird.title}: {stands.said}",
            "Choose a split ring, or a chip from an avian vet; if a closed ring truly "
            "went on that day, say how.",
        )
    return True


def in_stock(flock: Flock, ring: Ring) -> Ring:
    """The ring as it lies in stock, on the leg it is put on; else as it is typed."""
    if ring.id:
        ring_of(flock, ring.id)
        return ring
    for known in flock.rings_inscribed(ring.inscription):
        if known.state is RingState.IN_STOCK and same_inscription(known, ring):
            return replace(known, leg=ring.leg)
    return ring
