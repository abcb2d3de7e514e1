"""Opening photos: formats, turns, bounds, damage."""

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from ocr.errors import NotAPictureError, PhotoMissingError, PictureTooLargeError
from ocr.photo import WORKING_SIDE_PX, open_photo

AWKWARD = "Käfig 3 [links] (Ära) 'ß'.{}"


def spotted(width: int = 80, height: int = 60, spot: tuple[int, int] = (60, 12)):
    """Grey with one red spot, 8 px across."""
    pixels = np.full((height, width, 3), 90, np.uint8)
    x, y = spot
    pixels[y - 4 : y + 4, x - 4 : x + 4] = (250, 10, 10)
    return Image.fromarray(pixels)


def spot_xy(bgr: np.ndarray) -> tuple[float, float]:
    red = bgr[..., 2].astype(int) - bgr[..., 0] > 120
    rows, columns = np.nonzero(red)
    return float(columns.mean()), float(rows.mean())


@pytest.mark.parametrize("ending", ["jpg", "png", "webp", "heic"])
def test_open__every_format_under_an_awkward_name(tmp_path: Path, ending: str) -> None:
    path = tmp_path / AWKWARD.format(ending)
    if ending == "heic":
        pillow_heif = pytest.importorskip("pillow_heif")
        pillow_heif.from_pillow(spotted()).save(path, quality=95)
    else:
        spotted().save(path, quality=95)
    photo = open_photo(path)
    assert photo.bgr.shape == (60, 80, 3)
    assert photo.bgr.dtype == np.uint8
    assert spot_xy(photo.bgr) == pytest.approx((59.5, 11.5), abs=1)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_open__exif_turn_and_the_way_back(tmp_path: Path, orientation: int) -> None:
    # Source of the turn: Pillow's own ImageOps.exif_transpose.
    path = tmp_path / "turned.jpg"
    exif = Image.Exif()
    exif[0x0112] = orientation
    spotted().save(path, quality=95, exif=exif)
    photo = open_photo(path)
    with Image.open(path) as stored:
        expected = np.asarray(ImageOps.exif_transpose(stored))[..., ::-1]
    assert np.array_equal(photo.bgr, expected)
    back = photo.to_stored(np.array([spot_xy(photo.bgr)]))
    assert back[0] == pytest.approx((59.5, 11.5), abs=1)


@pytest.mark.parametrize("ending", ["jpg", "png"])
def test_open__large_picture_is_reduced_and_points_come_back(
    tmp_path: Path, ending: str
) -> None:
    path = tmp_path / f"large.{ending}"
    exif = Image.Exif()
    exif[0x0112] = 6
    picture = spotted(80, 60).resize((4000, 3000), Image.Resampling.NEAREST)
    picture.save(path, exif=exif)
    photo = open_photo(path)
    assert photo.bgr.shape[:2] == (WORKING_SIDE_PX, WORKING_SIDE_PX * 3 // 4)
    back = photo.to_stored(np.array([spot_xy(photo.bgr)]))
    assert back[0] == pytest.approx((60 * 50, 12 * 50), abs=4)


def test_open__sixteen_bit_grey_keeps_its_range(tmp_path: Path) -> None:
    path = tmp_path / "deep.png"
    ramp = np.linspace(0, 65535, 256).astype(np.uint16).reshape(16, 16)
    Image.fromarray(ramp).save(path)
    grey = open_photo(path).bgr[..., 0]
    assert np.abs(grey.ravel().astype(int) - np.arange(256)).max() <= 1


def test_open__see_through_parts_are_white(tmp_path: Path) -> None:
    path = tmp_path / "clear.png"
    Image.new("RGBA", (8, 8), (10, 20, 30, 0)).save(path)
    assert (open_photo(path).bgr == 255).all()


@pytest.mark.parametrize("mode", ["L", "P", "CMYK", "1"])
def test_open__other_modes(tmp_path: Path, mode: str) -> None:
    path = tmp_path / ("p.jpg" if mode == "CMYK" else "p.png")
    spotted().convert(mode).save(path)
    assert open_photo(path).bgr.shape == (60, 80, 3)


def test_open__missing_or_a_folder(tmp_path: Path) -> None:
    with pytest.raises(PhotoMissingError, match=r"none\.jpg does not exist"):
        open_photo(tmp_path / "none.jpg")
    with pytest.raises(PhotoMissingError, match="is not a file"):
        open_photo(tmp_path)


def test_open__locked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "locked.jpg"
    spotted().save(path)

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    # Not chmod: the tests may run as a user who may read everything.
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(PhotoMissingError, match="may not be read"):
        open_photo(path)


@pytest.mark.parametrize(
    "content", [b"", b"birds, rings\n1, 2\n", b"\x00" * 100, b"GIF89a" + b"\x01" * 40]
)
def test_open__no_picture(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "notes.jpg"
    path.write_bytes(content)
    with pytest.raises(NotAPictureError, match=r"notes\.jpg") as caught:
        open_photo(path)
    assert caught.value.hint


@pytest.mark.parametrize("ending", ["jpg", "png", "webp", "heic"])
@pytest.mark.parametrize("kept", [0.02, 0.3, 0.6, 0.9])
def test_open__cut_short(tmp_path: Path, ending: str, kept: float) -> None:
    path = tmp_path / f"cut.{ending}"
    noise = np.random.default_rng(1).integers(0, 255, (90, 120, 3), dtype=np.uint8)
    picture = Image.fromarray(noise)
    if ending == "heic":
        pytest.importorskip("pillow_heif").from_pillow(picture).save(path)
    else:
        picture.save(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * kept)])
    with pytest.raises(NotAPictureError, match=rf"cut\.{ending}"):
        open_photo(path)


def png_head(width: int, height: int) -> bytes:
    """A PNG that only claims to hold so many pixels (PNG specification, 11.2.2)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + body))
        return struct.pack(">I", len(body)) + kind + body + check

    size = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", size)
        + chunk(b"IDAT", zlib.compress(b""))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("side", [10_100, 12_000, 60_000])
def test_open__too_large_is_refused_before_decoding(tmp_path: Path, side: int) -> None:
    path = tmp_path / "huge.png"
    path.write_bytes(png_head(side, side))
    with pytest.raises(PictureTooLargeError, match=r"huge\.png") as caught:
        open_photo(path)
    assert "Crop" in caught.value.hint


def test_open__just_under_the_bound_is_tried(tmp_path: Path) -> None:
    path = tmp_path / "big.png"
    path.write_bytes(png_head(9_900, 9_900))
    with pytest.raises(NotAPictureError, match="cut short"):
        open_photo(path)
