"""Lineage for a person to read, and for another program."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from ledger.lineage.diversity import HalfKnown
from ledger.services.lineage import ASSUMED, species_key

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from ledger.domain.flock import Flock
    from ledger.services.lineage import BirdLineage, GroupLineage
    from ledger.services.lineage_kin import Kin
    from ledger.services.lineage_mates import Mate, Mates
    from ledger.services.lineage_plan import PlannedPair, SpeciesSeason

_SHOWN = 20
_ALTERNATIVES = 5
"""Other pairs of a season that are told."""
_ANCESTORS = 8
"""Common ancestors that are named."""
_HALF_KNOWN = 8
"""Birds with one known parent that are named; more are counted."""
_POLICY = {
    HalfKnown.FOUNDER: "The unknown one counts as a founder of its own.",
    HalfKnown.LEFT_OUT: "The unknown one is left out of the founders: what they gave "
    "sums to less than 1.",
    HalfKnown.REFUSE: "",
}
_FORMULAS = {
    "founder_equivalents": "Lacy 1989: 1 / sum(p^2)",
    "founder_genome_equivalents": "Lacy 1989: 1 / sum(p^2 / r)",
    "genome_equivalents_by_kinship": "1 / (2 x mean kinship)",
}
_RELATIONS = ("parents", "grandparents", "great-grandparents", "4th", "5th")


def bird_lines(flock: Flock, it: BirdLineage, group: GroupLineage) -> Iterator[str]:
    """One bird's figures in words."""
    yield f"{it.name} ({it.bird}), {it.species}"
    yield f"  inbreeding F      {it.inbreeding:.4f}"
    yield (
        f"  mean kinship      {it.mean_kinship:.4f} with the {group.living} living "
        "birds of its species"
    )
    yield f"  generations known {it.generations_known:.2f}"
    known = (
        f"{name} {part:.0%}"
        for name, part in zip(_RELATIONS, it.completeness, strict=True)
    )
    yield f"  known             {', '.join(known)}"
    for role, parent in zip(("sire", "dam"), flock.parents_of(it.bird), strict=True):
        who = f"{parent.title} ({parent.id})" if parent else "not known"
        yield f"  {role:<17} {who}"
    if it.unknown_parents == 1:
        yield "  ! One parent is not known; it counts as an unrelated founder."
    yield from _said(it.said)
    yield ASSUMED


def group_lines(groups: Sequence[GroupLineage]) -> Iterator[str]:
    """Variety of the living birds, species by species, in words."""
    everyone, *species = groups
    yield (
        f"{'species':<21}{'living':>7}{'mean F':>8}{'GD':>8}{'founders':>10}"
        f"{'fe':>9}{'fg':>8}{'1/2MK':>8}"
    )
    for it in (*species, everyone):
        yield (
            f"{(it.species or 'all')[:20]:<21}{it.living:>7}{it.mean_inbreeding:>8.4f}"
            f"{it.gene_diversity:>8.4f}{it.founders:>10}{it.founder_equivalents:>9.2f}"
            f"{it.founder_genome_equivalents:>8.2f}"
            f"{it.genome_equivalents_by_kinship:>8.2f}"
        )
    yield (
        "GD gene diversity, 1 - mean kinship; fe founder equivalents, 1 / sum of p^2, "
        "and fg founder genome equivalents, 1 / sum of p^2 / r (Lacy 1989); 1/2MK "
        f"1 / (2 x mean kinship). Retention r {everyone.retention}."
    )
    yield ASSUMED
    if everyone.half_known:
        yield f"! {half_known_told(everyone)}"
    yield from _said(everyone.said)


def half_known_told(it: GroupLineage, called: Callable[[str], str] = str) -> str:
    """Which birds have one known parent only, and what the other counts as.

    Args:
        it: The group's figures.
        called: How a bird is named, by its id.
    """
    some, more = it.half_known[:_HALF_KNOWN], len(it.half_known) - _HALF_KNOWN
    named = ", ".join(map(called, some)) + (f" and {more} more" if more > 0 else "")
    return f"One parent known, the other not: {named}. {_POLICY[it.policy]}"


def _said(sentences: Sequence[str]) -> Iterator[str]:
    """What the keeper said beyond parents: it changes the figures."""
    yield from (f"! {sentence}" for sentence in sentences)


def group_as_plain(it: GroupLineage) -> dict[str, Any]:
    """A group's figures with the names of their formulas."""
    return {
        "living": it.living,
        "mean_inbreeding": it.mean_inbreeding,
        "gene_diversity": it.gene_diversity,
        "founders": it.founders,
        "founder_equivalents": it.founder_equivalents,
        "founder_genome_equivalents": it.founder_genome_equivalents,
        "genome_equivalents_by_kinship": it.genome_equivalents_by_kinship,
        "retention": it.retention,
        "half_known": list(it.half_known),
        "half_known_count_as": str(it.policy),
        "said": list(it.said),
    }


def lineage_as_plain(
    birds: Sequence[BirdLineage], group: GroupLineage
) -> dict[str, Any]:
    """What `lineage --json` prints: these fields and no others."""
    return {
        "birds": [
            {
                "bird": it.bird,
                "inbreeding": it.inbreeding,
                "mean_kinship": it.mean_kinship,
                "generations_known": it.generations_known,
            }
            for it in birds
        ],
        "gene_diversity": group.gene_diversity,
        "founder_equivalents": group.founder_equivalents,
        "founder_genome_equivalents": group.founder_genome_equivalents,
    }


def lineage_in_detail(
    birds: Sequence[BirdLineage],
    group: GroupLineage,
    species: Sequence[GroupLineage] = (),
) -> dict[str, Any]:
    """The same with formulas, gaps, doubts and every species, for `--details`."""
    plain = lineage_as_plain(birds, group)
    for told, it in zip(plain["birds"], birds, strict=True):
        told |= {
            "completeness": list(it.completeness),
            "unknown_parents": it.unknown_parents,
            "said": list(it.said),
        }
    return {
        **plain,
        **group_as_plain(group),
        "formulas": _FORMULAS,
        "unknown_parents_count_as": "unrelated founders",
        "species": [{"species": it.species, **group_as_plain(it)} for it in species],
    }


def kin_lines(flock: Flock, it: Kin) -> Iterator[str]:
    """What two birds are to each other, in words."""
    first, second = flock.birds[it.first], flock.birds[it.second]
    yield f"{first.title} ({first.id}) and {second.title} ({second.id})"
    yield f"  {first.title} is to {second.title}: {it.words or 'no kin that is known'}"
    yield f"  kinship {it.kinship:.6g}: the expected F of young of the two"
    if it.expected and not it.expected.is_certain:
        yield (
            f"  ! A parent is in doubt: {it.expected.mean:.4f} on average, "
            f"{it.expected.least:.4f} to {it.expected.most:.4f}"
        )
    if it.common_ancestors:
        nearest = it.common_ancestors[:_ANCESTORS]
        names = ", ".join(_called(flock, bird) for bird in nearest)
        more = len(it.common_ancestors) - len(nearest)
        tail = f" and {more} more" if more else ""
        yield f"  nearest common ancestors: {names}{tail}"
    if species_key(first.species) != species_key(second.species):
        yield f"  ! They are of different species: {first.species}, {second.species}."
    yield (
        f"  generations known: {it.generations_known[0]:.2f} and "
        f"{it.generations_known[1]:.2f}"
    )
    yield from _said(it.said)
    yield ASSUMED


def kin_as_plain(it: Kin) -> dict[str, Any]:
    """What `kinship --json` prints."""
    return {
        "birds": [it.first, it.second],
        "kinship": it.kinship,
        "inbreeding_of_young": it.kinship,
        "relationship": it.words,
        "common_ancestors": list(it.common_ancestors),
        "generations_known": list(it.generations_known),
        "in_doubt": asdict(it.expected) if it.expected else None,
        "said": list(it.said),
    }


def mates_lines(it: Mates) -> Iterator[str]:
    """A bird's mates in words, the best first."""
    yield f"Mates for {it.name} ({it.bird}); gene diversity now {it.gene_diversity:.4f}"
    yield from (f"  ! {note}" for note in it.notes)
    for number, mate in enumerate(it.mates[:_SHOWN], 1):
        yield from _mate_lines(number, mate)
    if len(it.mates) > _SHOWN:
        yield f"  and {len(it.mates) - _SHOWN} more"
    if not it.mates:
        yield "  There is no living, free, grown mate of its species."
    yield from (f"  left out: {why}" for why in it.left_out)
    yield from _said(it.said)
    yield ASSUMED


def _mate_lines(number: int, mate: Mate) -> Iterator[str]:
    over = "  OVER THE LIMIT" if mate.over_limit else ""
    yield (
        f"{number:>3}. {mate.name} ({mate.bird}): F of young {mate.inbreeding:.4f}, "
        f"gene diversity {mate.diversity_change:+.5f}{over}"
    )
    yield from (f"       ! {why}" for why in mate.over_limit)
    yield from (f"       - {warning}" for warning in mate.warnings)


def mates_as_plain(it: Mates) -> dict[str, Any]:
    """What `mates --json` prints."""
    return asdict(it)


def season_lines(flock: Flock, plans: Sequence[SpeciesSeason]) -> Iterator[str]:
    """The season's pairs in words."""
    for plan in plans:
        proof = (
            "proved to be the least"
            if plan.is_best
            else (f"none can have less than {plan.bound:.4f}")
        )
        yield (
            f"{plan.species}: {counted(len(plan.pairs), 'pair')}; mean kinship of "
            f"their young {plan.mean_kinship:.4f} ({proof}), mean F "
            f"{plan.mean_inbreeding:.4f}"
            if plan.pairs
            else f"{plan.species}: no pair is within your limits"
        )
        for pair in plan.pairs:
            yield from _pair_lines(flock, pair)
        for other in plan.others if plan.pairs else ():
            yield (
                f"  instead, {other.way}: mean kinship {other.mean_kinship:.4f}, "
                f"mean F {other.mean_inbreeding:.4f}"
            )
        for it in plan.alternatives[:_ALTERNATIVES]:
            most = "" if it.is_least else " at most"
            yield (
                f"  with {_called(flock, it.cock)} x {_called(flock, it.hen)}: mean "
                f"kinship {it.mean_kinship_more:+.4f}{most}, mean F "
                f"{it.inbreeding_more:+.4f}"
            )
        if len(plan.alternatives) > _ALTERNATIVES:
            yield f"  and {len(plan.alternatives) - _ALTERNATIVES} other pairs"
        if plan.single:
            names = ", ".join(_called(flock, bird) for bird in plan.single)
            yield f"  without a mate: {names}"
        yield from (f"  left out: {why}" for why in plan.left_out)
        yield from (f"  ! {sentence}" for sentence in plan.said)
    if not plans:
        yield "There is no living, free, grown cock and hen of one species."
    yield ASSUMED


def _pair_lines(flock: Flock, pair: PlannedPair) -> Iterator[str]:
    kin = f"; {pair.relation}" if pair.relation else ""
    yield (
        f"  {_called(flock, pair.cock)} x {_called(flock, pair.hen)}: "
        f"F {pair.inbreeding:.4f}{kin}"
    )
    if pair.in_doubt:
        yield (
            f"    ! A parent is in doubt: F {pair.in_doubt.least:.4f} to "
            f"{pair.in_doubt.most:.4f}"
        )
    yield from (f"    - {warning}" for warning in pair.warnings)


def counted(count: int, word: str) -> str:
    """A count with its word in the singular or the plural."""
    return f"{count} {word}" if count == 1 else f"{count:,} {word}s"


def season_as_plain(plans: Sequence[SpeciesSeason]) -> dict[str, Any]:
    """What `season --json` prints."""
    return {"species": [asdict(plan) for plan in plans]}


def _called(flock: Flock, bird_id: str) -> str:
    bird = flock.birds.get(bird_id)
    return f"{bird.title} ({bird_id})" if bird and bird.name else bird_id
