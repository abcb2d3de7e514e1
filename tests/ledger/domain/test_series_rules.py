"""Ring series: where the serial stands, and no number in two of them."""

import pytest
from builders import a_flock, a_ring

from ledger.domain import RingSeries
from ledger.domain.rules import check


def a_series(series_id="s0001", first=1, last=10, **fields):
    fields = {"pattern": "IE TWK / 26 {serial}", "issuer": "Tidewrack", **fields}
    return RingSeries(series_id, first=first, last=last, **fields)


def said(*things):
    return [finding.message for finding in check(a_flock(*things))]


@pytest.mark.parametrize(
    ("first", "last", "shared"),
    [(10, 20, "010"), (3, 5, "003"), (1, 10, "001"), (0, 30, "001"), (11, 20, "")],
)
def test_check__two_series_share_no_number(first, last, shared):
    found = said(a_series(), a_series("s0002", first, last))
    expected = f"“IE TWK / 26 {shared}” is in two ring series, s0001 and s0002."
    assert found == ([expected] if shared else [])


@pytest.mark.parametrize(
    "fields", [{"issuer": "Other"}, {"pattern": "IE TWK / 27 {serial}"}]
)
def test_check__of_another_issuer_or_year_the_same_serials_are_other_rings(fields):
    assert said(a_series(), a_series("s0002", **fields)) == []


def test_check__a_ring_is_one_of_its_series():
    ring = {"issuer": "Tidewrack", "series": "s0001", "leg": "unknown"}
    fits = a_ring("r0001", "IE TWK / 26 007", **ring)
    assert said(a_series(), fits) == []
    (beyond,) = said(a_series(), a_ring("r0001", "IE TWK / 26 011", **ring))
    assert "is none of the series s0001" in beyond
    (nowhere,) = said(fits)
    assert "names the series s0001, and there is no such series" in nowhere


@pytest.mark.parametrize(
    ("inscription", "serial"),
    [
        ("IE TWK / 26 007", 7),
        ("ie twk 26/007", 7),
        ("IE TWK / 26 7", 7),
        ("IE TWK / 26 011", None),
        ("IE TWK / 27 007", None),
        ("IE TWK / 26", None),
    ],
)
def test_serial__is_read_off_a_ring_of_the_series(inscription, serial):
    assert a_series().serial_of(inscription) == serial
    if serial:
        assert a_series().inscription(serial) == "IE TWK / 26 007"
