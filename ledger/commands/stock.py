"""Commands about rings that are not on a bird yet: the stock, the year's order."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read, open_to_write
from ledger.errors import UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def rings_words(parser: ArgumentParser) -> None:
    """The words of `rings`."""
    parser.add_argument(
        "words",
        metavar="WORD",
        nargs="*",
        help="only rings that have all of them: 7.5 stock 2025",
    )
    parser.add_argument(
        "--every",
        action="store_true",
        help="also rings of other issuers, that came on a bird",
    )


def order_words(parser: ArgumentParser) -> None:
    """The words of `order`."""
    parser.add_argument(
        "--year", metavar="YEAR", type=int, help="ring year (else the next to order)"
    )
    parser.add_argument(
        "--clutches",
        metavar="N",
        type=int,
        default=0,
        help="of each pair (else as your best year had them)",
    )
    parser.add_argument("--colour", metavar="NAME", default="", help="of the rings")
    parser.add_argument(
        "--to",
        metavar="FILE",
        type=Path,
        help="also write it: .pdf, .csv or .txt",
    )
    parser.add_argument(
        "--enter", action="store_true", help="enter its series as ordered today"
    )


def rings(words: Namespace) -> Answer:
    """Every ring and what became of it; in words what is to hand by size."""
    from ledger.services import stock_list

    asked = " ".join(words.words)
    with open_to_read(words) as ledger:
        lines = stock_list.matching(
            stock_list.stock_lines(ledger.flock, all_issuers=words.every), asked
        )
    return Answer(
        text=wrapped(stock_list.told(lines)),
        plain=stock_list.lines_as_plain(lines),
        exit_code=DONE if lines else LOOK,
    )


def order(words: Namespace) -> Answer:
    """The rings to order for a year, each number with its reason.

    Raises:
        UsageError: a number makes no sense.
    """
    from ledger.services import ring_order, ring_order_form
    from ledger.services.keeper import keeper_name
    from ledger.settings import load_settings

    if words.clutches < 0:
        raise UsageError(
            "--clutches counts from 1.", hint="Leave it out, or give 1 or more."
        )
    year = words.year or ring_order.next_year(words.today)
    opened = open_to_write if words.enter else open_to_read
    with opened(words) as ledger:
        found = ring_order.order_for(
            ledger.flock, year, clutches_a_pair=words.clutches, colour=words.colour
        )
        lines = list(ring_order_form.order_lines(found))
        if words.to is not None:
            ring_order_form.write_order(ledger.flock, found, words.to)
            lines += ["", f"Written to {words.to}."]
        if words.enter:
            author = keeper_name(ledger.flock, load_settings())
            entered = ring_order.enter_order(ledger, found, author, words.today)
            lines += ["", f"Entered as ordered: {len(entered)} ring series."]
    return Answer(
        text=wrapped(lines),
        plain=ring_order_form.order_as_plain(found),
        exit_code=LOOK if found.plan.without_size else DONE,
    )
