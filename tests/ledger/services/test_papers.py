"""What the papers of a bird say, and where they are written."""

import datetime as dt
from dataclasses import replace

import cv2
import numpy as np
import pypdfium2
import pytest
from builders import a_bird, a_chip, a_date, a_person, a_ring, an_event

from ledger.domain import EventKind, FlockSettings, RingState
from ledger.domain.change import Put
from ledger.errors import LedgerError, NotFoundError
from ledger.reports.paper import as_text
from ledger.services import book, papers
from ledger.services.identity import chain_gaps, chain_in_words, identity_text
from ledger.services.papers import PaperKind
from ledger.services.removal import RemovalDraft, Successor, take_off
from ledger.store import open_store

TODAY = dt.date(2026, 1, 15)
DRAFT = RemovalDraft(
    "b0003",
    a_date("2026-01-10"),
    "r0001",
    reason="leg swollen under it",
    vet="Dr Una Keogh",
    handlers=("Nora Byrne",),
    ring_kept="envelope 7",
    weight_g=410.0,
    chip="372098100000001",
    site="left pectoral muscle",
    scan="372098100000001",
    rule="BArtSchV",
)


@pytest.fixture
def ledger(tmp_path):
    things = [
        FlockSettings(name="Tidewrack Aviaries", keeper="h0002", vet="h0001"),
        a_person("h0001", "Una Keogh", role="vet", phone="+353 1 555 0100"),
        a_person("h0002", "Nora Byrne", role="keeper", phone="+353 1 555 0101"),
        a_bird("b0001", "Rook", sex="cock", health_flags=("gout",)),
        a_ring("r0009", "IE TWK / 12 0003", bird="b0001"),
        a_bird(
            "b0003",
            "Pip",
            sex="hen",
            species="Psittacus erithacus",
            hatched="2019-04-12",
            sire="b0001",
            alerts=("Never hold by the left wing",),
            allergies=("peanuts",),
            feeding="Pellets, Gemüse",
            rearing="by its parents",
        ),
        a_ring("r0001", "IE TWK / 19 0174", bird="b0003", put_on="2019-05-02"),
        an_event("e0001", "b0003", EventKind.EXAMINED, "2024", text="Sinus clear."),
        an_event("e0002", "b0003", EventKind.RING_CHECKED, "2025", text="All well."),
        an_event("e0003", "b0003", EventKind.REPORTED, "2025", text="Sings.", by="Ida"),
    ]
    with open_store(tmp_path / "ledger", create=True) as store:
        store.commit([Put(thing) for thing in things], author="test", what="set up")
    with book.open_ledger(tmp_path / "ledger") as opened:
        yield opened


def said(ledger, kind, bird_id="b0003"):
    paper, _ = papers.paper_of(ledger, bird_id, kind, TODAY)
    return " ".join(as_text(paper).split())


def test_removal__names_ring_hands_reason_chip_and_chain(ledger):
    take_off(ledger, DRAFT, "Nora Byrne")
    paper = said(ledger, PaperKind.REMOVAL)
    for words in (
        "RING REMOVED: PIP",
        "IE TWK / 19 0174",
        "leg swollen under it",
        "Dr Una Keogh",
        "Hands and eyes: Nora Byrne",
        "envelope 7",
        "410 g",
        "372098100000001",
        "372 is Ireland",
        "left pectoral muscle",
        "the scanner showed 372098100000001",
        "BArtSchV s.13(1)",
        "The chain is unbroken",
        "Sire: Rook (ring “IE TWK / 12 0003”)",
        "Signature of Dr Una Keogh",
    ):
        assert words in paper


def test_removal__of_a_chip_alone(ledger):
    take_off(ledger, replace(DRAFT, ring=None), "Nora Byrne")
    paper = said(ledger, PaperKind.REMOVAL)
    assert "CHIP PUT IN: PIP" in paper
    assert "The ring that came off" not in paper


def test_removal__nothing_in_its_place_breaks_the_chain(ledger):
    take_off(ledger, replace(DRAFT, successor=Successor.NOTHING), "Nora Byrne")
    paper = said(ledger, PaperKind.REMOVAL)
    assert "Chip or ring is to follow" in paper
    assert "Broken here: Ring “IE TWK / 19 0174” is removed" in paper
    assert "Pip carries no ring and no chip now" in paper


def test_removal__is_asked_for_of_a_bird_that_kept_its_ring(ledger):
    with pytest.raises(NotFoundError, match="No ring came off Pip"):
        papers.paper_of(ledger, "b0003", PaperKind.REMOVAL, TODAY)
    assert papers.kinds_for(ledger.flock, "b0003") == (PaperKind.PLACEMENT,)


def test_placement__travels_with_all_the_next_keeper_needs(ledger):
    book.place_bird(
        ledger,
        "b0003",
        a_person("", "Tom Quill", phone="+353 1 555 0199"),
        TODAY,
        "Nora Byrne",
        text="Not to be sold on without a word.",
    )
    paper = said(ledger, PaperKind.PLACEMENT)
    for words in (
        "Never hold by the left wing",
        "Reacts to: peanuts",
        "Tom Quill, +353 1 555 0199",
        "Not to be sold on",
        "IE TWK / 19 0174 (closed, left leg)",
        "Hatched: 2019-04-12",
        "Its sire: gout",
        "examined: Sinus clear.",
        "Ring check: 2025: All well.",
        "reported: Sings. [Ida]",
        "Feeding: Pellets, Gemüse",
        "Rearing: by its parents",
        "Breeder: Nora Byrne, +353 1 555 0101",
        "Vet so far: Una Keogh",
        "Do not cut it off",
        "Signature of Tom Quill, who takes it",
        "Once a week look",
        "Today, to an avian vet",
        "FLOCK LEDGER b0003",
    ):
        assert words in paper


def test_placement__can_be_printed_before_it_leaves(ledger):
    paper, name = papers.paper_of(ledger, "b0001", PaperKind.PLACEMENT, TODAY)
    assert name == "placement-b0001-draft.pdf"
    assert "Goes to: ____" in " ".join(as_text(paper).split())


def test_kinds__the_newest_act_comes_first(ledger):
    take_off(ledger, DRAFT, "Nora Byrne")
    assert papers.kinds_for(ledger.flock, "b0003")[0] is PaperKind.REMOVAL
    book.place_bird(ledger, "b0003", "h0001", TODAY, "Nora Byrne")
    assert papers.kinds_for(ledger.flock, "b0003")[0] is PaperKind.PLACEMENT


def test_print__lies_beside_the_ledger_and_can_be_printed_anew(ledger):
    take_off(ledger, DRAFT, "Nora Byrne")
    path = papers.print_paper(ledger, "b0003", PaperKind.REMOVAL, TODAY)
    assert path == ledger.folder / "papers" / "removal-b0003-x0001.pdf"
    path.write_bytes(b"spoiled")
    assert papers.print_paper(ledger, "b0003", PaperKind.REMOVAL, TODAY) == path
    with pypdfium2.PdfDocument(path) as pdf:
        assert len(pdf) == 1


def test_print__what_cannot_be_written_is_said(ledger, tmp_path):
    nowhere = tmp_path / "no such folder" / "paper.pdf"
    with pytest.raises(LedgerError, match="cannot be written") as refused:
        papers.print_paper(ledger, "b0003", PaperKind.PLACEMENT, TODAY, nowhere)
    assert "print it again" in refused.value.hint


def test_chain__each_mark_leads_to_the_next(ledger):
    take_off(ledger, DRAFT, "Nora Byrne")
    ring, chip = chain_in_words(ledger.flock, "b0003")
    assert ring == (
        "Ring “IE TWK / 19 0174” (closed, left leg), put on 2019-05-02. Taken off "
        "2026-01-10 by Dr Una Keogh: leg swollen under it. Kept: envelope 7. Chip "
        "372098100000001 took its place."
    )
    assert chip.startswith("Chip 372098100000001 (left pectoral muscle), put in 2026")
    assert chip.endswith("The scanner showed 372098100000001. Carried now.")
    assert not chain_gaps(ledger.flock, "b0003")


def test_chain__a_lost_ring_is_a_gap_unless_another_mark_was_on(ledger):
    lost = replace(
        ledger.flock.rings["r0001"], state=RingState.LOST, removed=a_date("2024")
    )
    ledger.commit([Put(lost)], author="test", what="lost")
    assert "is lost, and nothing is joined" in chain_gaps(ledger.flock, "b0003")[0]
    chip = a_chip("c0001", bird="b0003", implanted="2020")
    ledger.commit([Put(chip)], author="test", what="had a chip all along")
    assert not chain_gaps(ledger.flock, "b0003")


def test_identity_text__never_grows_too_fine_for_a_phone(ledger):
    rings = [
        a_ring(
            f"r{n:04}",
            f"IE TWK / 20 {n:04}",
            bird="b0003",
            state=RingState.REMOVED,
            removed_reason="worn",
            removed=str(2000 + n % 20),
        )
        for n in range(100, 130)
    ]
    ledger.commit([Put(ring) for ring in rings], author="test", what="many")
    text = identity_text(ledger.flock, "b0003")
    assert len(text.encode()) <= 400
    assert text.startswith("FLOCK LEDGER b0003\nPip\nPsittacus erithacus, hen")
    assert "older marks" in text
    assert text.endswith("Nora Byrne, +353 1 555 0101")


def test_removal__with_long_notes_is_one_page_whose_code_a_phone_reads(ledger):
    """PDFium draws the page, OpenCV's QRCodeDetector reads the code."""
    pip = replace(ledger.flock.birds["b0003"], name="Žofie")
    book.change_bird(ledger, pip, "Nora Byrne")
    notes = "Größe geprüft, Ring 7. " * 220
    assert len(notes) > 5000
    take_off(ledger, replace(DRAFT, notes=notes), "Nora Byrne")
    path = papers.print_paper(ledger, "b0003", PaperKind.REMOVAL, TODAY)
    with pypdfium2.PdfDocument(path) as pdf:
        assert len(pdf) == 1
        page = pdf[0]
        text = page.get_textpage()
        said = "".join(text.get_text_bounded().split())
        text.close()
        picture = np.array(page.render(scale=4).to_pil())
        page.close()
    assert "".join(notes.split()) in said
    read, _, _ = cv2.QRCodeDetector().detectAndDecode(picture)
    assert read == identity_text(ledger.flock, "b0003")
    assert "chip 372098100000001" in read
    assert "Žofie" in read
