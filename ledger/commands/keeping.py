"""Commands for the ledger itself: a bird's card, birds in, birds out."""

from __future__ import annotations

import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import folder_of, open_to_read, open_to_write
from ledger.domain.kind import Kind
from ledger.errors import StoreMissingError

if TYPE_CHECKING:
    from argparse import Namespace
    from collections.abc import Iterator

    from ledger.services.exchange import BadCell, ImportResult
    from ledger.services.ledger import Ledger


def card(words: Namespace) -> Answer:
    """Print the emergency card of one bird."""
    from ledger.services import card

    with open_to_read(words) as ledger:
        bird = card.find_bird(ledger.flock, words.bird)
        its_card = card.emergency_card(ledger.flock, bird.id, words.today)
    return Answer(text=card.as_text(its_card), plain=card.as_json(its_card))


def take_in(words: Namespace) -> Answer:
    """Take birds in from a CSV file; where there is no ledger yet, begin one."""
    if words.file.suffix.lower() == ".json":
        return _take_whole_in(words)
    folder = folder_of(words)
    begun = False
    try:
        # A dry run writes nothing and takes no lock.
        opened = open_to_read(words) if words.dry_run else open_to_write(words)
        with opened as ledger:
            result = _import(ledger, words, dry_run=words.dry_run)
    except StoreMissingError:
        result = _try_on_an_empty_ledger(words)
        if result.added and not words.dry_run:
            with open_to_write(words, create=True) as ledger:
                result = _import(ledger, words, dry_run=False)
            begun = True
    return Answer(
        text=wrapped(_import_lines(result, words, folder if begun else None)),
        plain={
            "file": str(words.file),
            "rows": result.rows,
            "added": result.added,
            "stored": result.stored,
            "begun": begun,
            "bad": [_cell_as_plain(cell) for cell in result.bad],
            "warnings": [_cell_as_plain(cell) for cell in result.warnings],
        },
        exit_code=LOOK if result.bad else DONE,
    )


def _take_whole_in(words: Namespace) -> Answer:
    """A whole ledger, into one that is empty or not begun."""
    from ledger.services import whole
    from ledger.services.keeper import keeper_name
    from ledger.settings import load_settings

    def take(ledger: Ledger, *, dry_run: bool) -> int:
        return whole.import_json(
            ledger,
            words.file,
            dry_run=dry_run,
            author=keeper_name(ledger.flock, load_settings()),
        )

    begun = False
    try:
        opened = open_to_read(words) if words.dry_run else open_to_write(words)
        with opened as ledger:
            birds = take(ledger, dry_run=words.dry_run)
    except StoreMissingError:
        with _an_empty_ledger() as trial:
            birds = take(trial, dry_run=True)
        if not words.dry_run:
            with open_to_write(words, create=True) as ledger:
                birds = take(ledger, dry_run=False)
            begun = True
    done = "would be" if words.dry_run else "were"
    return Answer(
        text=f"{birds} birds and all about them {done} taken in.",
        plain={
            "file": str(words.file),
            "added": birds,
            "stored": not words.dry_run,
            "begun": begun,
        },
    )


def give_out(words: Namespace) -> Answer:
    """Write all birds to a CSV file, or the whole ledger to a JSON file."""
    from ledger.services import csv_things, exchange, whole

    what = words.of
    with open_to_read(words) as ledger:
        if words.file.suffix.lower() == ".json":
            birds, what = whole.export_json(ledger, words.file), "birds"
        elif what != "birds":
            kind = Kind(what)
            birds = csv_things.export_things(ledger.flock, kind, words.file)
        else:
            birds = exchange.export_csv(ledger.flock, words.file)
    return Answer(
        text=f"{birds} {what} written to {words.file}.",
        plain={"file": str(words.file), what: birds},
    )


def _import(ledger: Ledger, words: Namespace, *, dry_run: bool) -> ImportResult:
    from ledger.services import csv_things, exchange, headings
    from ledger.services.keeper import keeper_name
    from ledger.settings import load_settings

    told = headings.parse(words.heading)
    names = {**headings.remembered(), **told} if dry_run else headings.remember(told)
    author = keeper_name(ledger.flock, load_settings())
    if words.of == "birds":
        return exchange.import_csv(
            ledger,
            words.file,
            dry_run=dry_run,
            skip_bad=words.skip_bad,
            today=words.today,
            author=author,
            names=names,
        )
    return csv_things.import_things(
        ledger,
        Kind(words.of),
        words.file,
        dry_run=dry_run,
        skip_bad=words.skip_bad,
        today=words.today,
        author=author,
        names=names,
    )


def _try_on_an_empty_ledger(words: Namespace) -> ImportResult:
    """What an import would do, so that a bad file leaves no empty ledger behind."""
    with _an_empty_ledger() as ledger:
        return _import(ledger, words, dry_run=True)


@contextmanager
def _an_empty_ledger() -> Iterator[Ledger]:
    """One that is gone afterwards."""
    from ledger.services import book

    with (
        tempfile.TemporaryDirectory() as folder,
        book.open_ledger(Path(folder), create=True) as ledger,
    ):
        yield ledger


def _import_lines(
    result: ImportResult, words: Namespace, begun_in: Path | None
) -> Iterator[str]:
    """Every bad row with its place and reason, then what was done."""
    for cell in result.bad:
        yield _cell_in_words(cell, "skipped" if words.skip_bad else "wrong")
    for cell in result.warnings:
        yield _cell_in_words(cell, "look")
    if begun_in:
        yield f"A new ledger was begun in {begun_in}."
    if result.stored:
        yield f"{result.added} {words.of} stored, of {result.rows} rows."
    elif result.bad and not words.skip_bad:
        yield "Nothing was stored. Mend these rows, or add --skip-bad."
    elif words.dry_run:
        yield f"{result.added} {words.of} would be stored, of {result.rows} rows."
    else:
        yield "There was nothing to store."


def _cell_in_words(cell: BadCell, verdict: str) -> str:
    column = f", {cell.column}" if cell.column else ""
    return f"{verdict}: line {cell.line}{column}: {cell.reason}"


def _cell_as_plain(cell: BadCell) -> dict[str, Any]:
    return {"line": cell.line, "column": cell.column, "reason": cell.reason}
