"""What loads what, seen from outside: a fresh Python that lists its modules."""

import json
import subprocess
import sys

import pytest

SCREEN = {"textual", "rich", "textual_image"}
PICTURES = {"cv2", "pytesseract", "PIL", "pillow_heif"}
STORE = {"tinydb"}


def top_modules_after(statement):
    """Names of the top-level modules that a fresh Python holds after it."""
    code = (
        f"{statement}\nimport json, sys\n"
        "print(json.dumps(sorted({name.split('.')[0] for name in sys.modules})))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    return set(json.loads(done.stdout))


@pytest.mark.parametrize(
    ("module", "absent"),
    [
        ("ledger.domain.flock", SCREEN | PICTURES | STORE | {"ocr"}),
        ("ledger.domain.rules", SCREEN | PICTURES | STORE | {"ocr"}),
        ("ledger.rings", SCREEN | PICTURES | STORE | {"ocr"}),
        ("ledger.store", SCREEN | PICTURES | {"ocr"}),
        ("ledger.services.identify", SCREEN | PICTURES | {"ocr"}),
        ("ledger.services.ring_reading", SCREEN | PICTURES | {"ocr"}),
        ("ledger.services.explain", SCREEN | PICTURES | {"ocr"}),
        ("ledger.services.book", SCREEN | PICTURES | {"ocr"}),
        ("ledger.services.card", SCREEN | PICTURES | {"ocr"}),
        ("ledger.services.exchange", SCREEN | PICTURES | {"ocr"}),
        ("ledger.app", PICTURES - {"PIL"} | {"ocr"}),
        ("ocr", SCREEN | STORE | {"ledger"}),
    ],
)
def test_import__loads_only_its_own_layers(module, absent):
    assert not top_modules_after(f"import {module}") & absent


def test_command_line__starts_without_the_heavy_libraries():
    heavy = SCREEN | PICTURES | STORE | {"ocr", "numpy", "rapidfuzz", "pycountry"}
    loaded = top_modules_after(
        "from ledger.commands.parser import build_parser\n"
        "import ledger.__main__\n"
        "build_parser().format_help()"
    )
    assert not loaded & heavy


def test_reader__works_without_the_ledger():
    loaded = top_modules_after("from ocr import read_ring")
    assert not loaded & (SCREEN | STORE | {"ledger"})
