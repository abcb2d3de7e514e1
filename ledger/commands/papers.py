"""The papers of a bird from a shell.

Services are imported inside the functions: `flock-ledger --help` must not wait for
the PDF libraries.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ledger.commands.answer import Answer
from ledger.commands.place import open_to_read

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def paper_words(parser: ArgumentParser) -> None:
    """What `paper` takes."""
    parser.add_argument("bird", metavar="BIRD", help="its id, name, ring or chip")
    parser.add_argument(
        "--of",
        choices=("removal", "placement"),
        help="which paper (else of what was done last)",
    )
    parser.add_argument(
        "--pdf", metavar="FILE", type=Path, help="write it to this file, to be signed"
    )


def paper(words: Namespace) -> Answer:
    """A bird's removal or placement paper, as text or as a PDF."""
    from ledger.reports.paper import as_plain, as_text
    from ledger.services import card, papers

    with open_to_read(words) as ledger:
        bird = card.find_bird(ledger.flock, words.bird)
        kind = (
            papers.PaperKind(words.of)
            if words.of
            else papers.kinds_for(ledger.flock, bird.id)[0]
        )
        its_paper, _ = papers.paper_of(ledger, bird.id, kind, words.today)
        said = as_text(its_paper)
        if words.pdf is not None:
            papers.print_paper(ledger, bird.id, kind, words.today, words.pdf)
            said = f"The {kind} paper of {bird.title} is written to {words.pdf}."
    return Answer(
        text=said,
        plain={
            "paper": str(kind),
            "bird": bird.id,
            "pdf": str(words.pdf) if words.pdf is not None else None,
            **as_plain(its_paper),
        },
    )
