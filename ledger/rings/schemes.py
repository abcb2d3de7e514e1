"""Issuers' ways of writing a ring, from a table that a keeper can add to.

A form is what stands on the ring with names for what varies: `B <size_mm>
<closure> <yy> <serial>`. Everything else stands for itself. Names: `<code>`
2 to 5 letters, `<club>` 2 to 3, `<mixed>` letters and digits, `<letter>`,
`<letters:n>`, `<digits>`, `<digits:n>`, `<serial>` and `<member>` 1 to 6 digits,
`<yyyy>`, `<yy>`, `<y>` the year's digits, `<size_mm>`, `<ordinal>`, `<size>` a
letter code, `<closure>` O or G, `<country2>`, `<country3>`, `<state>` of the USA,
`<station>`.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources

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
    # Letters after USDA that hobby lists give for stations (petcha.com).
    "station": r"(?:-?F|B|H|AA|M|X|NNY|AN|AL|AE)?",
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
    return tuple(
        Scheme(
            row["scheme"],
            row["form"],
            row["kind"],
            row["bred"],
            row["country"],
            row["meaning"],
            row["ask"],
            row["source"],
        )
        for row in _rows("schemes.csv")
    )
