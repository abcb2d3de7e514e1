"""The stages as pictures, and the reader's own command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import cv2
import numpy as np
import pytest
from drawn_cylinder import Scene

import ocr
from ocr.__main__ import main
from ocr.errors import NotAPictureError, OcrError
from ocr.reading import Glyph, Line, PhotoReading, Reading
from ocr.steps import NoSteps, StepWriter

if TYPE_CHECKING:
    from pathlib import Path


def shown(path: Path) -> np.ndarray:
    return cv2.imdecode(np.frombuffer(path.read_bytes(), np.uint8), cv2.IMREAD_COLOR)


def test_write__numbered_in_order(tmp_path: Path) -> None:
    steps = StepWriter(tmp_path / "Schritte für Pip")
    steps.write("photo", np.full((4, 5, 3), 7, np.uint8))
    steps.write("face map", np.full((4, 5), 0.5, np.float32))
    steps.write("blob / border?", np.ones((4, 5), np.bool_))
    files = sorted((tmp_path / "Schritte für Pip").iterdir())
    assert [f.name for f in files] == [
        "01-photo.png",
        "02-face-map.png",
        "03-blob-border.png",
    ]
    assert [int(shown(f)[0, 0, 0]) for f in files] == [7, 127, 255]


def test_of__each_photo_its_own_folder(tmp_path: Path) -> None:
    steps = StepWriter(tmp_path)
    for name in ("a/leg [1].jpg", "b/leg [1].jpg"):
        steps.of(name).write("photo", np.zeros((2, 2, 3), np.uint8))
    found = {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*.png")}
    assert found == {"leg-1/01-photo.png", "leg-1-2/01-photo.png"}


def test_write_pose__the_outline_is_drawn_where_the_ring_is(tmp_path: Path) -> None:
    scene = Scene(lean_deg=15)
    before = np.zeros((960, 1280, 3), np.uint8)
    StepWriter(tmp_path).write_pose("ring", before, scene.pose)
    drawn = shown(tmp_path / "01-ring.png")
    for x, y in scene.pixels(np.array([-30.0, 20.0]), scene.height_mm / 2):
        assert drawn[round(y) - 1 : round(y) + 2, round(x) - 1 : round(x) + 2].any()
    assert not drawn[:100].any()
    assert not before.any()


def test_write_pose__no_ring_leaves_the_photo_as_it_is(tmp_path: Path) -> None:
    photo = np.full((8, 8, 3), 50, np.uint8)
    StepWriter(tmp_path).write_pose("ring", photo, None)
    assert np.array_equal(shown(tmp_path / "01-ring.png"), photo)


def test_write_boxes__enlarged_with_a_box(tmp_path: Path) -> None:
    strip = np.zeros((100, 150, 3), np.uint8)
    StepWriter(tmp_path).write_boxes("letters", strip, [(75, 50, 20, 30, "A")])
    drawn = shown(tmp_path / "01-letters.png")
    assert drawn.shape == (400, 600, 3)
    assert drawn[200, 65 * 4].any()
    assert not drawn[200, 300].any()


def test_writer__a_folder_that_cannot_be(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("not a folder")
    with pytest.raises(OcrError, match=r"notes\.txt") as caught:
        StepWriter(file / "steps")
    assert "--steps" in caught.value.hint


def test_no_steps__writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    steps = NoSteps().of("a.jpg")
    picture = np.zeros((4, 4, 3), np.uint8)
    steps.write("photo", picture)
    steps.write_pose("ring", picture, Scene().pose)
    steps.write_boxes("letters", picture, [(1, 1, 1, 1, "A")])
    assert list(tmp_path.iterdir()) == []


def reading(*, found: bool = True, text: str = "TWK 24", sure: float = 0.9) -> Reading:
    glyphs = tuple(
        Glyph(c, sure, gap_before=text[max(0, i - 1)] == " ")
        for i, c in enumerate(text)
        if c != " "
    )
    lines = (Line(glyphs),) if glyphs else ()
    photo = PhotoReading("a.jpg", found, lines=lines, doubts=("Third letter K or X.",))
    confidence = sure ** len(glyphs) if glyphs else 0.0
    return Reading((photo,), lines, confidence, colour="blue", closure="closed")


@pytest.fixture
def says(monkeypatch: pytest.MonkeyPatch):
    """Make the reader answer so, or fail so."""

    def answer(outcome: Reading | OcrError) -> None:
        def read_ring(paths, *, steps=None):
            if isinstance(outcome, OcrError):
                raise outcome
            return outcome

        monkeypatch.setattr(ocr, "read_ring", read_ring)

    return answer


def test_main__lines_confidence_doubts(says, capsys) -> None:
    says(reading())
    assert main(["a.jpg"]) == 0
    out = capsys.readouterr().out
    assert "TWK 24" in out
    assert "59 %" in out  # 0.9 to the fifth
    assert "blue, closed" in out
    assert "Third letter K or X." in out


def test_main__json_is_the_published_form(says, capsys) -> None:
    says(reading())
    assert main(["a.jpg", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == reading().as_json()


@pytest.mark.parametrize(
    ("outcome", "says_so"),
    [
        (reading(found=False, text=""), "No ring"),
        (reading(text=""), "no characters"),
        (reading(sure=0.6), "TWK"),
    ],
)
def test_main__a_finding_to_look_at(says, capsys, outcome, says_so: str) -> None:
    says(outcome)
    assert main(["a.jpg"]) == 1
    assert says_so in capsys.readouterr().out


def test_main__unusable_file_is_one_sentence_and_a_hint(says, capsys) -> None:
    says(NotAPictureError("The photo a.jpg is damaged or cut short."))
    assert main(["a.jpg"]) == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert streams.err.startswith("The photo a.jpg is damaged or cut short. Copy")
    assert "Traceback" not in streams.err


def test_main__steps_folder_that_cannot_be(says, capsys, tmp_path: Path) -> None:
    says(reading())
    (tmp_path / "x").write_text("")
    assert main(["a.jpg", "--steps", str(tmp_path / "x" / "y")]) == 2
    assert "cannot be written" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [[], ["--json"], ["a.jpg", "--nonsense"]])
def test_main__wrong_usage(arguments: list[str], capsys) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err
