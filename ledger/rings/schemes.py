"""Issuers' ways of writing a ring, from a table that a keeper can add to.

A form is what stands on the ring with names for what varies: `B <size_mm>
<closure> <yy> <serial>`. Everything else stands for itself. Names: `<code>`
2 to 5 letters, `<club>` 2 to 3, `<mixed>` letters and digits, `<letter>`,
`<letters:n>`, `<digits>`, `<digits:n>`, `<serial>` and `<member>` 1 to 6 digits,
`<yyyy>`, `<yy>`, `<y>` the year's digits, `<size_mm>`, `<ordinal>`, `<size>` a
letter code, `<closure>` O or G, `<country2>`, `<country3>`, `<state>` of the USA.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from ledger.rings.countries import countries_written

if TYPE_CHECKING:
    from collections.abc import Mapping

_NAMES = {
    "code": r"[A-Z]{2,5}",
    "club": r"[A-Z]{2,3}",
    "mixed": r"(?=[A-Z0-9]*[A-Z])(?=[A-Z0-9]*[0-9])[A-Z0-9]{2,4}",
    "letter": r"[A-Z]",
    "letters": r"[A-Z]{%s}",
    "digits": r"[0-9]%s",
    "serial": r"[0-9]{1,6}",
    "member": r"[0-9]{1,6}",
    "yyyy": r"(?:19|20)[0-9]{2}",
    "yy": r"[0-9]{2}",
    "y": r"[0-9]",
    "size_mm": r"[0-9]{1,2}\.[0-9]{1,2}",
    "ordinal": r"[0-9]",
    "size": r"[0-9]?[A-Z]",
    "closure": r"[OG]",
    "country2": r"[A-Z]{2}",
    "country3": r"[A-Z]{3}",
    # The fifty states' postal letters, from memory.
    "state": "(?:A[KLRZ]|C[AOT]|DE|FL|GA|HI|I[ADLN]|K[SY]|LA|M[ADEINOST]|N[CDEHJMVY]"
    "|O[HKR]|PA|RI|S[CD]|T[NX]|UT|V[AT]|W[AIVY])",
}
_FIELD = re.compile(r"<([a-z_0-9]+?)(?::(\d+))?>")


@dataclass(frozen=True)
class Scheme:
    """One way in which one kind of issuer writes rings."""

    name: str
    form: str
    kind: str
    """"closed", "split", "quarantine", or "" where the form does not tell."""
    bred: str
    """"captive", "imported", or ""."""
    country: str
    """ISO 3166 alpha-2, or ""."""
    meaning: str
    ask: str
    """Whom to ask next, in general terms."""
    source: str
    likely: float = 0.0
    """What speaks for rings of this kind before one is read, as a natural logarithm:
    common practice, no source."""

    @property
    def n_fixed(self) -> int:
        """How many characters stand for themselves: the more, the surer a match."""
        return len(re.sub(r"[^A-Z0-9]", "", _FIELD.sub("", self.form)))

    def match(self, words: tuple[str, ...]) -> tuple[tuple[str, str], ...] | None:
        """The words taken apart as (field, text); field "" stands for itself.

        Args:
            words: Capitals and digits as they follow one another on the ring.
        """
        found = _pattern(self.form).fullmatch(" ".join(words))
        if found is None:
            return None
        names = _field_names(self.form)
        return tuple(
            (name, text.strip())
            for name, text in zip(names, found.groups(), strict=True)
            if text and text.strip(" -")
        )


@cache
def _field_names(form: str) -> tuple[str, ...]:
    names = []
    for part in re.split(r"(<[^>]+>)", form):
        field = _FIELD.fullmatch(part)
        if field:
            names.append(field[1])
        elif part.strip(" "):
            names.append("")
    return tuple(names)


@cache
def _pattern(form: str) -> re.Pattern[str]:
    parts = []
    for part in re.split(r"(<[^>]+>)", form):
        field = _FIELD.fullmatch(part)
        if field is None:
            if part.strip(" "):
                spaced = re.escape(part).replace(r"\ ", " ?")
                parts.append(f"({spaced})")
            elif part:
                parts.append(" ?")
            continue
        rule = _NAMES[field[1]]
        if "%s" in rule:
            count = field[2]
            rule %= (
                count
                if field[1] == "letters"
                else (f"{{{count}}}" if count else "{1,8}")
            )
        parts.append(f"({rule})")
    return re.compile("".join(parts))


def _rows(name: str) -> list[dict[str, str]]:
    text = resources.files("ledger.rings").joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def schemes() -> tuple[Scheme, ...]:
    """Every way of writing a ring that the table holds."""
    return tuple(scheme_of(row) for row in _rows("schemes.csv"))


NEEDED = ("scheme", "form", "meaning")
"""Columns that no row may leave empty."""
COLUMNS = (*NEEDED, "kind", "bred", "country", "ask", "source", "likely")
_KINDS = ("", "closed", "split", "quarantine")
_BRED = ("", "captive", "imported")


def scheme_of(row: Mapping[str, str]) -> Scheme:
    """One row of the table.

    Args:
        row: Cells by column; a column that is not there counts as empty.

    Raises:
        ValueError: a cell cannot be what it is; the message is a sentence.
    """
    cell = {name: (row.get(name) or "").strip() for name in COLUMNS}
    for name in NEEDED:
        if not cell[name]:
            raise ValueError(f"The column “{name}” is empty.")
    _one_of("kind", cell["kind"], _KINDS)
    _one_of("bred", cell["bred"], _BRED)
    country = cell["country"].upper()
    if country and not any(
        found.how == "two letters" for found in countries_written(country)
    ):
        raise ValueError(f"“{country}” is no country of two letters by ISO 3166.")
    try:
        likely = float(cell["likely"] or 0.0)
    except ValueError as error:
        raise ValueError(f"“{cell['likely']}” in “likely” is no number.") from error
    check_form(cell["form"])
    return Scheme(
        cell["scheme"],
        cell["form"],
        cell["kind"],
        cell["bred"],
        country,
        cell["meaning"],
        cell["ask"],
        cell["source"],
        min(max(likely, -MOST_LIKELY), MOST_LIKELY),
    )


MOST_LIKELY = 2.0
"""No row can make its rings the only ones there are."""


def _one_of(column: str, value: str, words: tuple[str, ...]) -> None:
    if value not in words:
        named = ", ".join(f"“{word}”" for word in words if word)
        raise ValueError(f"“{value}” in “{column}” is none of {named}.")


def check_form(form: str) -> None:
    """Whether a form can be understood.

    Raises:
        ValueError: it names a part we do not know, or holds what no ring bears.
    """
    left = form
    for field in _FIELD.finditer(form):
        name, count = field[1], field[2]
        if name not in _NAMES:
            raise ValueError(
                f"“<{name}>” is no part we know; known are "
                f"{', '.join(f'<{known}>' for known in sorted(_NAMES))}."
            )
        if count and name not in ("letters", "digits"):
            raise ValueError(
                f"“<{name}:{count}>”: only letters and digits are counted."
            )
        if name == "letters" and not count:
            raise ValueError("“<letters>” needs how many: “<letters:2>”.")
        if count and not 1 <= int(count) <= _MOST_SIGNS:
            raise ValueError(f"“<{name}:{count}>”: no ring has so many.")
        left = left.replace(field[0], "")
    strange = sorted({sign for sign in left if not re.match(r"[A-Z0-9 .-]", sign)})
    if strange:
        raise ValueError(
            f"“{form}” holds {' '.join(strange)}: write capitals, digits, and parts "
            "in angle brackets like <serial>."
        )
    if len(form) > _LONGEST_FORM:
        raise ValueError(f"“{form[:20]}…” is longer than any inscription.")


_MOST_SIGNS = 12
_LONGEST_FORM = 120
