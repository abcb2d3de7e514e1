"""The code of an implanted chip: what can be written, and what it tells.

ISO 11784:1996 gives a chip 64 bits: 16 of flags, 10 of a country or maker, 38 of
a number (ICAR's slides on the standard). People write them in four ways, which all
say the same (README and tests of ISO11784Tools):

    999123456789012     15 digits: prefix, then number
    3E7.1CBE991A14      both in hexadecimal, parted by a dot
    8000F9DCBE991A14    all 64 bits, the first of them left
    2858997D3B9F0001    all 64 bits, the first of them right

Chips from before the standard show 9 or 10 characters.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ledger.errors import RuleError

PREFIX_BITS = 10
NUMBER_BITS = 38
HIGHEST_NUMBER = 2**NUMBER_BITS - 1
"""274877906943."""
TEST_PREFIX = 999
MAKERS = range(900, 999)
"""Prefixes that ICAR gives to makers; 999 is for tests. No country has one: the
highest numeric code of ISO 3166-1 is 894."""
_LIVING = 0x8000
_SEPARATORS = re.compile(r"[\s\-*]+")


class ChipKind(StrEnum):
    """By what standard a chip answers."""

    ISO = "ISO 11784"
    """15 digits, 134.2 kHz."""
    TEN = "older, 10 characters"
    """125 or 128 kHz."""
    NINE = "older, 9 characters"
    """125 kHz."""


class PrefixKind(StrEnum):
    """Who vouches for a code."""

    COUNTRY = "country"
    MAKER = "maker"
    TEST = "test"
    UNKNOWN = "unknown"
    """Neither a country by ISO 3166-1 nor a maker."""


@dataclass(frozen=True, slots=True)
class IsoCode:
    """The 64 bits of an ISO 11784 chip."""

    prefix: int
    """Country (ISO 3166-1 numeric) or maker, 0..999."""
    number: int
    """0..274877906943."""
    flags: int = _LIVING
    """Bits 1 to 16; the first says that it marks a living creature."""

    def __post_init__(self) -> None:
        if not 0 <= self.prefix <= 999:
            raise RuleError(
                f"A chip's first part is 000 to 999, not {self.prefix}.",
                "Read the chip again.",
            )
        if not 0 <= self.number <= HIGHEST_NUMBER:
            raise RuleError(
                f"The last 12 digits of a chip go up to {HIGHEST_NUMBER} "
                f"(ISO 11784: 38 bits), not to {self.number:012}.",
                "Read the chip again: one digit is wrong.",
            )
        if not 0 <= self.flags <= 0xFFFF:
            raise ValueError(f"flags are 16 bits, not {self.flags:#x}")

    @property
    def digits(self) -> str:
        """15 digits: the form a keeper reads off a scanner."""
        return f"{self.prefix:03}{self.number:012}"

    @property
    def dotted(self) -> str:
        """Prefix and number in hexadecimal."""
        return f"{self.prefix:03X}.{self.number:010X}"

    @property
    def bits(self) -> int:
        """All 64, the first of them the highest."""
        return self.flags << 48 | self.prefix << NUMBER_BITS | self.number

    @property
    def left(self) -> str:
        """All 64 bits in hexadecimal, the first of them left."""
        return f"{self.bits:016X}"

    @property
    def right(self) -> str:
        """All 64 bits in hexadecimal, the first of them right."""
        return f"{mirrored(self.bits, 64):016X}"

    @property
    def living(self) -> bool:
        """Bit 1: it marks a living creature, not a thing."""
        return bool(self.flags & _LIVING)

    @property
    def prefix_kind(self) -> PrefixKind:
        """Who vouches for it."""
        if self.prefix == TEST_PREFIX:
            return PrefixKind.TEST
        if self.prefix in MAKERS:
            return PrefixKind.MAKER
        return PrefixKind.COUNTRY if country_of(self.prefix) else PrefixKind.UNKNOWN

    @classmethod
    def from_bits(cls, bits: int) -> IsoCode:
        """The code of 64 bits, the first of them the highest.

        Raises:
            RuleError: the prefix is over 999: no code in 15 digits.
        """
        prefix = bits >> NUMBER_BITS & (1 << PREFIX_BITS) - 1
        return cls(prefix, bits & HIGHEST_NUMBER, bits >> 48)


@dataclass(frozen=True, slots=True)
class ChipCode:
    """A chip's code as it was written, understood."""

    text: str
    """As the ledger keeps it: 15 digits, or the 9 or 10 characters of an older chip."""
    kind: ChipKind
    iso: IsoCode | None
    """For an ISO chip."""
    says: str
    """Who gave the code out, as a sentence."""
    warnings: tuple[str, ...] = ()
    """What the keeper must know before relying on it, as sentences."""


def chip_code(written: str) -> ChipCode:
    """Understand a chip's code in any of its forms.

    Args:
        written: 15 digits; one of the three hexadecimal forms of ISO 11784 (`0x` in
            front says that 16 digits are one of them); or the 9 or 10 characters of
            an older chip. Spaces, hyphens and stars are passed over.

    Raises:
        RuleError: it is none of these, or it can be read as two different codes.
    """
    text = _SEPARATORS.sub("", written).upper()
    if re.fullmatch(r"[0-9]{15}", text):
        return _iso(IsoCode(int(text[:3]), int(text[3:])))
    if re.fullmatch(r"[0-9]{3}\.[0-9]{12}", text):
        return _iso(IsoCode(int(text[:3]), int(text[4:])))
    if re.fullmatch(r"[0-9A-F]{3}\.[0-9A-F]{10}", text):
        return _iso(IsoCode(int(text[:3], 16), int(text[4:], 16)))
    whole = re.fullmatch(r"(?:0X)?([0-9A-F]{16})", text)
    if whole and not text.isdigit():
        return _of_64_bits(int(whole[1], 16))
    plain = text.replace(".", "")
    if re.fullmatch(r"[0-9]{9}|[0-9A-F]{10}", plain):
        return _older(plain)
    raise _not_a_code(written, text)


def mirrored(bits: int, length: int) -> int:
    """The same bits with the last one first."""
    return int(f"{bits:0{length}b}"[::-1], 2)


@cache
def country_of(prefix: int) -> str:
    """Name of the country with this numeric code by ISO 3166-1; "" for none."""
    import pycountry

    found = pycountry.countries.get(numeric=f"{prefix:03}")
    return str(found.name) if found else ""


def _iso(code: IsoCode) -> ChipCode:
    warnings = []
    if code.prefix_kind is PrefixKind.TEST:
        says = "999 is for tests: nobody vouches that this code is unique."
        warnings.append(
            "A 999 chip is a test chip: another bird may carry the same code. Have an "
            "avian vet look at it before relying on it."
        )
    elif code.prefix_kind is PrefixKind.MAKER:
        says = f"{code.prefix} is a maker's code: the maker vouches for its numbers."
    elif code.prefix_kind is PrefixKind.COUNTRY:
        says = f"{code.prefix:03} is {country_of(code.prefix)}."
    else:
        says = f"{code.prefix:03} is no country (ISO 3166-1) and no maker (900 to 998)."
        warnings.append(
            f"No country and no maker has {code.prefix:03}: read the chip again."
        )
    if not code.living:
        warnings.append(
            "The chip says of itself that it does not mark a living creature: read it "
            "again."
        )
    return ChipCode(code.digits, ChipKind.ISO, code, says, tuple(warnings))


def _of_64_bits(bits: int) -> ChipCode:
    """The code of 16 hexadecimal digits, whichever end comes first.

    Raises:
        RuleError: it makes sense from neither end, or from both.
    """
    found = {}
    for turned in (bits, mirrored(bits, 64)):
        # Bits 2 to 15 are reserved in the text of 1996, and empty.
        if turned >> 48 in (_LIVING, _LIVING | 1):
            try:
                code = IsoCode.from_bits(turned)
            except RuleError:
                continue
            found[code.digits] = code
    if len(found) == 1:
        return _iso(*found.values())
    if not found:
        raise RuleError(
            f"{bits:016X} is no chip code: from neither end does it begin as ISO 11784 "
            "has it.",
            "Read the chip again, best with a scanner that shows 15 digits.",
        )
    raise RuleError(
        f"{bits:016X} can be {' or '.join(found)}: it depends on which end is first.",
        "Enter the 15 digits.",
    )


def _older(text: str) -> ChipCode:
    """A chip from before the standard.

    125, 128 and 134 kHz are in use (xzhbc.com); lengths 9, 10 and 15
    (animalstart.com); 125 kHz chips of 10 characters know no maker
    (eidap.com/iso.asp).
    """
    nine = len(text) == 9
    return ChipCode(
        text,
        ChipKind.NINE if nine else ChipKind.TEN,
        None,
        f"{len(text)} characters: a chip from before ISO 11784; it names no country "
        "and no maker.",
        (
            f"Not every scanner sees a chip of {len(text)} characters: ask for one "
            "that reads 125 and 128 kHz too, before anyone says there is no chip.",
        ),
    )


def _not_a_code(written: str, text: str) -> RuleError:
    if text.isdigit() and len(text) == 16:
        return RuleError(
            f"“{written}” has 16 digits; a chip's code has 15.",
            "Read it again. If it is the hexadecimal form, write 0x in front.",
        )
    if text.isdigit():
        return RuleError(
            f"“{written}” has {len(text)} digits; a chip's code has 15, that of an "
            "older chip 9 or 10.",
            "Read the chip again and enter every digit, zeros in front too.",
        )
    return RuleError(
        f"“{written}” is no chip code.",
        "Enter the 15 digits that the scanner shows; older chips show 9 or 10 "
        "characters.",
    )
