"""The printed guide and letters: whole, on their pages, with nothing else in them."""

import datetime as dt
import re
import zlib

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
    """All text of a PDF's pages, in the order it was drawn."""
    streams = re.findall(rb"stream\n(.*?)\nendstream", pdf, re.DOTALL)
    drawn = b"".join(zlib.decompress(stream) for stream in streams)
    shown = re.findall(rb"\(((?:\\.|[^\\()])*)\) ?T?j?", drawn)
    text = b" ".join(shown).decode("latin-1")
    return re.sub(r"\s+", " ", text.replace("\\(", "(").replace("\\)", ")"))


def pages_of(pdf):
    return len(re.findall(rb"/Type /Page\b", pdf))


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


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("“Žofie” – 12 €", '"Zofie" - 12 EUR'),
        ("Łódź, Søren, Zoë", "Lódz, Søren, Zoë"),
        ("🦜 漢", "? ?"),
        ("a\x1b[31m\tb\nc", "a[31m b\nc"),
    ],
)
def test_printable__keeps_what_it_can(text, printed):
    assert printable(text) == printed
