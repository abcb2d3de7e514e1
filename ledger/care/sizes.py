"""Which ring size a bird should wear, who says so, and how sure that is.

The keeper's own size comes first, then what is published (`ledger/reference`). Where
nobody gives one, nothing is made up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from ledger.domain.bird import Sex
from ledger.errors import NotFoundError
from ledger.reference.ring_sizes import all_ring_sizes, ring_size
from ledger.reference.species import scientific_name

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.people import FlockSettings, OwnSize
    from ledger.reference.ring_sizes import RingSize

LOCAL_RULES = (
    "Rules differ from place to place: what your own authority or ring issuer asks "
    "for goes first."
)
OWN_SOURCE = "your own size, not a published one"
MAKERS_SHARE = 0.1 / 4.4
"""How far a ring may measure off its size and still count as that size.

4.30 to 4.50 mm, which is 4.4 mm within 2.3 %, is the one tolerance that is
published: World Budgerigar Organisation ring specification, as used by the
Budgerigar Society (budgerigarsociety.com/ring-specifications-colours).
"""


@dataclass(frozen=True, slots=True)
class SizeAdvice:
    """What is known of the right size; both sizes are None where nothing is."""

    species: str
    sex: Sex
    smallest_mm: float | None
    """Inner diameter; equal to `largest_mm` where one size is given."""
    largest_mm: float | None
    source: str
    """Who gives it: a phrase; "" where nobody does."""
    is_own: bool
    """The keeper set it; it is not published."""
    doubt: str
    """What speaks against it or is not known, as sentences; "" if nothing."""
    also: tuple[str, ...] = ()
    """What others give, each a sentence."""

    @property
    def is_known(self) -> bool:
        """Somebody gives a size."""
        return self.smallest_mm is not None

    @property
    def size_mm(self) -> float | None:
        """The one size to order and put on: the smallest, if it is a range."""
        return self.smallest_mm

    @property
    def said(self) -> str:
        """The size and who gives it, as a sentence."""
        if self.smallest_mm is None or self.largest_mm is None:
            return f"No ring size for {self.species or 'this species'} is published."
        return (
            f"{self.species}: {size_words(self.smallest_mm, self.largest_mm)} mm "
            f"({self.source})."
        )


def advise_size(species: str, sex: Sex, settings: FlockSettings) -> SizeAdvice:
    """The size for a bird of this species and sex.

    Args:
        species: As the keeper has it; scientific, English or trade name.
        sex: Where a table gives the sexes their own size, it decides.
        settings: The flock's; its own sizes go before published ones.
    """
    published = ring_size(species)
    own = _own_size(species, sex, settings)
    if own:
        sizes = [size.size_mm for size in own]
        return SizeAdvice(
            species, sex, min(sizes), max(sizes), OWN_SOURCE, is_own=True,
            doubt="" if published else "No size is published for this species.",
            also=tuple(_told(row, sex) for row in published),
        )  # fmt: skip
    if not published:
        return SizeAdvice(
            species, sex, None, None, "", is_own=False,
            doubt=f"No table at hand lists {species or 'it'}: ask an avian vet or the "
            "ring's maker, and set a size of your own.",
        )  # fmt: skip
    first = published[0]
    smallest, largest = _of_sex(first, sex)
    return SizeAdvice(
        species, sex, smallest, largest, _who(first), is_own=False,
        doubt=" ".join(_doubts(first, sex)),
        also=tuple(_told(row, sex) for row in published[1:]),
    )  # fmt: skip


def check_size(
    species: str, sex: Sex, size_mm: float | None, settings: FlockSettings
) -> tuple[str, ...]:
    """What to be warned of before a ring of this size goes on; never a refusal.

    Args:
        species: As the keeper has it.
        sex: Of the bird.
        size_mm: Inner diameter of the ring; None where it is not known.
        settings: The flock's.

    Returns:
        Sentences that name the source; none where nothing speaks against the ring.
    """
    advice = advise_size(species, sex, settings)
    if size_mm is None:
        return (
            "The size of this ring is not entered, so nobody can say whether it fits "
            f"{_a(species)}.",
        )
    if advice.smallest_mm is None or advice.largest_mm is None:
        return (f"{advice.said} {advice.doubt}",)
    off = off_by_mm(size_mm, advice.smallest_mm, advice.largest_mm)
    if not off:
        return (advice.doubt,) if advice.doubt and not advice.is_own else ()
    said = [
        f"A ring of {size_mm:g} mm is {abs(off):.2g} mm too "
        f"{'large' if off > 0 else 'small'} for {_a(species)}: "
        f"{size_words(advice.smallest_mm, advice.largest_mm)} mm "
        f"{'is ' + OWN_SOURCE if advice.is_own else 'by ' + advice.source}.",
        TOO_LARGE if off > 0 else TOO_SMALL,
    ]
    said += [advice.doubt] if advice.doubt else []
    return (*said, *advice.also, LOCAL_RULES)


TOO_LARGE = (
    "A ring that is too large can slip off the foot, catch on things, or ride up over "
    "the hock, which is dangerous (common practice, no source)."
)
TOO_SMALL = (
    "A ring that is too small cuts into the leg as it grows "
    "(greenbayvets.co.uk; lafeber.com)."
)


def off_by_mm(size_mm: float, smallest_mm: float, largest_mm: float) -> float:
    """How far a ring lies outside a size: + too large, - too small, 0 if it is it.

    One size given alone is met within what makers may be off; a range is exact.
    """
    spare = MAKERS_SHARE * smallest_mm if smallest_mm == largest_mm else 0.0
    spare += 1e-9  # 4.4 - 0.1 is a little more than 4.3 in binary
    if size_mm > largest_mm + spare:
        return size_mm - largest_mm
    return size_mm - smallest_mm if size_mm < smallest_mm - spare else 0.0


def is_size(size_mm: float | None, wanted_mm: float) -> bool:
    """A ring that measures so counts as one of the size that is wanted."""
    return size_mm is not None and not off_by_mm(size_mm, wanted_mm, wanted_mm)


def neighbour_sizes(size_mm: float) -> tuple[float | None, float | None]:
    """The next smaller and the next larger size of those that a statute lists.

    Source: the sizes that BArtSchV Anlage 6, column 3, gives to any bird. Whether
    a maker has them, the maker must say.
    """
    ladder = _statute_sizes()
    smaller = [size for size in ladder if off_by_mm(size_mm, size, size) > 0]
    larger = [size for size in ladder if off_by_mm(size_mm, size, size) < 0]
    return (max(smaller, default=None), min(larger, default=None))


def size_words(smallest_mm: float, largest_mm: float) -> str:
    """A size or a range: `11.5`, `4.3 to 4.5`."""
    if smallest_mm == largest_mm:
        return f"{smallest_mm:g}"
    return f"{smallest_mm:g} to {largest_mm:g}"


def same_species(one: str, other: str) -> bool:
    """Two names of the same species, however each is written."""
    return _known_as(one) == _known_as(other)


@cache
def _known_as(species: str) -> str:
    try:
        return scientific_name(species).casefold()
    except NotFoundError:
        return " ".join(species.split()).casefold()


@cache
def _statute_sizes() -> tuple[float, ...]:
    rows = [row for row in all_ring_sizes() if "BArtSchV" in row.source]
    return tuple(
        sorted({row.smallest_mm for row in rows} | {row.largest_mm for row in rows})
    )


def _own_size(species: str, sex: Sex, settings: FlockSettings) -> list[OwnSize]:
    """The keeper's sizes that hold: those of the sex, else those of both."""
    own = [o for o in settings.own_sizes if same_species(o.species, species)]
    of_sex = [o for o in own if o.sex and o.sex == sex]
    if of_sex:
        return of_sex
    return [o for o in own if not o.sex] or (own if sex is Sex.UNKNOWN else [])


def _of_sex(size: RingSize, sex: Sex) -> tuple[float, float]:
    one = {Sex.COCK: size.cock_mm, Sex.HEN: size.hen_mm}.get(sex)
    return (one, one) if one is not None else (size.smallest_mm, size.largest_mm)


def _doubts(size: RingSize, sex: Sex) -> Iterator[str]:
    if size.doubt:
        yield f"This value stands in print but looks wrong: {size.doubt}."
    sexes = [
        f"{one:g} mm for {word}"
        for word, one in (("cocks", size.cock_mm), ("hens", size.hen_mm))
        if one is not None
    ]
    if sexes and sex is Sex.UNKNOWN:
        yield f"The source gives {' and '.join(sexes)}, and the sex is not known."


def _who(size: RingSize) -> str:
    """The source without what it says besides."""
    return size.source.partition(";")[0].partition(" (breeder page")[0]


def _told(size: RingSize, sex: Sex) -> str:
    return (
        f"{_who(size)} gives {size_words(*_of_sex(size, sex))} mm for "
        f"{size.english_name or size.scientific_name}."
    )


def _a(species: str) -> str:
    """A bird of the species, with its article."""
    if not species:
        return "a bird whose species is not entered"
    # By its sound: "a Eurasian", "a Eupatria", but "an Eclectus", "an Umbrella".
    vowel = species[:1].casefold() in "aeiou" and not species.casefold().startswith(
        "eu"
    )
    return f"{'an' if vowel else 'a'} {species}"
