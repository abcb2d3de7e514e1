"""The check, and putting right what it finds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ledger.commands.answer import DONE, LOOK, Answer, wrapped
from ledger.commands.place import open_to_read, open_to_write
from ledger.errors import NotFoundError, UsageError

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Sequence

    from ledger.services.checking import Finding
    from ledger.services.ledger import Ledger
    from ledger.services.mending import Way


def check_words(parser: ArgumentParser) -> None:
    """What `check` takes."""
    parser.add_argument(
        "--mend",
        metavar="NUMBER",
        type=int,
        help="list the ways to put right the finding listed so",
    )
    parser.add_argument(
        "--way", metavar="NUMBER", type=int, help="with --mend: go that way"
    )
    parser.add_argument(
        "--with",
        metavar="WORDS",
        dest="said",
        default="",
        help="with --way: what it shall be, where the way asks for it",
    )


def check(words: Namespace) -> Answer:
    """Look for contradictions and gaps; with --mend put one of them right."""
    if words.mend is None:
        if words.way is not None or words.said:
            raise UsageError(
                "--way and --with go with --mend.", hint="Say which finding to mend."
            )
        return _list(words)
    if words.way is None:
        return _ways(words)
    return _mend(words)


def _list(words: Namespace) -> Answer:
    from ledger.services import checking

    with open_to_read(words) as ledger:
        findings = checking.check(ledger)
        birds = len(ledger.flock.birds)
        let_stand = len(ledger.flock.settings.accepted)
    also = f" {let_stand} let stand as you said." if let_stand else ""
    if not findings:
        return Answer(
            text=f"{birds} birds checked; nothing to mend.{also}",
            plain={"findings": []},
        )
    lines = [
        f"{number:>4}  {finding.severity}: {finding.message} {finding.remedy}"
        for number, finding in enumerate(findings, 1)
    ]
    lines.append(f"{birds} birds checked; {len(findings)} findings.{also}")
    lines.append("`flock-ledger check --mend NUMBER` lists ways to put one right.")
    return Answer(
        text=wrapped(lines),
        plain={
            "findings": [
                _as_plain(number, finding) for number, finding in enumerate(findings, 1)
            ]
        },
        exit_code=LOOK,
    )


def _ways(words: Namespace) -> Answer:
    from ledger.services import mending

    with open_to_read(words) as ledger:
        finding = _chosen(ledger, words.mend)
        ways = mending.ways(ledger, finding)
    lines = [finding.message, finding.remedy]
    lines += [f"{number:>4}  {_told(way)}" for number, way in enumerate(ways, 1)]
    lines.append(
        f"Nothing was changed. `--mend {words.mend} --way NUMBER` goes one of these "
        "ways."
    )
    return Answer(
        text=wrapped(lines),
        plain={
            "finding": _as_plain(words.mend, finding),
            "ways": _ways_as_plain(ways),
            "mended": False,
        },
        exit_code=LOOK,
    )


def _mend(words: Namespace) -> Answer:
    from ledger.services import mending
    from ledger.services.keeper import keeper_name
    from ledger.settings import load_settings

    with open_to_write(words) as ledger:
        finding = _chosen(ledger, words.mend)
        ways = mending.ways(ledger, finding)
        if not 1 <= words.way <= len(ways):
            raise NotFoundError(
                f"There is no way {words.way} for “{finding.message}”",
                f"`flock-ledger check --mend {words.mend}` lists them.",
            )
        way = ways[words.way - 1]
        if way.needs_words and not words.said:
            raise UsageError(
                f"“{way.does}” needs to be told what it shall be.",
                hint="Add --with and the words.",
            )
        author = keeper_name(ledger.flock, load_settings())
        said = mending.mend(ledger, finding, way, author, words.said)
    return Answer(
        text=wrapped([finding.message, said]),
        plain={
            "finding": _as_plain(words.mend, finding),
            "way": way.does,
            "mended": True,
        },
        exit_code=DONE,
    )


def _chosen(ledger: Ledger, number: int) -> Finding:
    from ledger.services import checking

    findings = checking.check(ledger)
    if not 1 <= number <= len(findings):
        raise NotFoundError(
            f"There is no finding {number}; there are {len(findings)}.",
            "`flock-ledger check` lists them.",
        )
    return findings[number - 1]


def _told(way: Way) -> str:
    return f"{way.does} (--with ...)" if way.needs_words else way.does


def _as_plain(number: int, finding: Finding) -> dict[str, Any]:
    return {
        "number": number,
        "severity": str(finding.severity),
        "subject": finding.subject_id,
        "message": finding.message,
        "remedy": finding.remedy,
    }


def _ways_as_plain(ways: Sequence[Way]) -> list[dict[str, Any]]:
    return [
        {"way": number, "does": way.does, "asks": way.needs_words}
        for number, way in enumerate(ways, 1)
    ]
