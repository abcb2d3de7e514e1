"""Papers as PDF, read back by PDFium and OpenCV, which know nothing of their making.

Text is what PDFium extracts; the QR code is what OpenCV's QRCodeDetector reads from
the page as PDFium draws it.
"""

import cv2
import numpy as np
import pypdfium2
import pytest
from PIL import Image

from ledger.reports.lettering import is_rewritten, printable
from ledger.reports.paper import Paper, Part, as_plain, as_text
from ledger.reports.paper_pdf import REWRITTEN, write_pdf

CODE = (
    "FLOCK LEDGER b0003\nPip\nring IE TWK / 19 0174 closed removed 2026-01-10\n"
    "chip 372098100000001"
)


def a_paper(*parts, **fields):
    fields = {"code": CODE, "code_said": "Scan it.", "signatures": ("Vet",), **fields}
    return Paper("Ring removed: Pip", "Tidewrack Aviaries", parts, **fields)


def read_back(path):
    """Pages, all text with its breaks undone, and pictures of the pages."""
    with pypdfium2.PdfDocument(path) as pdf:
        pages = list(pdf)
        texts = []
        pictures = []
        for page in pages:
            text = page.get_textpage()
            texts.append(text.get_text_bounded())
            text.close()
            bitmap = page.render(scale=4)
            pictures.append(np.array(bitmap.to_pil()))
            page.close()
    return len(pages), "".join("".join(texts).split()), pictures


def packed(text):
    return "".join(text.split())


def test_pdf__qr_code_is_read_by_another_program(tmp_path):
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(Part("The bird", (("Name", "Pip"),))))
    _, _, pictures = read_back(path)
    said, corners, _ = cv2.QRCodeDetector().detectAndDecode(pictures[0])
    assert said == CODE
    assert corners is not None


def test_pdf__a_long_identity_is_still_read(tmp_path):
    code = "\n".join(f"ring IE TWK / {n:02} 01{n:02} closed" for n in range(14))[:400]
    assert len(code) == 400  # what `identity_text` holds to
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(code=code))
    _, _, pictures = read_back(path)
    assert cv2.QRCodeDetector().detectAndDecode(pictures[0])[0] == code


@pytest.mark.parametrize(
    "name",
    [
        "Žofie Größe, Łódź, Ærø – “Pip” ½ €",
        "Παπαγάλος",
        "Попугай Ґава",
        "თუთიყუში",
        "Vẹt xám",
    ],
)
def test_pdf__letters_stay_what_they_are(tmp_path, name):
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(Part("The bird", (("Name", name),))))
    _, text, _ = read_back(path)
    assert packed(name) in text
    assert "?" not in text
    assert packed(REWRITTEN) not in text


@pytest.mark.parametrize("name", ["ببغاء رمادي", "תוכי", "नमस्ते", "นกแก้ว"])
def test_pdf__joined_scripts_are_drawn_with_their_own_letters(tmp_path, name):
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(Part("The bird", (("Name", name),))))
    _, text, _ = read_back(path)
    assert set(packed(name)) <= set(text) | set("\u0300ؐ")
    assert "?" not in text
    assert not is_rewritten(name)


def test_pdf__other_scripts_are_written_in_latin_letters_and_it_is_said(tmp_path):
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(Part("The bird", (("Name", "鹦鹉 オウム 🦜"),))))
    _, text, _ = read_back(path)
    assert "YingWu" in text
    assert packed(REWRITTEN) in text
    assert "?" not in text


def test_pdf__no_text_is_cut_off(tmp_path):
    words = [f"word{n}" for n in range(700)]  # about 5,000 characters
    note = " ".join(words)
    assert len(note) > 5000
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(Part("Notes", (("", note),)), Part("Last", (("a", "z"),))))
    pages, text, _ = read_back(path)
    assert packed(note) in text
    assert text.endswith("PlaceanddateVet")
    assert pages == 1  # in smaller letters


def test_pdf__what_no_page_holds_goes_on_to_the_next(tmp_path):
    note = " ".join(f"word{n}" for n in range(4000))
    path = tmp_path / "paper.pdf"
    write_pdf(path, a_paper(Part("Notes", (("", note), ("Label", "x" * 5000)))))
    pages, text, _ = read_back(path)
    assert pages > 1
    assert packed(note) in text
    assert "x" * 5000 in text


def test_pdf__nothing_runs_over_the_edge(tmp_path):
    path = tmp_path / "paper.pdf"
    long = Paper(
        "T" * 300, "b" * 300, (Part("p", (("label " * 9, "w" * 400),)),), "c", "s"
    )
    write_pdf(path, long)
    _, text, pictures = read_back(path)
    assert "T" * 300 in text
    assert "b" * 300 in text
    edge = int(pictures[0].shape[1] * 8 / 210)  # 8 of 210 mm
    assert (pictures[0][:, :edge] == 255).all()
    assert (pictures[0][:, -edge:] == 255).all()


def test_pdf__shows_a_photo_and_passes_over_what_is_none(tmp_path):
    photo = tmp_path / "ring.jpg"
    Image.new("RGB", (2000, 1500), (200, 30, 30)).save(photo)
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"no picture")
    for picture, red in ((photo, True), (broken, False)):
        path = tmp_path / "paper.pdf"
        write_pdf(path, a_paper(picture=picture, picture_said="The ring"))
        _, text, pictures = read_back(path)
        seen = pictures[0].reshape(-1, 3).astype(int)
        assert (abs(seen - (200, 30, 30)).sum(axis=1) < 40).any() == red
        assert "Thering" in text


def test_text__says_all_and_markup_is_text():
    paper = a_paper(Part("Notes", (("Label", "a [/x] note\nof two lines"), ("", "y"))))
    said = as_text(paper)
    assert "a [/x] note\n" in said
    assert "of two lines" in said
    assert all(line in said for line in CODE.splitlines())
    assert as_plain(paper)["parts"][0]["lines"][0]["label"] == "Label"


def test_printable__keeps_breaks_and_drops_control_signs():
    assert printable("a\nb\tc\x1b[31m") == "a\nb c[31m"
