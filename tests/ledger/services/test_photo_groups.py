"""Photos of a folder sorted by ring: by bird, by shared signs, by time; what is not."""

import threading
from dataclasses import replace
from pathlib import Path

import pytest
from builders import a_bird, a_flock, a_ring
from PIL import Image

from ledger.errors import NotFoundError, ReadingError
from ledger.rings.evidence import Expectation
from ledger.services import photo_folder, photo_groups, ring_reading
from ledger.services.photo_folder import PhotoRead
from ocr.reading import Glyph, Line, PhotoReading, Reading

FLOCK = a_flock(
    *(a_bird(f"b{n:04}", f"Bird {n}", location="Aviary 1") for n in range(1, 21)),
    *(
        a_ring(f"r{n:04}", f"IE TWK / 19 0{n * 37 + 100}", bird=f"b{n:04}")
        for n in range(1, 21)
    ),
)
"""Serials 0137, 0174, 0211 and so on."""


def glyphs(text, start_deg=-45.0, step_deg=15.0, height=0.5):
    """A line's glyphs, one every step round the ring."""
    made, gap = [], False
    for place, sign in enumerate(text):
        if sign == " ":
            gap = True
            continue
        phi = start_deg + place * step_deg
        made.append(
            Glyph(sign, 0.99, ((sign, 0.99),), phi, height, 10.0, 0.3, gap_before=gap)
        )
        gap = False
    return tuple(made)


def a_photo(name, *lines, taken=None, found=True, colour="", aspect=0.8):
    laid = tuple(
        Line(glyphs(text, height=0.7 - 0.4 * n)) for n, text in enumerate(lines)
    )
    photo = PhotoReading(name, found, lines=laid, colour=colour, aspect=aspect)
    return PhotoRead(Path(name), Reading((photo,), laid, 0.9, colour=colour), taken)


def sorted_names(grouped):
    return [[photo.path.name for photo in group.photos] for group in grouped.groups]


def test_group__photos_of_one_bird_come_together_in_any_order():
    photos = [
        a_photo("a", "IE TWK", "19 0137"),
        a_photo("b", "IE TWK", "19 0174"),
        a_photo("c", "TWK", "9 0137"),
        a_photo("d", "TWK", "19 0174"),
    ]
    grouped = photo_groups.group(FLOCK, photos)
    assert sorted_names(grouped) == [["a", "c"], ["b", "d"]]
    assert "0137" in grouped.groups[0].reading.text


def test_group__birds_of_one_flock_stay_apart_though_they_share_most_signs():
    photos = [
        a_photo(str(n), "IE TWK", f"19 0{n * 37 + 100}", taken=10.0 * n)
        for n in range(1, 9)
    ]
    assert len(photo_groups.group(FLOCK, photos).groups) == 8


def test_group__strangers_come_together_by_what_they_share():
    photos = [
        a_photo("a", "QZHX", "0731", colour="red"),
        a_photo("b", "QZHX", "0731", colour="red"),
        a_photo("c", "MBVF", "5528", colour="blue", aspect=1.2),
    ]
    grouped = photo_groups.group(FLOCK, photos)
    assert sorted_names(grouped) == [["a", "b"], ["c"]]


def test_group__works_without_any_ring_on_record():
    photos = [a_photo("a", "QZHX 0731"), a_photo("b", "QZHX 0731")]
    assert sorted_names(photo_groups.group(a_flock(), photos)) == [["a", "b"]]


def test_group__time_decides_where_nothing_else_does():
    # Two faces of a stranger's ring that share no sign.
    one, other = ("a", "QZHX"), ("b", "5528")
    near = [a_photo(*one, taken=0.0), a_photo(*other, taken=5.0)]
    far = [a_photo(*one, taken=0.0), a_photo(*other, taken=5000.0)]
    assert len(photo_groups.group(FLOCK, near).groups) == 1
    assert len(photo_groups.group(FLOCK, far).groups) == 2


def test_group__useless_photos_and_copies_are_set_apart_and_told():
    useful = a_photo("a", "IE TWK", "19 0137")
    photos = [
        useful,
        a_photo("no ring", found=False),
        a_photo("blank"),
        a_photo("one sign", "7"),
        PhotoRead(Path("text.jpg"), None, trouble="It is no picture."),
        PhotoRead(Path("copy.jpg"), None, copy_of=Path("a")),
    ]
    grouped = photo_groups.group(FLOCK, photos)
    assert sorted_names(grouped) == [["a"]]
    assert grouped.set_apart == (
        "Set apart: 1 without a ring, 2 with nothing legible, 1 that cannot be opened, "
        "1 that are copies."
    )


def test_group__nothing_at_all():
    grouped = photo_groups.group(FLOCK, [])
    assert grouped.groups == ()
    assert grouped.set_apart == ""


def test_group__many_photos_a_third_of_them_useless():
    photos = []
    for n in range(120):
        bird = n % 20 + 1
        if n % 3 == 0:
            photos.append(a_photo(f"{n:03}", found=False))
        else:
            serial = f"19 0{bird * 37 + 100}"
            photos.append(a_photo(f"{n:03}", "IE TWK", serial, taken=60.0 * bird))
    grouped = photo_groups.group(FLOCK, photos)
    assert len(grouped.no_ring) == 40
    assert len(grouped.groups) == 20


def test_group__who_is_expected_weighs():
    # Two faces that fit several birds; of these one should be here.
    half = [
        a_photo("a", "TWK", "19 0", taken=0.0),
        a_photo("b", "IE", "9 01", taken=40.0),
    ]
    here = Expectation(frozenset({"b0002"}), frozenset(), 0.001, 0.02)
    plain = photo_groups.group(FLOCK, half)
    weighed = photo_groups.group(FLOCK, half, here)
    assert sorted_names(plain) == [["a"], ["b"]]
    assert sorted_names(weighed) == [["a", "b"]]


# --- the folder ---


def read_by_name(paths, cancelled):
    (path,) = paths
    if path.name.startswith("bad"):
        raise ReadingError(f"{path.name} holds no picture.")
    return a_photo(path.name, "IE TWK", "19 0137").reading


@pytest.fixture
def folder(tmp_path):
    for name, content in (("a", "1"), ("b", "2"), ("c", "1"), ("bad", "4")):
        (tmp_path / f"{name}.jpg").write_text(content)
    (tmp_path / "notes.txt").write_text("no photo")
    return tmp_path


def test_folder__each_photo_is_read_once_and_copies_are_told(folder):
    paths = photo_folder.photos_in([folder])
    assert [path.name for path in paths] == ["a.jpg", "b.jpg", "bad.jpg", "c.jpg"]
    told = []
    photos = photo_folder.read_each(paths, told.append, lambda: False, read_by_name)
    assert [photo.path for photo in photos] == paths
    a, b, bad, c = photos
    assert a.reading is not None
    assert b.reading is not None
    assert bad.trouble == "bad.jpg holds no picture."
    assert c.copy_of == a.path
    assert told[-1].of == 4


def test_folder__a_fault_of_the_reader_is_not_hidden(folder):
    def read(paths, cancelled):
        raise ZeroDivisionError

    paths = photo_folder.photos_in([folder])
    with pytest.raises(ZeroDivisionError):
        photo_folder.read_each(paths, lambda _: None, lambda: False, read)


def test_folder__stopped_it_gives_what_was_read(folder):
    stop = threading.Event()

    def read(paths, cancelled):
        if paths[0].name == "b.jpg":
            stop.set()
            raise RuntimeError("stopped, as the reader's own Cancelled does")
        return read_by_name(paths, cancelled)

    def told(progress):
        first.set()

    first = threading.Event()
    paths = photo_folder.photos_in([folder])[:2]
    photos = photo_folder.read_each(paths, told, stop.is_set, read)
    assert {photo.path.name for photo in photos} <= {"a.jpg"}


def test_folder__without_photos_is_said(tmp_path):
    with pytest.raises(NotFoundError, match="no photo"):
        photo_folder.photos_in([tmp_path])


def test_taken__is_what_the_camera_wrote(tmp_path):
    path = tmp_path / "a.jpg"
    picture = Image.new("RGB", (8, 8))
    picture.save(path)
    assert ring_reading.taken(path) is None
    exif = picture.getexif()
    # EXIF 2.3: DateTimeOriginal 0x9003 and SubsecTimeOriginal 0x9291.
    exif.get_ifd(0x8769).update({0x9003: "2026:05:02 09:00:07", 0x9291: "5"})
    picture.save(path, exif=exif)
    exif.get_ifd(0x8769)[0x9003] = "2026:05:02 09:00:01"
    picture.save(tmp_path / "b.jpg", exif=exif)
    first, second = ring_reading.taken(tmp_path / "b.jpg"), ring_reading.taken(path)
    assert first is not None
    assert second - first == pytest.approx(6.0)


def test_taken__no_picture_and_no_time(tmp_path):
    (tmp_path / "a.jpg").write_text("text")
    assert ring_reading.taken(tmp_path / "a.jpg") is None
    assert ring_reading.taken(tmp_path / "gone.jpg") is None


def test_alike__turned_photos_of_one_ring_share_signs():
    one = a_photo("a", "IETWK19").reading
    turned = Line(glyphs("TWK1974", height=0.7))
    other = replace(
        one, photos=(replace(one.photos[0], lines=(turned,)),), lines=(turned,)
    )
    assert ring_reading.alike(one, other) > 2
    nothing = a_photo("c", "58MBV").reading
    assert ring_reading.alike(one, nothing) == 0
    assert ring_reading.alike(one, a_photo("d").reading) == 0
