"""Partial dates against ISO 8601-1 forms and the arithmetic of the calendar."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.domain import PartialDate, age_in_words


@pytest.mark.parametrize(
    "text",
    ["2019", "2019-04", "2019-04-12", "spring 2019", "winter 2019", "2020-02-29"],
)
def test_parse__gives_the_same_form_back(text):
    assert str(PartialDate.parse(text)) == text


@given(st.dates())
def test_parse__reads_every_iso_day(day):
    # date.isoformat is Python's own reading of ISO 8601.
    parsed = PartialDate.parse(day.isoformat())
    assert (parsed.earliest, parsed.latest) == (day, day)
    assert str(parsed) == day.isoformat()


@given(st.dates())
def test_parse__month_and_year_span_their_days(day):
    for text in (f"{day:%Y}".zfill(4), f"{day.isoformat()[:7]}"):
        span = PartialDate.parse(text)
        assert span.earliest <= day <= span.latest
        after = span.latest
        if after < dt.date.max:
            after += dt.timedelta(days=1)
            assert str(PartialDate.of(after))[: len(text)] != text


# The three-month seasons of meteorology: spring is 1 March to 31 May, and so on.
# https://www.metoffice.gov.uk/weather/learn-about/weather/seasons (from memory)
@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("spring 2019", dt.date(2019, 3, 1), dt.date(2019, 5, 31)),
        ("Summer 2019", dt.date(2019, 6, 1), dt.date(2019, 8, 31)),
        ("autumn 2019", dt.date(2019, 9, 1), dt.date(2019, 11, 30)),
        ("fall  2019", dt.date(2019, 9, 1), dt.date(2019, 11, 30)),
    ],
)
def test_parse__seasons(text, first, last):
    season = PartialDate.parse(text)
    assert (season.earliest, season.latest) == (first, last)


def test_parse__a_winter_may_be_the_one_that_ended_or_began_in_the_year():
    winter = PartialDate.parse("winter 2019")
    assert (winter.earliest, winter.latest) == (
        dt.date(2018, 12, 1),
        dt.date(2020, 2, 29),
    )


# Season codes of ISO 8601-2:2019, level 1: 21 spring, 22 summer, 23 autumn, 24 winter
# (Library of Congress, https://www.loc.gov/standards/datetime/, from memory).
@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("2001-21", "spring 2001"),
        ("2001-22", "summer 2001"),
        ("2001-23", "autumn 2001"),
        ("2001-24", "winter 2001"),
    ],
)
def test_parse__iso_season_codes(code, words):
    assert str(PartialDate.parse(code)) == words


@pytest.mark.parametrize(
    "text",
    [
        "",
        "19",
        "2019-4",
        "2019-13",
        "2019-00",
        "2019-02-29",
        "2019-04-31",
        "2019-21-01",
        "0000",
        "spring 0000",
        "12.04.2019",
        "04/12/2019",
        "spring",
        "2019 spring",
        "-2019",
        "２０１９-0a",
    ],
)
def test_parse__refuses_with_a_sentence(text):
    with pytest.raises(ValueError, match=r"is not a date") as refused:
        PartialDate.parse(text)
    assert str(refused.value).endswith(".")


def test_order__only_where_it_is_certain():
    year, spring, day = map(PartialDate.parse, ("2019", "spring 2019", "2019-07-01"))
    assert spring.is_before(day)
    assert day.is_after(spring)
    assert not year.is_before(spring)
    assert not year.is_after(spring)
    assert not day.is_before(day)
    assert PartialDate.parse("2018-12-31").is_before(year)
    assert year.is_before(dt.date(2020, 1, 1))


# Python's own subtraction of dates is the reference.
def test_days_until__fewest_and_most():
    spring = PartialDate.parse("spring 2019")
    day = dt.date(2019, 6, 10)
    assert spring.days_until(day) == (
        (day - dt.date(2019, 5, 31)).days,
        (day - dt.date(2019, 3, 1)).days,
    )


# Ages in completed months and years, as anyone counts birthdays.
@pytest.mark.parametrize(
    ("hatched", "on", "words"),
    [
        ("2020-01-01", "2020-01-01", "0 days"),
        ("2020-01-01", "2020-01-02", "1 day"),
        ("2020-01-01", "2020-02-29", "59 days"),
        ("2020-01-31", "2020-03-31", "2 months"),
        ("2020-02-29", "2021-02-28", "12 months"),
        ("2019-04-12", "2022-04-12", "3 years"),
        ("2019-04-12", "2022-06-20", "3 years 2 months"),
        ("2019-04-12", "2022-04-11", "2 years 11 months"),
        ("2019", "2021-03-02", "1 or 2 years"),
        ("spring 2019", "2026-01-01", "6 years"),
        ("2019-12", "2020-06-15", "5 or 6 months"),
        ("2019", "2019-06-01", "0 to 5 months"),
        ("2020-05-01", "2020-04-30", ""),
    ],
)
def test_age_in_words(hatched, on, words):
    assert age_in_words(PartialDate.parse(hatched), dt.date.fromisoformat(on)) == words
