"""Dates as old books give them: a year, a month, a day, or a season."""

from __future__ import annotations

import datetime as dt
import re
from calendar import monthrange
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache


class Season(StrEnum):
    """A season of the northern half of the earth."""

    SPRING = "spring"
    SUMMER = "summer"
    AUTUMN = "autumn"
    WINTER = "winter"


# Meteorological seasons: spring is March to May, and so on.
# https://www.metoffice.gov.uk/weather/learn-about/weather/seasons (from memory)
_FIRST_MONTH = {Season.SPRING: 3, Season.SUMMER: 6, Season.AUTUMN: 9}
# ISO 8601-2:2019 (Extended Date/Time Format, level 1) numbers the seasons.
_SEASON_CODES = {
    21: Season.SPRING,
    22: Season.SUMMER,
    23: Season.AUTUMN,
    24: Season.WINTER,
}
_ISO = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")
_SEASON = re.compile(r"(spring|summer|autumn|fall|winter) (\d{4})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class PartialDate:
    """A day, or only as much of it as is known.

    Two of them compare only as far as what is known allows: see `is_before`.
    There is no `<`, since "2019" is neither before nor after "spring 2019".
    """

    year: int
    month: int | None = None
    day: int | None = None
    season: Season | None = None
    earliest: dt.date = field(init=False, repr=False, compare=False)
    """The first day it can be."""
    latest: dt.date = field(init=False, repr=False, compare=False)
    """The last day it can be."""

    def __post_init__(self) -> None:
        first, last = _bounds(self.year, self.month, self.day, self.season)
        object.__setattr__(self, "earliest", first)
        object.__setattr__(self, "latest", last)

    @classmethod
    def parse(cls, text: str) -> PartialDate:
        """Read `2019`, `2019-04`, `2019-04-12` or `spring 2019`.

        The ISO 8601-2 season codes (`2019-21` is spring 2019) are read too.

        Raises:
            ValueError: it is none of these, or no such day exists; the message
                is a sentence for the keeper.
        """
        return _parse(text)

    @classmethod
    def of(cls, day: dt.date) -> PartialDate:
        """The whole date of a day."""
        return cls(day.year, day.month, day.day)

    @property
    def is_whole(self) -> bool:
        """The very day is known."""
        return self.day is not None

    def is_before(self, other: PartialDate | dt.date) -> bool:
        """It is certain that this lies before the other, by a day or more."""
        return self.latest < _first_day(other)

    def is_after(self, other: PartialDate | dt.date) -> bool:
        """It is certain that this lies after the other, by a day or more."""
        return self.earliest > _last_day(other)

    def days_until(self, other: PartialDate | dt.date) -> tuple[int, int]:
        """Fewest and most days from this to the other; negative if it is earlier."""
        return (
            (_first_day(other) - self.latest).days,
            (_last_day(other) - self.earliest).days,
        )

    def __str__(self) -> str:
        if self.season is not None:
            return f"{self.season} {self.year:04d}"
        parts = [f"{self.year:04d}"]
        parts += [f"{part:02d}" for part in (self.month, self.day) if part is not None]
        return "-".join(parts)


@lru_cache(maxsize=65536)
def _parse(text: str) -> PartialDate:
    words = " ".join(text.split())
    season = _SEASON.fullmatch(words)
    if season:
        name = season[1].lower().replace("fall", "autumn")
        return PartialDate(_year(season[2], text), season=Season(name))
    iso = _ISO.fullmatch(words)
    if not iso:
        raise ValueError(
            f"“{text}” is not a date. Write 2019, 2019-04, 2019-04-12 or spring 2019."
        )
    year = _year(iso[1], text)
    month, day = (int(part) if part else None for part in iso.group(2, 3))
    if month in _SEASON_CODES and day is None:
        return PartialDate(year, season=_SEASON_CODES[month])
    try:
        return PartialDate(year, month, day)
    except ValueError as error:
        raise ValueError(f"“{text}” is not a date: there is no such day.") from error


def _year(digits: str, text: str) -> int:
    if int(digits) == 0:
        raise ValueError(f"“{text}” is not a date: there is no year 0000.")
    return int(digits)


def _bounds(
    year: int, month: int | None, day: int | None, season: Season | None
) -> tuple[dt.date, dt.date]:
    if season is Season.WINTER:
        # "Winter 2019" may mean the winter that ended or the one that began in
        # 2019; both are allowed for.
        return dt.date(max(year - 1, 1), 12 if year > 1 else 1, 1), _month_end(
            min(year + 1, 9999), 2
        )
    if season is not None:
        month = _FIRST_MONTH[season]
        return dt.date(year, month, 1), _month_end(year, month + 2)
    if month is None:
        return dt.date(year, 1, 1), dt.date(year, 12, 31)
    if not 1 <= month <= 12:
        raise ValueError("month must be in 1..12")
    if day is None:
        return dt.date(year, month, 1), _month_end(year, month)
    whole = dt.date(year, month, day)
    return whole, whole


def _month_end(year: int, month: int) -> dt.date:
    return dt.date(year, month, monthrange(year, month)[1])


def _first_day(date: PartialDate | dt.date) -> dt.date:
    return date.earliest if isinstance(date, PartialDate) else date


def _last_day(date: PartialDate | dt.date) -> dt.date:
    return date.latest if isinstance(date, PartialDate) else date


def age_in_words(since: PartialDate, until: PartialDate | dt.date) -> str:
    """How old on that day, as exactly as the dates allow.

    Args:
        since: When the bird hatched.
        until: The day in question.

    Returns:
        "12 days", "5 months", "3 years 2 months", "2 or 3 years", "4 to 9 months";
        "" when `until` lies before `since`.
    """
    oldest = (since.earliest, _last_day(until))
    youngest = (since.latest, _first_day(until))
    most = _months(*oldest)
    least = _months(*youngest) if youngest[0] <= youngest[1] else 0
    if oldest[0] > oldest[1]:
        return ""
    if most < 2:
        return _span(
            max((youngest[1] - youngest[0]).days, 0),
            (oldest[1] - oldest[0]).days,
            "day",
        )
    if most < 24:
        return _span(least, most, "month")
    if least == most and most % 12:
        return f"{_count(most // 12, 'year')} {_count(most % 12, 'month')}"
    return _span(least // 12, most // 12, "year")


def _months(start: dt.date, end: dt.date) -> int:
    """Whole months between two days."""
    months = (end.year - start.year) * 12 + end.month - start.month
    last_day = monthrange(end.year, end.month)[1]
    return months - (end.day < min(start.day, last_day))


def _span(least: int, most: int, unit: str) -> str:
    if least == most:
        return _count(most, unit)
    joint = "or" if most - least == 1 else "to"
    return f"{least} {joint} {_count(most, unit)}"


def _count(number: int, unit: str) -> str:
    return f"{number} {unit}" if number == 1 else f"{number} {unit}s"
