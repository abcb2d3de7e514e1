"""What the keeper must know before a bird goes to a new home."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.chip_conditions import not_weaned
from ledger.domain.ring import RingState
from ledger.services.identity import chain_gaps
from ledger.services.ledger import bird_of
from ledger.services.ring_checks import alerts_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.domain.partial_date import PartialDate

RULES_DIFFER = (
    "Rules on handing over a bird differ by country and species: some want a paper, a "
    "notice or a certificate. Ask your authority before."
)
"""For example BArtSchV s.7(2): every departure and marking is told to the authority."""


def before_placing(
    flock: Flock, bird_id: str, on: PartialDate, *, feeding: str, rearing: str
) -> tuple[str, ...]:
    """Warnings, as sentences; none of them keeps the bird here.

    Args:
        flock: The flock.
        bird_id: The bird.
        on: When it leaves.
        feeding: What will be told of its feeding.
        rearing: Likewise of its rearing.

    Raises:
        NotFoundError: there is no such bird.
    """
    return tuple(_warned(flock, bird_id, on, feeding, rearing))


def _warned(
    flock: Flock, bird_id: str, on: PartialDate, feeding: str, rearing: str
) -> Iterator[str]:
    bird = bird_of(flock, bird_id)
    young = not_weaned(flock, bird, on)
    if young is not None:
        yield f"{young.message} {young.remedy} ({young.source}.)"
    for alert in alerts_of(flock, bird_id):
        yield f"It is not well where its ring sits. {alert}"
    for gap in chain_gaps(flock, bird_id):
        yield f"The identity chain is broken: {gap}"
    if any(r.trial and r.state is RingState.ON_BIRD for r in flock.rings_of(bird_id)):
        yield "It still wears rings on trial: decide which one stays before it leaves."
    if not any(photo.ring for photo in flock.photos_of(bird_id)):
        yield "No photo of its ring is kept; take one, its next vet will want it."
    if bird.medication:
        yield f"It is on medication: {'; '.join(bird.medication)}. Hand it over too."
    for task in flock.tasks_of(bird_id):
        if task.done is None:
            yield f"Still to be done by {task.due or 'no set day'}: {task.text}"
    missing = [
        name
        for name, text in (("its feeding", feeding), ("its rearing", rearing))
        if not text.strip()
    ]
    if missing:
        yield f"Its new keeper is not told {' and '.join(missing)}."
    yield RULES_DIFFER
