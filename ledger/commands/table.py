"""Every command: its name, what it does, its words, and who does it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.commands import (
    enquiries,
    keeping,
    lineage,
    mending,
    nest,
    opening,
    papers,
    past,
    ring,
    safety,
    stock,
    today,
    walk,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable

    from ledger.commands.answer import Answer


@dataclass(frozen=True)
class Command:
    """One command of `flock-ledger`."""

    name: str
    summary: str
    """What it does, as a phrase that follows its name in `--help`."""
    add_words: Callable[[ArgumentParser], None]
    run: Callable[[Namespace], Answer]


def _no_words(parser: ArgumentParser) -> None:
    """The command takes only the common words."""


def _photos(parser: ArgumentParser) -> None:
    parser.add_argument(
        "photos", metavar="PHOTO", nargs="+", type=Path, help="photos of one ring"
    )


def _photos_or_text(parser: ArgumentParser) -> None:
    parser.add_argument(
        "photos", metavar="PHOTO", nargs="*", type=Path, help="photos of one ring"
    )
    parser.add_argument(
        "--text", metavar="TEXT", help="what is legible, instead of photos; ? and * fit"
    )


def _identify_words(parser: ArgumentParser) -> None:
    _photos_or_text(parser)
    parser.add_argument("--leg", choices=("left", "right"), help="the leg it is on")
    parser.add_argument("--colour", metavar="NAME", help="the ring's colour")
    parser.add_argument("--at", metavar="PLACE", help="where the bird was seen")


def _explain_words(parser: ArgumentParser) -> None:
    _photos_or_text(parser)
    parser.add_argument("--species", metavar="NAME", help="what the bird is said to be")
    parser.add_argument(
        "--hatched", metavar="DATE", help="when it is said to have hatched"
    )
    parser.add_argument(
        "--size", metavar="MM", help="the ring's inner diameter as measured, in mm"
    )
    parser.add_argument("--colour", metavar="NAME", help="the ring's colour")
    parser.add_argument(
        "--closure",
        choices=("closed", "split", "quarantine"),
        help="closed has no seam, split has one; quarantine: a screw or rivet",
    )


def _bird(parser: ArgumentParser) -> None:
    parser.add_argument("bird", metavar="BIRD", help="its id, name, ring or chip")


def _import_words(parser: ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path)
    parser.add_argument(
        "--dry-run", action="store_true", help="check every row, store nothing"
    )
    parser.add_argument(
        "--skip-bad", action="store_true", help="leave bad rows out, store the others"
    )
    parser.add_argument(
        "--heading",
        metavar="YOURS=OURS",
        action="append",
        default=[],
        help="what a column of your own is called here; it is remembered",
    )
    _of_kind(parser)


def _export_words(parser: ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path)
    _of_kind(parser)


def _of_kind(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--of",
        choices=("birds", "rings", "events", "pairs"),
        default="birds",
        help="what stands in the table (else birds)",
    )


COMMANDS = (
    Command(
        "demo", "open a private copy of the invented flock", _no_words, opening.demo
    ),
    Command("read", "read one ring from photos of it", _photos, ring.read),
    Command(
        "identify",
        "say which bird wears a ring; when sure, print its emergency card",
        _identify_words,
        ring.identify,
    ),
    Command(
        "explain",
        "say what an unfamiliar ring tells, proves and does not prove",
        _explain_words,
        ring.explain,
    ),
    Command(
        "enquiries",
        "list who asked about a ring; show one, write the answer",
        enquiries.enquiries_words,
        enquiries.enquiries,
    ),
    Command(
        "guide",
        "say how to photograph a ring",
        enquiries.guide_words,
        enquiries.guide,
    ),
    Command("card", "print a bird's emergency card", _bird, keeping.card),
    Command(
        "paper",
        "tell or print a bird's removal or placement paper",
        papers.paper_words,
        papers.paper,
    ),
    Command(
        "lineage",
        "tell a bird's inbreeding, or the variety of all that live here",
        lineage.maybe_a_bird,
        lineage.lineage,
    ),
    Command(
        "kinship",
        "say what two birds are to each other",
        lineage.two_birds,
        lineage.kinship,
    ),
    Command("mates", "rank mates for a bird", lineage.mates_words, lineage.mates),
    Command(
        "season",
        "choose the season's pairs for the most variety",
        lineage.season_words,
        lineage.season,
    ),
    Command(
        "nest",
        "tell what is due in the nests: candling, hatching, rings, weights",
        _no_words,
        nest.nest,
    ),
    Command(
        "rings",
        "list the ring stock, every ring accounted for",
        stock.rings_words,
        stock.rings,
    ),
    Command(
        "order",
        "work out the rings to order for a year, with the reasons",
        stock.order_words,
        stock.order,
    ),
    Command(
        "today",
        "list what is due: rings, ring checks, weights, nests, tasks",
        today.today_words,
        today.today,
    ),
    Command(
        "walk",
        "list the walk-throughs, show what one found, or print the sheet",
        walk.walk_words,
        walk.walk,
    ),
    Command(
        "import",
        "take birds in from a table, or a whole ledger",
        _import_words,
        keeping.take_in,
    ),
    Command(
        "export",
        "write the birds as a table, or the whole ledger",
        _export_words,
        keeping.give_out,
    ),
    Command(
        "check",
        "look for contradictions in the ledger, and put them right",
        mending.check_words,
        mending.check,
    ),
    Command(
        "history",
        "list what was done in the ledger, or to one bird",
        past.history_words,
        past.history,
    ),
    Command("undo", "take back the last change", past.undo_words, past.undo),
    Command("backup", "keep the whole ledger as one file", _no_words, safety.backup),
    Command(
        "restore",
        "list the backups, show what one would change, go back to it",
        safety.restore_words,
        safety.restore,
    ),
)
