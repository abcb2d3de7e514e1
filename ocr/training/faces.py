"""Draw the characters of many typefaces into one table, from font files.

    python -m ocr.training.faces OUT.npz FOLDER [FOLDER ...]

Every .ttf and .otf below the folders is tried, and of .woff2, which come in many
weights and scripts, the Latin ones of weights 400 and 700; RETRAIN.md names the
packages.
Needs Pillow only.
"""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from ocr.characters import ALPHABET
from ocr.training.glyph_table import BASELINE, CAP, CELL, MIDDLE

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

_UNWANTED = re.compile(
    "|".join(
        (
            # Slanted.
            r"Italic|Oblique|_it",
            # Too thin for any ring.
            r"Thin|Hairline|hline|flatline|tint",
            # Signs, not letters; and Noto's many scripts beside its Latin ones.
            r"Symbol|STIX|DSEG|material|Powerline|Wargames|Winks|Penguin",
            r"Noto(?!Sans-|SansMono|SansDisplay-|Serif-)",
            # Written by hand, blackletter, for initials.
            r"Initial|Goti|Proto|Hybrid|Rufscript|breip|femke|TomsonT|chanc|Z003",
            r"D050|chorus|Isabella|Sweyn|Leckerli|Kristi|Ptolemy|Mini",
            # Their Latin letters are an afterthought.
            r"Amiri|zelan|yebse|jiret|wash|goffer|hiwua|fantu|yigez|wooki",
            r"UnPilgi|UnGung|UnDin",
            # For posters.
            r"^carter-one|^contrail|^emblema|^racing-sans|^monofett|highlight|^rye-",
            r"^sancreek|^smokum|^six-caps|^wire-one|^nova-cut",
        )
    ),
    re.IGNORECASE,
)
_WEB_FONT = re.compile(r"-latin-(400|700)-normal\.woff2$")
_OF_A_FAMILY = 5
"""At most as many faces: a family of forty would outweigh the rest."""

Face = tuple[str, "NDArray[np.uint8]", list[float]]
"""A file's name, its (characters, 80, 112) cells and their advances."""


def font_files(folders: Iterable[Path]) -> list[Path]:
    """The font files below some folders that may suit rings, in order."""
    return [
        path
        for folder in folders
        for path in sorted(folder.rglob("*"))
        if (path.suffix.lower() in (".ttf", ".otf") or _WEB_FONT.search(path.name))
        and not _UNWANTED.search(path.name)
    ]


def drawn(path: Path) -> Face | None:
    """A typeface, capitals 64 pixels high; None when it lacks a character."""
    try:
        top, bottom = ImageFont.truetype(str(path), 100).getbbox("H")[1::2]
        if bottom - top <= 20:
            return None
        font = ImageFont.truetype(str(path), int(100 * CAP / (bottom - top)))
        cells, advances = [], []
        for letter in ALPHABET:
            width = font.getlength(letter)
            picture = Image.new("L", CELL[::-1], 0)
            ImageDraw.Draw(picture).text(
                (MIDDLE[0], BASELINE), letter, font=font, fill=255, anchor="ms"
            )
            cell = np.asarray(picture)
            if cell.max() < 100 or not 2 < width <= CELL[1]:
                return None
            cells.append(cell)
            advances.append(width)
    except (OSError, ValueError):  # no font, or one of bitmaps
        return None
    # Fonts without these characters draw one box for all.
    if len({cell.tobytes() for cell in cells}) < 34:
        return None
    return path.name, np.array(cells), advances


def without_doubles(faces: Iterable[Face]) -> list[Face]:
    """Of faces whose first ten letters look alike, the first."""
    seen, kept = set(), []
    for face in faces:
        look = face[1][10:20, ::4, ::4].tobytes()
        if look not in seen:
            seen.add(look)
            kept.append(face)
    return kept


def fair_share(faces: Sequence[Face]) -> list[Face]:
    """A few faces of each family, picked by chance; their order stays."""
    count: dict[str, int] = {}
    kept = []
    for i in np.random.default_rng(1).permutation(len(faces)):
        family = re.split(r"[-_0-9]", faces[i][0])[0][:7].lower()
        count[family] = count.get(family, 0) + 1
        if count[family] <= _OF_A_FAMILY:
            kept.append(i)
    return [faces[i] for i in sorted(kept)]


def main() -> None:
    """Write the table."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("out", type=Path)
    options.add_argument("folders", type=Path, nargs="+")
    chosen = options.parse_args()
    found = [drawn(path) for path in font_files(chosen.folders)]
    faces = fair_share(without_doubles(face for face in found if face))
    np.savez_compressed(
        chosen.out,
        names=np.array([name for name, _, _ in faces]),
        cells=np.array([cells for _, cells, _ in faces]),
        advance=np.array([advances for _, _, advances in faces], np.float32),
    )
    print(f"{len(faces)} typefaces of {len(found)} files")


if __name__ == "__main__":
    main()
