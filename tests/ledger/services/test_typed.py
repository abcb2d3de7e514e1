"""What terminals paste for a dropped file is common practice, no source."""

from pathlib import Path

import pytest

from ledger.services.typed import Folder, Fragment, Photos, Unclear, understand

AWKWARD = "Käfig 3 [neu] (2).jpg"


@pytest.fixture
def photo(tmp_path) -> Path:
    path = tmp_path / AWKWARD
    path.write_bytes(b"a photo")
    return path


@pytest.mark.parametrize(
    "paste",
    [
        lambda p: str(p),
        lambda p: f"'{p}'",
        lambda p: f'"{p}"',
        lambda p: f"'{p}' ",
        lambda p: f"& '{p}'",
        lambda p: f"{p}\n",
        lambda p: p.as_uri(),
        lambda p: p.as_uri().replace("file:///", "file://localhost/"),
        lambda p: "".join(f"\\{c}" if c in " []()" else c for c in str(p)),
    ],
)
def test_understand__one_dropped_photo(photo, paste):
    assert understand(paste(photo)) == Photos((photo,))


@pytest.mark.parametrize("between", [" ", "\n", "\r\n"])
@pytest.mark.parametrize("quote", ["'{}'", '"{}"'])
def test_understand__several_dropped_photos(photo, tmp_path, between, quote):
    other = tmp_path / "b.png"
    other.touch()
    words = between.join(quote.format(path) for path in (photo, other))
    assert understand(words) == Photos((photo, other))


def test_understand__bare_lines_with_spaces(photo, tmp_path):
    other = tmp_path / "the other one.heic"
    other.touch()
    assert understand(f"{photo}\n{other}") == Photos((photo, other))


def test_understand__same_photo_twice_is_one(photo):
    assert understand(f"'{photo}' '{photo}'") == Photos((photo,))


def test_understand__home_folder(photo, monkeypatch):
    monkeypatch.setenv("HOME", str(photo.parent))
    assert understand(f"~/{AWKWARD}") == Photos((photo,))


def test_understand__percent_sign_in_a_name(tmp_path):
    path = tmp_path / "100%25 #1.jpg"
    path.touch()
    assert understand(path.as_uri()) == Photos((path,))


def test_understand__missing_photo_is_no_fragment(tmp_path):
    meaning = understand(str(tmp_path / "gone.jpg"))
    assert isinstance(meaning, Unclear)
    assert "gone.jpg" in meaning.sentence


def test_understand__one_of_two_missing(photo, tmp_path):
    meaning = understand(f"'{photo}' '{tmp_path / 'gone.jpg'}'")
    assert isinstance(meaning, Unclear)
    assert "gone.jpg" in meaning.sentence


def test_understand__a_folder(tmp_path):
    assert understand(str(tmp_path)) == Folder(tmp_path)


@pytest.mark.parametrize(
    "words", ["TWK 2? 004*", "TWK 24 / 0173", "0173", "?4 01", "a.b-c", "[/x] [b]"]
)
def test_understand__fragment(words):
    assert understand(f" {words} ") == Fragment(words)


@pytest.mark.parametrize("words", ["", "   ", "\n"])
def test_understand__nothing_yet(words):
    assert understand(words) == Unclear()


@pytest.mark.parametrize("words", ["?", "* ?", "!!", "'/x", "/" + "x" * 5000, "/\0x"])
def test_understand__not_enough(words):
    meaning = understand(words)
    assert isinstance(meaning, Unclear)
    assert meaning.sentence
