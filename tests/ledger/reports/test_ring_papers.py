"""The printed guide and letters: whole, on their pages, with nothing else in them."""

import datetime as dt
import re

import pypdfium2
import pytest

from ledger.errors import LedgerError
from ledger.reports.letter import write_pdf
from ledger.reports.photo_guide import write_pdf as write_guide
from ledger.reports.western import printable
from ledger.services.photo_guide import (
    STEPS,
    STOP,
    guide_lines,
    guide_markdown,
    print_guide,
)

TODAY = dt.date(2026, 11, 25)


def words_in(pdf):
    """All text of a PDF's pages, as another program reads it."""
    with pypdfium2.PdfDocument(pdf) as document:
        pages = [page.get_textpage().get_text_bounded() for page in document]
    return re.sub(r"\s+", " ", " ".join(pages))


def pages_of(pdf):
    with pypdfium2.PdfDocument(pdf) as document:
        return len(document)


def test_guide__fits_one_page_with_every_step(tmp_path):
    path = tmp_path / "guide.pdf"
    print_guide(path)
    pdf = path.read_bytes()
    said = words_in(pdf)
    assert pages_of(pdf) == 1
    for number, (title, sentences) in enumerate(STEPS, 1):
        assert f"{number}. {title}" in said
        assert sentences.split(".")[0][:25] in said
    assert STOP.split(".")[0] in said


def test_guide__names_no_flock(tmp_path):
    # It is handed to strangers.
    path = tmp_path / "guide.pdf"
    print_guide(path)
    assert "TWK" not in words_in(path.read_bytes())
    assert not re.search("TWK|Tidewrack", guide_markdown())


def test_guide__as_text_and_for_a_page():
    assert len(guide_lines()) == len(STEPS) + 2
    assert all(title in guide_markdown() for title, _ in STEPS)


def test_guide__has_six_fields(tmp_path):
    with pytest.raises(ValueError, match="6 fields, not 1"):
        write_guide(tmp_path / "a.pdf", "t", [("a", "b")], "stop")


def test_guide__where_nothing_can_be_written(tmp_path):
    with pytest.raises(LedgerError, match="could not be written"):
        print_guide(tmp_path / "no" / "guide.pdf")


def test_letter__long_ones_take_pages_and_lose_nothing(tmp_path):
    path = tmp_path / "letter.pdf"
    text = "\n\n".join(f"Paragraph {n} of many.\n- a point" for n in range(60))
    write_pdf(path, text, date=TODAY)
    pdf = path.read_bytes()
    assert pages_of(pdf) > 1
    said = words_in(pdf)
    assert all(f"Paragraph {n} of many." in said for n in range(60))
    assert "2026-11-25" in said


def test_letter__says_nothing_about_who_wrote_it(tmp_path):
    path = tmp_path / "letter.pdf"
    write_pdf(path, "Hello", date=TODAY)
    assert not re.search(rb"/(Author|Creator|Producer|Keywords)", path.read_bytes())


@pytest.mark.parametrize("name", ["Žofie Nováková", "Łukasz", "Ιωάννα", "Анна"])
def test_letter__keeps_the_askers_letters(tmp_path, name):
    path = tmp_path / "letter.pdf"
    write_pdf(path, f"Hello {name}, about “A 1”", date=TODAY)
    assert f"Hello {name}, about “A 1”" in words_in(path.read_bytes())


def test_letter__takes_signs_no_typeface_has(tmp_path):
    path = tmp_path / "letter.pdf"
    write_pdf(path, "Hello 🦜 \x1b[31m [/x] 鹦鹉", date=TODAY)
    said = words_in(path.read_bytes())
    assert "[31m [/x] YingWu" in said


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("“Žofie” – 12 €", '"Zofie" - 12 EUR'),
        ("Łódź, Søren, Zoë", "Lódz, Søren, Zoë"),
        ("🦜 漢", ":parrot: Han"),
        ("a\x1b[31m\tb\nc", "a[31m b\nc"),
    ],
)
def test_printable__in_letters_without_a_font(text, printed):
    assert printable(text) == printed
