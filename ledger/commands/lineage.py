"""Commands about kin: inbreeding, kinship, mates, the season's pairs.

Services are imported inside the functions: `flock-ledger --help` must not wait
for the maths.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from ledger.domain.flock import Flock
    from ledger.services.lineage_limits import Limits


def two_birds(parser: ArgumentParser) -> None:
    """The words of `kinship`."""
    parser.add_argument("first", metavar="A", help="its id, name, ring or chip")
    parser.add_argument("second", metavar="B", help="its id, name, ring or chip")


def maybe_a_bird(parser: ArgumentParser) -> None:
    """The words of `lineage`."""
    parser.add_argument(
        "bird", metavar="BIRD", nargs="?", help="its id, name, ring or chip; else all"
    )
    parser.add_argument(
        "--pdf", metavar="FILE", type=Path, help="print the bird's family tree to it"
    )
    parser.add_argument(
        "--generations", metavar="N", type=int, default=4, help="in it: 1 to 5 (4)"
    )
    parser.add_argument(
        "--half-known",
        choices=("founder", "left out", "refuse"),
        default="founder",
        help="what an unknown parent beside a known one counts as (founder)",
    )
    parser.add_argument(
        "--details",
        action="store_true",
        help="with --json: formulas, gaps, doubts and every species too",
    )


def mates_words(parser: ArgumentParser) -> None:
    """The words of `mates`."""
    parser.add_argument("bird", metavar="BIRD", help="its id, name, ring or chip")
    _limits_words(parser)


def season_words(parser: ArgumentParser) -> None:
    """The words of `season`."""
    _limits_words(parser)
    parser.add_argument("--species", metavar="NAME", default="", help="only this one")
    parser.add_argument(
        "--pairs", metavar="N", type=int, help="so many of a species at most"
    )
    parser.add_argument(
        "--young", metavar="N", type=int, default=2, help="expected of a pair (2)"
    )


def _limits_words(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--limit",
        metavar="F",
        type=float,
        help="highest F of the young (yours, else 0.03125: no first cousins)",
    )
    parser.add_argument(
        "--youngest",
        metavar="YEARS",
        type=float,
        help="grown from this age on (yours, else 2)",
    )
    parser.add_argument(
        "--paired-too", action="store_true", help="also birds that have a mate"
    )


def lineage(words: Namespace) -> Answer:
    """Inbreeding and variety of one bird, or of all that live here.

    Raises:
        UsageError: A tree is asked for, and no bird.
    """
    from ledger.lineage.diversity import HalfKnown
    from ledger.services import card, lineage, lineage_form
    from ledger.services.lineage_tree import print_tree

    if words.pdf is not None and words.bird is None:
        raise UsageError(
            "A family tree is that of one bird.", hint="Name the bird before --pdf."
        )
    half_known = HalfKnown(words.half_known)
    form = (
        lineage_form.lineage_in_detail
        if words.details
        else lineage_form.lineage_as_plain
    )
    with open_to_read(words) as ledger:
        flock = ledger.flock
        if words.bird is None:
            every, *species = lineage.of_groups(flock, half_known=half_known)
            lines = list(lineage_form.group_lines([every, *species]))
            living = lineage.of_living(flock)
            more = (species,) if words.details else ()
            return Answer(text=wrapped(lines), plain=form(living, every, *more))
        bird = card.find_bird(flock, words.bird)
        its = lineage.of_bird(flock, bird.id)
        group = lineage.of_species(flock, bird, half_known)
        lines = list(lineage_form.bird_lines(flock, its, group))
        if words.pdf is not None:
            print_tree(flock, bird.id, words.pdf, words.generations)
            lines.append(f"Its family tree is written to {words.pdf}.")
        return Answer(text=wrapped(lines), plain=form([its], group))


def kinship(words: Namespace) -> Answer:
    """What two birds are to each other."""
    from ledger.services import card, lineage_form, lineage_kin

    with open_to_read(words) as ledger:
        flock = ledger.flock
        two = [card.find_bird(flock, word).id for word in (words.first, words.second)]
        kin = lineage_kin.of_two(flock, *two)
        return Answer(
            text=wrapped(lineage_form.kin_lines(flock, kin)),
            plain=lineage_form.kin_as_plain(kin),
        )


def mates(words: Namespace) -> Answer:
    """Mates for a bird, the best first."""
    _check_limits(words)
    from ledger.services import card, lineage_form
    from ledger.services.lineage_mates import mates_of

    with open_to_read(words) as ledger:
        bird = card.find_bird(ledger.flock, words.bird)
        found = mates_of(
            ledger.flock,
            bird.id,
            words.today,
            _limits(words, ledger.flock),
            paired_too=words.paired_too,
        )
    good = any(not mate.over_limit for mate in found.mates)
    return Answer(
        text=wrapped(lineage_form.mates_lines(found)),
        plain=lineage_form.mates_as_plain(found),
        exit_code=DONE if good else LOOK,
    )


def season(words: Namespace) -> Answer:
    """The season's pairs, species by species.

    Raises:
        UsageError: A number is too small.
    """
    _check_limits(words)
    if words.young < 1 or (words.pairs is not None and words.pairs < 1):
        raise UsageError(
            "--young and --pairs count from 1.",
            hint="Leave them out, or give 1 or more.",
        )
    from ledger.services import lineage_form
    from ledger.services.lineage_season import season_plan

    with open_to_read(words) as ledger:
        plans = season_plan(
            ledger.flock,
            words.today,
            _limits(words, ledger.flock),
            species=words.species,
            pairs=words.pairs,
            young=words.young,
            paired_too=words.paired_too,
        )
        text = wrapped(lineage_form.season_lines(ledger.flock, plans))
    return Answer(
        text=text,
        plain=lineage_form.season_as_plain(plans),
        exit_code=DONE if any(plan.pairs for plan in plans) else LOOK,
    )


def _check_limits(words: Namespace) -> None:
    """Refuse numbers that are no limits.

    Raises:
        UsageError: F lies outside 0 to 1, or an age below 0.
    """
    if words.limit is not None and not 0 <= words.limit <= 1:
        raise UsageError(
            f"--limit {words.limit:g} is no F.",
            hint="Give a fraction of 0 to 1; 0.0625 are first cousins.",
        )
    if words.youngest is not None and not 0 <= words.youngest < 100:
        raise UsageError(
            f"--youngest {words.youngest:g} is no age.", hint="Give years, 0 or more."
        )


def _limits(words: Namespace, flock: Flock) -> Limits:
    """The limits given, and the keeper's own for those that are not."""
    from ledger.services.lineage_limits import Limits

    own = Limits.of(flock)
    return Limits(
        own.highest_inbreeding if words.limit is None else words.limit,
        own.youngest_years if words.youngest is None else words.youngest,
    )
