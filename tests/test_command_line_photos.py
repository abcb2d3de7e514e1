"""The command line on pictures: good ones, and everything that is none."""

import csv
import json
import shutil
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image, ImageFilter

from ledger.__main__ import main

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "demo_images"
STORE = ROOT / "demo_db"
DONE, LOOK = 0, 1

pytestmark = pytest.mark.tesseract


def run(capsys, *words):
    """Exit code, standard output and standard error of one command."""
    exit_code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return exit_code, out, err


def run_json(capsys, *words):
    exit_code, out, _ = run(capsys, *words, "--json")
    return exit_code, json.loads(out)


def column(name):
    """One column of the demo pictures' truth, by file."""
    with (PICTURES / "truth.csv").open(encoding="utf-8", newline="") as rows:
        return {row["file"]: row[name] for row in csv.DictReader(rows)}


def truth():
    """Inscription of each demo picture; empty where it shows no ring."""
    return column("inscription")


def bird_on(name):
    """Id of the bird whose ring a demo picture shows."""
    return column("bird")[name]


def a_picture(of):
    return PICTURES / next(name for name in sorted(truth()) if name.startswith(of))


RING = "r06_1"


# --- what is no picture ---


def huge_png():
    """A PNG of 60,000 x 60,000 pixels in a few bytes: only its head is true."""

    def chunk(kind, content):
        check = zlib.crc32(kind + content)
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", check)
        )

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def spoiled(kind):
    """The bytes of a file that cannot be read as a picture; None for no file."""
    whole = a_picture(RING).read_bytes()
    return {
        "missing": None,
        "empty": b"",
        "words": b"This is a letter, not a picture.\n" * 40,
        "cut off": whole[: len(whole) // 2],
        "huge": huge_png(),
    }[kind]


@pytest.mark.parametrize("command", ["read", "identify", "explain"])
@pytest.mark.parametrize("kind", ["missing", "empty", "words", "cut off", "huge"])
def test_file_that_is_no_picture__is_told_in_a_sentence(
    capsys, tmp_path, command, kind
):
    photo = tmp_path / "Graupapagei [rechts] für Žofie.jpg"
    content = spoiled(kind)
    if content is not None:
        photo.write_bytes(content)
    exit_code, out, err = run(capsys, command, photo, "--store", STORE)
    assert exit_code == LOOK
    assert out == ""
    sentence, hint = err.splitlines()
    assert photo.name in sentence
    assert hint.endswith(".")


def test_file_that_is_no_picture__answers_a_program_in_json(capsys, tmp_path):
    exit_code, answer = run_json(capsys, "read", tmp_path / "gone.jpg")
    assert exit_code == LOOK
    assert "gone.jpg" in answer["error"]


def test_folder_instead_of_a_photo__is_told(capsys, tmp_path):
    exit_code, _, err = run(capsys, "read", tmp_path)
    assert exit_code == LOOK
    assert tmp_path.name in err


def test_one_bad_photo_among_good_ones__is_named(capsys, tmp_path):
    exit_code, _, err = run(capsys, "read", a_picture(RING), tmp_path / "gone.jpg")
    assert exit_code == LOOK
    assert "gone.jpg" in err


# --- what shows no ring, or too little of it ---


@pytest.mark.parametrize("name", [name for name in truth() if not truth()[name]])
def test_no_ring__is_said_and_nothing_invented(capsys, name):
    exit_code, answer = run_json(capsys, "read", PICTURES / name)
    assert exit_code == LOOK
    assert answer["photos"][0]["ring_found"] is False
    assert answer["photos"][0]["outline"] == []
    assert answer["inscription"]["text"] == ""
    exit_code, answer = run_json(capsys, "identify", PICTURES / name, "--store", STORE)
    assert (exit_code, answer["verdict"]) == (LOOK, "no ring")
    assert answer["candidates"] == []


def test_blurred_ring__is_never_sure_of_a_wrong_bird(capsys, tmp_path):
    photo = tmp_path / "blurred.jpg"
    blur = ImageFilter.GaussianBlur(14)
    Image.open(a_picture(RING)).filter(blur).save(photo)
    exit_code, answer = run_json(capsys, "identify", photo, "--store", STORE)
    assert exit_code == LOOK
    assert answer["verdict"] != "sure"


def test_photos_of_two_rings__are_never_sure_of_a_third_bird(capsys, tmp_path):
    first, second = a_picture("r01_0"), a_picture("r04_1")
    both = Image.new("RGB", (2560, 960))
    for left, photo in ((0, first), (1280, second)):
        both.paste(Image.open(photo), (left, 0))
    both.save(tmp_path / "both.jpg")
    theirs = {bird_on(first.name), bird_on(second.name)}
    _, answer = run_json(capsys, "identify", tmp_path / "both.jpg", "--store", STORE)
    if answer["verdict"] == "sure":
        assert answer["candidates"][0]["bird"] in theirs
    exit_code, answer = run_json(capsys, "identify", first, second, "--store", STORE)
    assert (exit_code, answer["verdict"]) == (LOOK, "unsure")
    assert answer["reading"]["doubts"]


def test_picture_of_one_colour__shows_no_ring(capsys, tmp_path):
    photo = tmp_path / "grey.png"
    Image.new("RGB", (640, 480), (128, 128, 128)).save(photo)
    exit_code, answer = run_json(capsys, "read", photo)
    assert exit_code == LOOK
    assert answer["photos"][0]["ring_found"] is False


# --- what shows one ---


def test_read__json_has_the_published_form(capsys, tmp_path):
    photo = tmp_path / "Ring von [Jörg] & co.jpg"
    shutil.copy(a_picture(RING), photo)
    _, answer = run_json(capsys, "read", photo)
    assert set(answer) == {"photos", "inscription", "ring", "doubts"}
    (shown,) = answer["photos"]
    assert set(shown) == {
        "file",
        "ring_found",
        "outline",
        "lines",
        "confidence",
        "seconds",
        "doubts",
    }
    assert shown["file"].endswith(photo.name)
    assert shown["ring_found"] is True
    assert len(shown["outline"]) >= 4
    assert all(0 <= x <= 1280 and 0 <= y <= 960 for x, y in shown["outline"])
    assert set(answer["inscription"]) == {
        "lines",
        "text",
        "confidence",
        "closed_circle",
    }
    assert answer["ring"]["closure"] in ("closed", "split", "unsure")
    assert 0 <= answer["inscription"]["confidence"] <= 1


def test_read__prints_what_stands_on_the_ring(capsys):
    exit_code, out, _ = run(capsys, "read", a_picture(RING))
    assert exit_code in (DONE, LOOK)
    assert out.strip()


def test_explain__a_strangers_photo(capsys):
    _, out, _ = run(capsys, "explain", *sorted(PICTURES.glob("r11_*.jpg")))
    assert "cannot prove" in out or "does not prove" in out


def test_demo_store__is_only_read(capsys):
    before = {p.name: (p.stat().st_mtime_ns, p.stat().st_size) for p in STORE.iterdir()}
    run(capsys, "identify", a_picture(RING), "--store", STORE)
    after = {p.name: (p.stat().st_mtime_ns, p.stat().st_size) for p in STORE.iterdir()}
    assert after == before


@pytest.mark.slow
@pytest.mark.parametrize(
    "ring", sorted({name.split("_")[0] for name in truth() if name.startswith("r")})
)
def test_demo_pictures__never_sure_of_a_wrong_bird(capsys, ring):
    """The sets of photos of each ring, then the ledger's own word for its wearer."""
    photos = sorted(PICTURES.glob(f"{ring}_*.jpg"))
    inscription = truth()[photos[0].name]
    _, answer = run_json(capsys, "identify", *photos, "--store", STORE)
    if "TWK" not in inscription:
        assert answer["verdict"] != "sure"
        return
    bird = bird_on(photos[0].name)
    assert run_json(capsys, "card", inscription, "--store", STORE)[1]["bird"] == bird
    birds = [candidate["bird"] for candidate in answer["candidates"]]
    assert answer["verdict"] in ("sure", "unsure")
    if answer["verdict"] == "sure":
        assert birds[0] == bird
    else:
        assert bird in birds[:3]
