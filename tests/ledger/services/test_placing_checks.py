"""What is said before a bird goes, and what a later owner tells."""

import datetime as dt

import pytest
from builders import a_bird, a_date, a_flock, a_person, a_ring, an_event

from ledger.domain import EventKind, Task
from ledger.domain.change import Put
from ledger.domain.people import Photo
from ledger.errors import RuleError
from ledger.services import book, placing
from ledger.services.card import emergency_card
from ledger.services.placing_checks import before_placing
from ledger.store import open_store

ON = a_date("2026-01-15")


def warned(*things, feeding="x", rearing="x"):
    said = before_placing(
        a_flock(*things), "b0001", ON, feeding=feeding, rearing=rearing
    )
    return " ".join(said)


GROWN = a_bird(hatched="2019", species="Psittacus erithacus")
RING = a_ring(bird="b0001")
SORE = an_event(
    kind=EventKind.RING_CHECKED,
    on="2026-01-10",
    ring="r0001",
    finding="leg under the ring: swelling",
)
PHOTO = Photo("f0001", "0" * 64, "ring.jpg", "b0001", "r0001")


def test_before__only_the_rules_of_the_place_where_all_is_well():
    said = warned(GROWN, RING, PHOTO)
    assert said.startswith("Rules on handing over")


@pytest.mark.parametrize(
    ("things", "said"),
    [
        # Grey parrots leave the nest after 80 days: HBW via Smeele et al. 2022.
        ((a_bird(hatched="2025-12-01", species="Psittacus erithacus"),), "not flown"),
        ((GROWN,), "carries no ring and no chip"),
        ((GROWN, a_ring(bird="b0001", trial=True)), "rings on trial"),
        ((GROWN, RING), "No photo of its ring"),
        ((GROWN, RING, SORE), "not well where its ring sits"),
        ((a_bird(hatched="2019", medication=("A",)), RING), "on medication: A"),
        (
            (GROWN, Task("t0001", "b0001", due=a_date("2026-02-01"), text="Weigh.")),
            "Still to be done by 2026-02-01: Weigh.",
        ),
    ],
)
def test_before__what_the_next_keeper_must_not_find_out_alone(things, said):
    assert said in warned(*things)


def test_before__what_they_are_not_told():
    assert "not told its feeding." in warned(GROWN, feeding=" ")


@pytest.fixture
def ledger(tmp_path):
    with open_store(tmp_path / "ledger", create=True) as store:
        store.commit(
            [Put(a_person("h0001", "Tom Quill")), Put(GROWN), Put(RING)],
            author="test",
            what="set up",
        )
    with book.open_ledger(tmp_path / "ledger") as opened:
        yield opened


def test_report__is_told_by_the_owner_and_stands_on_the_card(ledger, tmp_path):
    today = dt.date(2026, 1, 15)
    with pytest.raises(RuleError, match="does not live with someone else"):
        placing.owner_reports(ledger, "b0001", today, "Nora", text="x")
    book.place_bird(ledger, "b0001", "h0001", today, "Nora")
    with pytest.raises(RuleError, match="says nothing"):
        placing.owner_reports(ledger, "b0001", today, "Nora", text=" ")
    photo = tmp_path / "there.jpg"
    photo.write_bytes(b"a photo")
    event = placing.owner_reports(
        ledger, "b0001", today, "Nora", text="Moults.", weight_g=402, photos=(photo,)
    )
    assert event.by == "Tom Quill"
    card = emergency_card(ledger.flock, "b0001", today)
    assert card.notes[0].text == "Moults."
    assert card.weights[0].weight_g == 402
    assert len(ledger.flock.photos_of("b0001")) == 1
