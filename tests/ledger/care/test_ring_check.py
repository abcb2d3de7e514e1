"""When rings are looked under, and why; checked against the published figures."""

import datetime as dt

import pytest
from builders import a_bird, a_date, a_ring, an_event

from ledger.care.leg_alerts import leg_alerts
from ledger.care.ring_check import ROUTINE_DAYS, ring_check
from ledger.domain import EventKind, FlockSettings, OwnSize, RingKind
from ledger.reference import handbook_weight, longevity

TODAY = dt.date(2026, 3, 1)
GREY = "Psittacus erithacus"
WELL = "leg under the ring: all well"
SWELLING = "leg under the ring: swelling"


def check(*events, bird=None, rings=None, settings=None):
    bird = bird or a_bird(species=GREY, hatched="2019-04-12")
    rings = rings or [a_ring(bird="b0001", size_mm=11.5, put_on="2019-04-30")]
    newest_first = sorted(events, key=lambda e: e.on.latest, reverse=True)
    return ring_check(bird, rings, newest_first, settings or FlockSettings(), TODAY)


def looked(on, finding=WELL, number=1, **fields):
    return an_event(
        f"e{number:04d}", kind=EventKind.RING_CHECKED, on=on, finding=finding, **fields
    )


def weighed(*grams, last="2026-02-01"):
    """Weighings a month apart, the last one given last."""
    end = dt.date.fromisoformat(last)
    days = [end - dt.timedelta(days=30 * n) for n in range(len(grams))][::-1]
    return [
        an_event(f"e1{n:03d}", kind=EventKind.WEIGHED, on=str(day), weight_g=float(g))
        for n, (day, g) in enumerate(zip(days, grams, strict=True))
    ]


def said(found):
    return " | ".join(risk.said for risk in found.risks)


def test_check__none_for_a_bird_without_a_ring():
    assert ring_check(a_bird(), [], [], FlockSettings(), TODAY) is None
    off = a_ring(bird="b0001", state="removed")
    assert ring_check(a_bird(), [off], [], FlockSettings(), TODAY) is None


def test_check__without_a_risk_is_once_a_year():
    # No interval is published; once a year is common practice, no source.
    found = check(looked("2026-02-01"))
    assert found.risks == ()
    assert found.due == dt.date(2026, 2, 1) + dt.timedelta(days=ROUTINE_DAYS)
    assert "common practice, no source" in found.why


def test_check__after_a_ring_went_on_is_within_a_week():
    rings = [a_ring(bird="b0001", put_on="2026-02-27", size_mm=11.5)]
    assert check(rings=rings).due == dt.date(2026, 3, 6)


def test_check__that_nobody_ever_made_counts_from_the_hatching_or_is_due():
    rings = [a_ring(bird="b0001", size_mm=11.5)]
    assert check(rings=rings).due == dt.date(2020, 4, 11)
    assert check(rings=rings, bird=a_bird(species=GREY)).due == TODAY


def test_age__counts_by_the_longest_life_on_file():
    # AnAge: Psittacus erithacus 49.7 years; six tenths of it are 29.8.
    assert longevity(GREY).longest_years == 49.7
    assert "old" not in said(check(bird=a_bird(species=GREY, hatched="1997-01-01")))
    old = check(bird=a_bird(species=GREY, hatched="1996-01-01"))
    assert "old: 30 years, the longest life on file is 49.7" in said(old)
    assert "AnAge" in old.source


def test_weight__over_its_own_usual_by_15_percent():
    # Obesity is 15 % over the optimum (taiwaiexotic.com).
    assert "heavy" not in said(check(*weighed(400, 402, 398, 459)))
    heavy = check(*weighed(400, 402, 398, 460))
    assert "heavy: 460 g, 15% over its own usual 400 g" in said(heavy)


def test_weight__of_the_handbook_counts_only_without_a_history():
    # Dunning 2008: 333 g; kept birds differ by 10 to 40 % (zoo mean 461 g, Smeele
    # 2022): 461 g is no alarm, and 470 g with an even history is none either.
    assert handbook_weight(GREY).mean_g == 333
    assert "heavy" not in said(check(*weighed(461)))
    assert "41% over the handbook's mean of 333 g" in said(check(*weighed(470)))
    assert "heavy" not in said(check(*weighed(470, 471, 469, 470)))


@pytest.mark.parametrize(
    ("text", "is_trouble"),
    [
        ("Dead skin gathered under the ring; leg red below it.", True),
        ("Skin whole, ring slides.", False),
        ("No sore, no swelling.", False),
        ("Not swollen any more, but scab left.", True),
        ("Ring turns and slides freely; skin whole.", False),
    ],
)
def test_sores__are_read_from_old_words(text, is_trouble):
    found = check(looked("2025-11-01", finding="", text=text))
    assert ("trouble under a ring before" in said(found)) is is_trouble


def test_sores__bring_the_look_nearer_for_a_year():
    lately = check(looked("2025-11-01", SWELLING), looked("2026-01-01", number=2))
    assert lately.days == 30
    long_ago = check(looked("2023-11-01", SWELLING), looked("2026-01-01", number=2))
    assert long_ago.days == 120


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("Rests on its hocks in the evening.", True),
        ("Shifts from foot to foot.", True),
        ("Smooth perches only in this flight.", True),
        ("Broke two tail feathers on the new perch.", False),
    ],
)
def test_notes__of_perches_and_hocks_count(text, counts):
    found = check(an_event(on="2025-12-01", text=text))
    assert (text.rstrip(".") in said(found)) is counts


def test_tight__by_the_statute_and_by_the_keepers_own_size():
    # BArtSchV Anlage 6: Psittacus erithacus 11.5 mm.
    rings = [a_ring(bird="b0001", size_mm=10.0, put_on="2019-04-30")]
    tight = check(looked("2026-02-01"), rings=rings)
    assert "tight: 10 mm, 11.5 mm is the least" in said(tight)
    assert "BArtSchV" in tight.source
    own = FlockSettings(own_sizes=(OwnSize(GREY, 10.0),))
    assert "tight" not in said(check(rings=rings, settings=own))


@pytest.mark.parametrize(
    ("leg_mm", "said_of_it"),
    # Splittgerber and Clarke 2006: 60 to 65 % of the inner diameter; of 11.5 mm that
    # is 6.9 to 7.475 mm.
    [(6.8, "loose"), (6.9, ""), (7.4, ""), (7.6, "tight"), (8, "tight")],
)
def test_fit__of_a_measured_leg_counts_by_the_rule(leg_mm, said_of_it):
    found = check(looked("2026-02-01", f"{WELL}; leg in mm: {leg_mm:g}"))
    assert said(found).partition(":")[0] == said_of_it
    if said_of_it:
        assert "Splittgerber" in found.source


def test_rings__two_on_one_leg_and_split_ones_are_risks():
    # Splittgerber and Clarke 2006; PLOS ONE 2012 e51891.
    rings = [
        a_ring("r0001", bird="b0001", size_mm=11.5, put_on="2019-04-30"),
        a_ring("r0002", "SQ 1", bird="b0001", kind=RingKind.SPLIT, put_on="2020"),
    ]
    found = check(looked("2026-02-01"), rings=rings)
    assert "two rings on one leg" in said(found)
    assert "a split ring" in said(found)
    assert "Splittgerber" in found.source
    assert "PLOS ONE 2012" in found.source


def test_check__after_a_bad_finding_is_the_next_day():
    assert check(looked("2026-03-01", SWELLING)).due == dt.date(2026, 3, 2)
    week = check(looked("2026-03-01", "leg under the ring: dead skin or dirt"))
    assert week.due == dt.date(2026, 3, 8)


# --- alerts ---

RINGS = [
    a_ring("r0001", bird="b0001", leg="left"),
    a_ring("r0002", "IE TWK / 19 0008", bird="b0001", leg="right"),
]


def alerts(*events, rings=RINGS):
    newest_first = sorted(events, key=lambda e: (e.on.latest, e.id), reverse=True)
    return leg_alerts(rings, newest_first)


def test_alert__stands_once_for_each_ring_however_often_it_is_found():
    found = alerts(
        looked("2026-02-01", SWELLING, 1, ring="r0001"),
        looked("2026-02-02", SWELLING, 2, ring="r0001"),
        looked("2026-02-02", "leg under the ring: red skin", 3, ring="r0002"),
    )
    assert [(a.ring, a.event, a.is_for_today) for a in found] == [
        ("r0002", "e0003", False),
        ("r0001", "e0002", True),
    ]
    assert "left leg" in found[1].said
    assert "avian vet today" in found[1].said


def test_alert__ends_when_a_later_look_at_that_ring_finds_all_well():
    bad = looked("2026-02-01", SWELLING, 1, ring="r0001")
    other = looked("2026-02-02", WELL, 2, ring="r0002")
    assert len(alerts(bad, other)) == 1
    assert alerts(bad, looked("2026-02-03", WELL, 3, ring="r0001")) == ()
    assert len(alerts(looked("2026-01-01", WELL, 4, ring="r0001"), bad)) == 1


def test_alert__is_not_ended_by_a_milder_finding():
    bad = looked("2026-02-01", SWELLING, 1, ring="r0001")
    milder = looked(
        "2026-02-03", "leg under the ring: dead skin or dirt", 2, ring="r0001"
    )
    assert [a.event for a in alerts(bad, milder)] == ["e0001"]


def test_alert__ends_with_the_ring():
    bad = looked("2026-02-01", SWELLING, 1, ring="r0001")
    off = a_ring("r0001", bird="b0001", state="removed", removed=a_date("2026-02-02"))
    assert alerts(bad, rings=[off]) == ()


def test_alert__tells_that_a_vet_saw_it_and_stands_on():
    bad = looked("2026-02-01", SWELLING, 1, ring="r0001")
    vet = an_event("e0002", kind=EventKind.EXAMINED, on="2026-02-01", text="Salve.")
    (alert,) = alerts(bad, vet)
    assert alert.seen_by_vet
    assert not alert.is_for_today
    assert "Seen by a vet 2026-02-01" in alert.said
