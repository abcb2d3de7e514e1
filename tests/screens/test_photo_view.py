"""What the terminal can draw, asked before the program takes it over."""

import os
import subprocess
import sys

import pytest

from ledger.widgets.photo_view import prepare


@pytest.mark.parametrize("wanted", ["auto", "blocks", "of another version"])
def test_prepare__no_terminal__draws_in_blocks(wanted, monkeypatch):
    monkeypatch.setattr(sys, "__stdout__", None)
    assert prepare(wanted) == "blocks"


@pytest.mark.skipif(sys.platform == "win32", reason="has no such terminals")
@pytest.mark.parametrize("wanted", ["auto", "blocks"])
def test_prepare__terminal_that_tells_no_size__draws_no_pictures(wanted):
    ours, its = os.openpty()  # a new one has no rows and no columns
    subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from ledger.widgets.photo_view import prepare\n"
            "print(prepare(sys.argv[1]))",
            wanted,
        ],
        stdout=its,
        check=True,
    )
    os.close(its)
    assert os.read(ours, 100).decode().strip() == "none"
    os.close(ours)
