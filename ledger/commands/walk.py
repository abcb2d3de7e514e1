"""The command that tells of walk-throughs: list them, show one, print the sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace

    from ledger.domain.flock import Flock


def walk_words(parser: ArgumentParser) -> None:
    """What `walk` takes."""
    parser.add_argument("round", metavar="ROUND", nargs="?", help="its id, like w0001")
    parser.add_argument(
        "--plan", action="store_true", help="the sheet for a round to come"
    )
    parser.add_argument("--csv", metavar="FILE", type=Path, help="write it as a table")
    parser.add_argument("--pdf", metavar="FILE", type=Path, help="write it as a PDF")


def walk(words: Namespace) -> Answer:
    """List the rounds, show what one found, or the sheet to walk with.

    Raises:
        UsageError: the words do not go together.
    """
    _check(words)
    with open_to_read(words) as ledger:
        if words.plan:
            return _plan(words, ledger.flock)
        if words.round is None:
            return _rounds(ledger.flock)
        return _round(words, ledger.flock)


def _check(words: Namespace) -> None:
    if words.plan and (words.round is not None or words.csv is not None):
        raise UsageError(
            "--plan prints the sheet of a round to come, not a round.",
            hint="Leave out the round and --csv; --pdf writes the sheet.",
        )
    if not words.plan and words.round is None and (words.csv or words.pdf):
        raise UsageError(
            "Which round shall be written?",
            hint="Name it before --csv or --pdf; `flock-ledger walk` lists them.",
        )


def _plan(words: Namespace, flock: Flock) -> Answer:
    from ledger.reports.round_paper import as_text
    from ledger.services import walk_papers, walk_plan

    paper = walk_papers.sheet(flock, words.today)
    lines = [as_text(paper)]
    if words.pdf is not None:
        walk_papers.write_paper(words.pdf, paper)
        lines = [f"The sheet is written to {words.pdf}."]
    return Answer(
        text="\n".join(lines),
        plain={
            "aviaries": [
                {"aviary": each.aviary, "birds": [bird.id for bird in each.birds]}
                for each in walk_plan.plan(flock)
            ],
            "without_aviary": [bird.id for bird in walk_plan.without_aviary(flock)],
        },
    )


def _rounds(flock: Flock) -> Answer:
    from ledger.services.walk_differences import still_open
    from ledger.services.walk_summary import as_plain, summary

    found = [summary(flock, each) for each in flock.walks]
    lines = []
    for each in found:
        walk = each.walk
        state = "taken over" if walk.applied else "ended" if walk.ended else "goes on"
        left = len(still_open(each.differences))
        lines.append(
            f"{walk.id}  {walk.on or ''}  {state}: {each.coverage}; "
            f"{len(each.differences)} differences, {left} open"
        )
    return Answer(
        text=wrapped(lines) or "No round was walked yet. F7 in the program begins one.",
        plain={"rounds": [as_plain(flock, each) for each in found]},
    )


def _round(words: Namespace, flock: Flock) -> Answer:
    from ledger.services import walk_papers
    from ledger.services.walk_differences import still_open
    from ledger.services.walk_summary import as_plain, compared, summary

    found = summary(flock, words.round)
    lines = [f"Round {found.walk.id} of {found.walk.on}, {found.minutes:.0f} minutes."]
    lines.append(f"{found.coverage}.")
    lines += [f"! {sentence} An avian vet today." for sentence in found.urgent]
    for each in found.differences:
        told = f" ({each.proposal})" if each.proposal else ""
        lines.append(
            f"- {each.kind.value}: {each.said} {each.settled or 'Open'}{told}."
        )
    lines += compared(flock, found.walk)
    if words.csv is not None:
        walk_papers.write_csv(flock, words.round, words.csv)
        lines.append(f"The table is written to {words.csv}.")
    if words.pdf is not None:
        walk_papers.write_paper(words.pdf, walk_papers.result(flock, words.round))
        lines.append(f"The result is written to {words.pdf}.")
    return Answer(
        text=wrapped(lines),
        plain=as_plain(flock, found),
        exit_code=LOOK if still_open(found.differences) else DONE,
    )
