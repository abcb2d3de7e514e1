"""The birds of an aviary as rows: how each was seen, in a sign and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.ring import compact
from ledger.domain.walk import SeenHow
from ledger.services import walk, walk_find
from ledger.services.walk_find import Standing
from ledger.services.walk_plan import worn_ring
from ledger.widgets.row_list import Column, Row

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.domain.flock import Flock
    from ledger.domain.walk import Sighting
    from ledger.services.walk_find import Found

COLUMNS = (
    Column("", 1),
    Column("", 18),
    Column("", 22),
    Column("", 0),
    Column("", 22, at_least=100),
)
_SIGN = {
    Standing.EXPECTED: "·",
    Standing.SEEN: "✓",
    Standing.ELSEWHERE: "≠",
    Standing.NO_AVIARY: "≠",
}


def expected_rows(flock: Flock, walk_id: str, stop: int) -> list[Row]:
    """Everybody expected, in the order of the round; then whoever else is here."""
    return list(_expected(flock, walk_id, stop))


def _expected(flock: Flock, walk_id: str, stop: int) -> Iterator[Row]:
    here = flock.walks[walk_id].stops[stop]
    first = walk.first_sightings(flock, walk_id)
    for bird_id in here.birds:
        bird = flock.birds.get(bird_id)
        if bird is None:
            continue
        sighting = first.get(bird_id)
        cells = (bird.title, worn_ring(flock, bird_id))
        if sighting is None:
            yield Row(bird_id, ("·", *cells, "not seen yet", bird.species))
        elif compact(sighting.aviary) != compact(here.aviary):
            said = f"seen in {sighting.aviary}"
            yield Row(bird_id, ("≠", *cells, said, bird.species), "alert")
        else:
            sign = "○" if sighting.how is SeenHow.BY_SIGHT else "✓"
            tone = "alert" if walk.needs_a_vet(sighting) else "muted"
            yield Row(bird_id, (sign, *cells, _how(sighting), bird.species), tone)
    for sighting in walk.counted(flock, walk_id):
        if compact(sighting.aviary) != compact(here.aviary):
            continue
        bird = flock.birds.get(sighting.bird or "")
        said = sighting.settled or "open"
        if bird is None:
            yield Row(
                sighting.id, ("?", "unknown ring", sighting.read, said, ""), "alert"
            )
        elif bird.id not in here.birds:
            ring = worn_ring(flock, bird.id)
            where = walk_find.expected_at(flock, walk_id, bird.id) or str(bird.status)
            yield Row(
                f"{bird.id} {sighting.id}",
                ("≠", bird.title, ring, f"{where}: {said}", bird.species),
                "alert",
            )


def _how(sighting: Sighting) -> str:
    parts = [
        f"{sighting.how}",
        sighting.time[11:16],
        f"ring {sighting.ring_state}" if sighting.ring_state else "",
        f"leg {sighting.leg_state}" if sighting.leg_state else "",
        f"{sighting.weight_g:g} g" if sighting.weight_g is not None else "",
        sighting.notes,
    ]
    return ", ".join(filter(None, parts))


def fit_rows(found: Found) -> list[Row]:
    """The birds that may be meant, the likeliest first."""
    return [
        Row(
            fit.bird_id,
            (
                _SIGN.get(fit.standing, "!"),
                fit.name,
                fit.ring,
                f"{_chance(fit.probability)}, {fit.standing.value}",
                "",
            ),
            "" if fit.standing is Standing.EXPECTED else "alert",
        )
        for fit in found.fits
    ]


def _chance(probability: float) -> str:
    return "under 1%" if probability < 0.01 else f"{probability:.0%}"
