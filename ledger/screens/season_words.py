"""How a season's plan reads on its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content

from ledger.services.lineage import ASSUMED
from ledger.widgets.row_list import Row
from ledger.widgets.words import shown

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.domain.flock import Flock
    from ledger.services.lineage_plan import Alternative, PlannedPair, SpeciesSeason

_OTHERS = 8
"""Other pairs told about; the command tells all."""
_LEFT_OUT = 12


def plan_row(plan: SpeciesSeason) -> Row:
    """One species in the list."""
    if not plan.pairs:
        cells = (plan.species, "0", "", "", "", "", "")
        return Row(plan.species, cells, "muted")
    greedy, least_f = plan.others
    return Row(
        plan.species,
        (
            plan.species,
            str(len(plan.pairs)),
            f"{plan.mean_kinship:.4f}",
            f"{plan.mean_inbreeding:.4f}",
            f"{greedy.mean_kinship:.4f}",
            f"{least_f.mean_kinship:.4f}",
            "least" if plan.is_best else f"≥ {plan.bound:.4f}",
        ),
    )


def pair_row(flock: Flock, pair: PlannedPair) -> Row:
    """One pair in the list."""
    return Row(
        pair.cock,
        (
            _name(flock, pair.cock),
            _name(flock, pair.hen),
            f"{pair.inbreeding:.4f}" + ("?" if pair.in_doubt else ""),
            pair.relation or "none known",
        ),
        "alert" if pair.warnings else "",
    )


def about_plan(flock: Flock, plan: SpeciesSeason) -> Content:
    """What there is to know of the plan of one species."""
    return Content("\n").join(_of_plan(flock, plan))


def _of_plan(flock: Flock, plan: SpeciesSeason) -> Iterator[Content]:
    yield Content.styled(shown(plan.species), "bold")
    yield from (_line(f"! {sentence}") for sentence in plan.said)
    if plan.pairs:
        yield from (
            _line(
                f"Instead, {it.way}: kinship {it.mean_kinship:.4f}, mean F "
                f"{it.mean_inbreeding:.4f}"
            )
            for it in plan.others
        )
        yield from _costs(flock, plan.alternatives, "Other pairs and what they cost")
    if plan.single:
        names = ", ".join(_name(flock, bird) for bird in plan.single)
        yield _line(f"Without a mate: {names}")
    yield from (_line(f"Left out: {why}") for why in plan.left_out[:_LEFT_OUT])
    if len(plan.left_out) > _LEFT_OUT:
        yield _line(f"and {len(plan.left_out) - _LEFT_OUT} more left out")
    yield Content.styled(ASSUMED, "dim")


def about_pair(
    flock: Flock, pair: PlannedPair, others: Sequence[Alternative] | None
) -> Content:
    """What there is to know of one pair.

    Args:
        flock: The flock.
        pair: Of the plan.
        others: Other mates for its cock or hen; None: not found yet.
    """
    names = f"{_name(flock, pair.cock)} x {_name(flock, pair.hen)}"
    lines = [Content.styled(shown(names), "bold")]
    if pair.in_doubt:
        lines.append(
            Content.styled(
                f"! A parent is in doubt: F {pair.in_doubt.least:.4f} to "
                f"{pair.in_doubt.most:.4f}",
                "$text-warning bold",
            )
        )
    lines += [_line(f"- {warning}") for warning in pair.warnings]
    if others is not None:
        title = "Another mate for one of the two, and what that costs"
        lines += _costs(flock, others, title)
        if not others:
            lines.append(_line("Neither can have another mate within your limits."))
    return Content("\n").join(lines)


def _costs(
    flock: Flock, others: Sequence[Alternative], title: str
) -> Iterator[Content]:
    if not others:
        return
    yield Content.styled(title, "dim")
    for it in others[:_OTHERS]:
        most = "" if it.is_least else " at most"
        yield _line(
            f"  {_name(flock, it.cock)} x {_name(flock, it.hen)}: kinship "
            f"{it.mean_kinship_more:+.4f}{most}, mean F {it.inbreeding_more:+.4f}"
        )
    if len(others) > _OTHERS:
        yield _line(f"  and {len(others) - _OTHERS} more")


def _line(text: str) -> Content:
    return Content(shown(text))


def _name(flock: Flock, bird_id: str) -> str:
    bird = flock.birds.get(bird_id)
    return bird.title if bird else bird_id
