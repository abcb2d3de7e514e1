"""Someone asks about a ring: what is kept, who decides, and what is never told."""

import re

import pypdfium2
import pytest
from builders import TODAY, a_bird, a_chip, a_date, a_person, a_ring

from ledger.domain import Contact, Enquiry, EventKind, FlockSettings, Put, Status
from ledger.errors import LedgerError, NotFoundError, RuleError, StoreReadOnlyError
from ledger.services import book, enquiries, enquiry_bird, placing
from ledger.services.enquiry_letter import (
    draft_letter,
    letter_text,
    told_of_us,
    write_letter,
)

ASKED = Enquiry(
    "",
    a_date("2026-01-10"),
    "Orla Fenn",
    "orla@example.org",
    "Whose is it?",
    "ie twk 19 0174",
    species="Grey Parrot",
)


@pytest.fixture
def ledger(tmp_path):
    things = [
        FlockSettings(name="Tidewrack Aviaries", flock_code="TWK", keeper="h0002"),
        a_person("h0002", "Nora Byrne", role="keeper", phone="+353 1 555 0101"),
        a_bird("b0001", "Rook", sex="cock", location="Aviary 2"),
        a_bird(
            "b0003",
            "Pip",
            species="Grey Parrot",
            sire="b0001",
            location="Aviary 3",
            hatched="2019-04-12",
            alerts=("Never hold by the left wing",),
            health_flags=("feather plucking",),
        ),
        a_ring("r0003", "IE TWK / 19 0174", bird="b0003"),
        a_ring("r0001", "IE TWK / 12 0003", bird="b0001"),
        a_chip("c0001", "372098100000001", bird="b0003"),
    ]
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        opened.commit([Put(thing) for thing in things], author="test", what="set up")
        yield opened


@pytest.fixture
def asked(ledger):
    return enquiries.open_enquiry(ledger, ASKED, "Nora")


@pytest.fixture
def ours(ledger, asked):
    return enquiry_bird.link_bird(ledger, asked.id, "b0003", TODAY, "Nora")


def kept(ledger, enquiry_id="q0001"):
    with book.open_ledger(ledger.folder, read_only=True) as again:
        return again.flock.enquiries[enquiry_id]


def text_of(path):
    """What stands in a file, a PDF as another program reads it."""
    if path.suffix == ".txt":
        return path.read_text(encoding="utf-8")
    with pypdfium2.PdfDocument(path) as pdf:
        return "".join(page.get_textpage().get_text_bounded() for page in pdf)


# --- the log ---


def test_open__keeps_who_asks_and_the_photos(ledger, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    new = enquiries.open_enquiry(ledger, ASKED, "Nora", photos=[photo])
    found = kept(ledger, new.id)
    assert (found.asker, found.species) == ("Orla Fenn", "Grey Parrot")
    assert [ledger.flock.photos[p].file_name for p in found.photos] == ["ring.jpg"]
    assert found.bird is None  # it is ours only when the keeper says so
    assert found.contact is Contact.UNDECIDED


def test_open__with_nothing_said_is_refused(ledger):
    with pytest.raises(RuleError, match="needs someone who asks"):
        enquiries.open_enquiry(ledger, Enquiry("", species="Grey Parrot"), "Nora")
    assert not ledger.flock.enquiries


def test_open__in_a_ledger_that_is_only_looked_at(ledger):
    with (
        book.open_ledger(ledger.folder, read_only=True) as looking,
        pytest.raises(StoreReadOnlyError),
    ):
        enquiries.open_enquiry(looking, ASKED, "Nora")


def test_list__open_ones_first_then_the_newest(ledger):
    for _ in range(3):
        enquiries.open_enquiry(ledger, ASKED, "Nora")
    enquiries.mark_answered(ledger, "q0003", "Hello.", TODAY, "Nora")
    lines = enquiries.listed(ledger.flock)
    assert [(line.id, line.is_open) for line in lines] == [
        ("q0002", True),
        ("q0001", True),
        ("q0003", False),
    ]
    assert lines[-1].stands == f"answered {TODAY}"


def test_unknown_enquiry__is_told(ledger):
    with pytest.raises(NotFoundError, match="no enquiry q0009"):
        enquiries.enquiry_of(ledger.flock, "q0009")


def test_birds_it_may_be__are_for_the_keeper(ledger, asked):
    found = enquiry_bird.birds_it_may_be(ledger.flock, asked)
    assert found.candidates[0].bird == "b0003"


# --- one of ours ---


def test_link__notes_it_in_the_birds_life_and_decides_nothing(ledger, ours):
    assert ours.bird == "b0003"
    assert ours.contact is Contact.UNDECIDED
    event = ledger.flock.events[ours.event]
    assert (event.bird, event.kind) == ("b0003", EventKind.NOTE)
    assert "q0001" in event.text
    assert ledger.flock.birds["b0003"].status is Status.ALIVE
    assert ledger.flock.enquiries_of("b0003") == (ours,)
    assert enquiries.stands(ours) == "ours: decide on contact"


def test_link__to_another_bird_takes_note_and_decision_along(ledger, ours):
    enquiry_bird.decide_contact(ledger, ours.id, Contact.YES, "Nora")
    other = enquiry_bird.link_bird(ledger, ours.id, "b0001", TODAY, "Nora")
    assert other.contact is Contact.UNDECIDED
    assert ledger.flock.events_of("b0003") == ()
    assert len(ledger.flock.events_of("b0001")) == 1


def test_unlink__takes_the_note_out(ledger, ours):
    free = enquiry_bird.unlink_bird(ledger, ours.id, "Nora")
    assert (free.bird, free.event) == (None, None)
    assert ledger.flock.events_of("b0003") == ()


def test_decide__needs_a_bird_of_ours(ledger, asked):
    with pytest.raises(RuleError, match="none of our birds"):
        enquiry_bird.decide_contact(ledger, asked.id, Contact.YES, "Nora")


def test_undo__takes_a_link_back_whole(ledger, ours):
    from ledger.services import history

    history.undo(ledger, "Nora")
    assert ledger.flock.enquiries["q0001"].bird is None
    assert ledger.flock.events_of("b0003") == ()


# --- a bird that comes back ---


def test_came_back__ends_the_placement_only_when_the_keeper_says_so(ledger, asked):
    placing.place_bird(
        ledger, "b0003", a_person("", "Orla Fenn"), a_date("2020"), "Nora"
    )
    linked = enquiry_bird.link_bird(ledger, asked.id, "b0003", TODAY, "Nora")
    (away,) = ledger.flock.placements_of("b0003")
    assert away.returned is None
    enquiry_bird.came_back(ledger, linked.id, TODAY, "Nora", location="Aviary 3")
    (away,) = ledger.flock.placements_of("b0003")
    bird = ledger.flock.birds["b0003"]
    assert away.returned is not None
    assert (bird.status, bird.location) == (Status.ALIVE, "Aviary 3")
    event = ledger.flock.events[kept(ledger).event]
    assert (event.kind, event.text) == (EventKind.RETURNED, "By enquiry q0001")


def test_came_back__one_that_was_lost_is_found(ledger, ours):
    book.record_event(ledger, "b0003", EventKind.LOST, TODAY, "Nora")
    enquiry_bird.came_back(ledger, ours.id, TODAY, "Nora")
    assert ledger.flock.birds["b0003"].status is Status.ALIVE
    assert ledger.flock.events[kept(ledger).event].kind is EventKind.FOUND


def test_came_back__one_that_never_left(ledger, ours):
    with pytest.raises(RuleError, match="cannot come back"):
        enquiry_bird.came_back(ledger, ours.id, TODAY, "Nora")


def test_came_back__of_no_bird(ledger, asked):
    with pytest.raises(RuleError, match="none of our birds"):
        enquiry_bird.came_back(ledger, asked.id, TODAY, "Nora")


def test_unlink__of_a_bird_that_came_back_is_refused(ledger, ours):
    book.record_event(ledger, "b0003", EventKind.LOST, TODAY, "Nora")
    enquiry_bird.came_back(ledger, ours.id, TODAY, "Nora")
    with pytest.raises(RuleError, match="entered as found"):
        enquiry_bird.unlink_bird(ledger, ours.id, "Nora")


# --- the letter ---

OURS = ("Pip", "Rook", "Tidewrack", "Nora", "555", "Aviary", "left wing", "plucking")


@pytest.mark.parametrize("contact", [Contact.UNDECIDED, Contact.NO])
def test_letter__tells_nothing_of_ours_without_a_yes(ledger, ours, contact):
    enquiry_bird.decide_contact(ledger, ours.id, contact, "Nora")
    text = letter_text(ledger.flock, ledger.flock.enquiries[ours.id], TODAY)
    assert not [word for word in OURS if word in text]
    assert "Orla Fenn" in text
    assert "avian vet today" in text


def test_letter__with_a_yes_says_who_it_is_and_how_to_reach_us(ledger, ours):
    yes = enquiry_bird.decide_contact(ledger, ours.id, Contact.YES, "Nora")
    text = letter_text(ledger.flock, yes, TODAY)
    for words in ("Pip", "Tidewrack Aviaries", "Nora Byrne", "+353 1 555 0101"):
        assert words in text
    for words in ("Rook", "Aviary 3", "left wing", "plucking", "b0003"):
        assert words not in text


def test_letter__own_schemes_that_name_the_keeper_stay_at_home(ledger, asked):
    from ledger import paths

    paths.own_schemes_file().write_text(
        "scheme,form,meaning,ask\n"
        "Tidewrack Aviaries,IE TWK <yy> <serial>,ring of Nora Byrne,call Nora\n",
        encoding="utf-8",
    )
    assert "Tidewrack" in enquiries.explained(asked, TODAY).issuer
    assert "Tidewrack" not in draft_letter(ledger.flock, asked, TODAY)


@pytest.mark.parametrize(
    "words",
    [
        "It is Pip.",
        "He lives in aviary 3.",
        "Call +353 1 555 0101",
        "ROOK",
        "Nora",
        "from Tidewrack",
        "ring IE TWK / 12 0003",
        "chip 372098100000001",
    ],
)
def test_answer__that_tells_of_us_is_refused_until_there_is_a_yes(ledger, ours, words):
    with pytest.raises(RuleError, match="which is of your flock"):
        enquiries.save_answer(ledger, ours.id, words, "Nora")
    with pytest.raises(RuleError):
        enquiries.mark_answered(ledger, ours.id, words, TODAY, "Nora")
    assert kept(ledger).answer == ""
    enquiry_bird.decide_contact(ledger, ours.id, Contact.YES, "Nora")
    enquiries.save_answer(ledger, ours.id, words, "Nora")
    assert kept(ledger).answer == words


def test_answer__to_a_stranger_about_no_bird_of_ours_is_watched_too(ledger, asked):
    with pytest.raises(RuleError):
        enquiries.save_answer(ledger, asked.id, "Our Pip has such a ring.", "Nora")


def test_answer__words_of_the_asker_are_theirs(ledger):
    asking = enquiries.open_enquiry(
        ledger, Enquiry("", asker="Pip Rook", inscription="HBQ 21 118"), "Nora"
    )
    enquiries.save_answer(ledger, asking.id, "Hello Pip Rook, thank you.", "Nora")
    assert told_of_us(ledger.flock, asking, "Hello Pip Rook of Aviary 3") == (
        "Aviary 3",
    )


def test_decide__against_contact_drops_a_draft_that_tells(ledger, ours):
    enquiry_bird.decide_contact(ledger, ours.id, Contact.YES, "Nora")
    enquiries.save_answer(ledger, ours.id, "It is Pip.", "Nora")
    no = enquiry_bird.decide_contact(ledger, ours.id, Contact.NO, "Nora")
    assert no.answer == ""
    enquiries.save_answer(ledger, ours.id, "It is a ring.", "Nora")
    assert enquiry_bird.decide_contact(ledger, ours.id, Contact.NO, "Nora").answer


def test_answer__may_speak_of_aviaries_and_of_the_askers_own_ring(ledger, ours):
    text = "Your TWK ring, IE TWK 19 0174, is one that breeders' aviaries use."
    assert told_of_us(ledger.flock, ours, text) == ()


def test_unlink__after_the_letter_was_sent(ledger, ours):
    enquiry_bird.decide_contact(ledger, ours.id, Contact.YES, "Nora")
    enquiries.mark_answered(ledger, ours.id, "It is Pip.", TODAY, "Nora")
    free = enquiry_bird.unlink_bird(ledger, ours.id, "Nora")
    assert (free.bird, free.answer) == (None, "It is Pip.")
    with pytest.raises(RuleError):  # but it is not sent again
        write_letter(ledger.flock, ours.id, ledger.folder / "a.pdf", TODAY)


def test_unlink__with_a_letter_that_tells_is_refused(ledger, ours):
    enquiry_bird.decide_contact(ledger, ours.id, Contact.YES, "Nora")
    enquiries.save_answer(ledger, ours.id, "It is Pip.", "Nora")
    with pytest.raises(RuleError, match="of your flock"):
        enquiry_bird.unlink_bird(ledger, ours.id, "Nora")


@pytest.mark.parametrize("name", ["letter.txt", "letter.pdf"])
def test_letter__is_written_to_a_file(ledger, asked, tmp_path, name):
    path = tmp_path / name
    write_letter(ledger.flock, asked.id, path, TODAY)
    text = text_of(path)
    assert "Hello Orla Fenn" in text
    assert not [word for word in OURS if word in text]


def test_letter__that_tells_is_not_written(ledger, ours, tmp_path):
    with pytest.raises(RuleError):
        write_letter(ledger.flock, ours.id, tmp_path / "a.pdf", TODAY, "It is Pip.")
    assert not list(tmp_path.glob("a.*"))


def test_letter__where_nothing_can_be_written(ledger, asked, tmp_path):
    with pytest.raises(LedgerError, match="could not be written"):
        write_letter(ledger.flock, asked.id, tmp_path / "no" / "a.txt", TODAY)


def test_letter__with_the_guide_where_nothing_can_be_read(ledger):
    blank = Enquiry("", asker="Orla Fenn", inscription="♥")
    assert "How to photograph a ring" in draft_letter(ledger.flock, blank, TODAY)
    asked = draft_letter(ledger.flock, ASKED, TODAY)
    assert "How to photograph a ring" not in asked
    wanted = draft_letter(ledger.flock, ASKED, TODAY, with_guide=True)
    assert "How to photograph a ring" in wanted


def test_letter__takes_any_text(ledger):
    odd = Enquiry("", asker="[/x] [bold] 🦜", question="\x1b[31m", inscription="[/x]")
    text = draft_letter(ledger.flock, odd, TODAY)
    assert re.match(r"Hello \[/x\] \[bold\] 🦜,", text)
