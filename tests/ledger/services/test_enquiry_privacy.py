"""For every bird of the demo flock: a letter about its ring tells nothing of ours."""

import datetime as dt
import re
from pathlib import Path

import pytest

from ledger.domain import Contact, Enquiry, RingState
from ledger.services import book
from ledger.services.enquiry_letter import draft_letter, told_of_us

TODAY = dt.date(2026, 11, 25)
DEMO = Path(__file__).parents[3] / "demo_db"


@pytest.fixture(scope="module")
def flock():
    with book.open_ledger(DEMO, read_only=True) as ledger:
        yield ledger.flock


def ring_on(flock, bird):
    rings = flock.rings_of(bird.id)
    worn = [ring for ring in rings if ring.state is RingState.ON_BIRD]
    return (worn or list(rings) or [None])[0]


def ours(flock):
    """Everything that may not be told, gathered here without the program's own list."""
    for bird in flock.birds.values():
        yield from (bird.name, bird.id, bird.location, bird.feeding, bird.notes)
        yield from (*bird.alerts, *bird.medication, *bird.allergies)
        yield from bird.health_flags
    for person in flock.people.values():
        yield from (person.name, person.phone, person.email, person.address)
        yield from person.name.split()
    for event in flock.events.values():
        yield event.at
    for chip in flock.chips.values():
        yield chip.code
    yield flock.settings.name
    yield from flock.settings.name.split()


def test_no_letter__tells_a_name_a_place_another_bird_or_health(flock):
    words = {text for text in ours(flock) if len(text) > 2}
    # Trade words that happen to be part of a name stand in any letter on any ring.
    stranger = Enquiry("q1", asker="Zz", inscription="HBQ 21 118", species="Dodo")
    common = draft_letter(type(flock).of(), stranger, TODAY, with_guide=True)
    words = {text for text in words if not re.search(rf"\b{re.escape(text)}\b", common)}
    assert len(words) > 500
    looked_at = set()
    for bird in flock.birds.values():
        ring = ring_on(flock, bird)
        for contact in (Contact.UNDECIDED, Contact.NO):
            asked = Enquiry(
                "q0001",
                asker="Zz",
                inscription=ring.inscription if ring else "unread",
                species=bird.species,
                hatched=bird.hatched,
                bird=bird.id,
                contact=contact,
            )
            letter = draft_letter(flock, asked, TODAY, with_guide=True)
            lines = set(letter.replace(asked.inscription, "").splitlines())
            for line in lines - looked_at:
                told = [text for text in words if stands_in(text, line)]
                assert not told, f"{bird.id}: {told} in “{line}”"
            looked_at |= lines
    assert len(looked_at) > len(flock.birds)


def stands_in(text, line):
    """Whether it stands there as a word of its own."""
    return text in line and bool(re.search(rf"(?<!\w){re.escape(text)}(?!\w)", line))


def test_watch__finds_every_birds_name_and_place(flock):
    asked = Enquiry("q0001", asker="Zz", inscription="HBQ 21 118")
    birds = [bird for bird in flock.birds.values() if len(bird.name) > 2][::40]
    for bird in birds:
        said = f"It is {bird.name} from {bird.location}."
        assert bird.name in told_of_us(flock, asked, said), bird.name
