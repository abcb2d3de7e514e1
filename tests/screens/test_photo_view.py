"""What the terminal can draw, asked before the program takes it over."""

import os
import subprocess
import sys

import numpy as np
import pytest
from textual.app import App

from ledger.widgets.blocks import Blocks
from ledger.widgets.photo_view import PhotoView, prepare


@pytest.mark.parametrize("wanted", ["auto", "blocks", "of another version"])
def test_prepare__no_terminal__draws_in_blocks(wanted, monkeypatch):
    monkeypatch.setattr(sys, "__stdout__", None)
    assert prepare(wanted) == "blocks"


@pytest.mark.skipif(sys.platform == "win32", reason="has no such terminals")
@pytest.mark.parametrize("wanted", ["auto", "blocks"])
def test_prepare__terminal_that_tells_no_size__is_not_asked(wanted):
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
    assert os.read(ours, 100).decode().strip() == "blocks"
    os.close(ours)


@pytest.mark.parametrize("where", [("TMUX", "/tmp/tmux"), ("TERM", "linux")])
def test_prepare__silent_terminals_are_not_waited_for(where, monkeypatch):
    class Terminal:
        def isatty(self):
            return True

        def fileno(self):
            return 0

    monkeypatch.setattr(sys, "__stdout__", Terminal())
    monkeypatch.setattr(os, "get_terminal_size", lambda _: os.terminal_size((80, 24)))
    monkeypatch.setenv(*where)
    assert prepare("auto") == "blocks"


def test_prepare__none_stays_none():
    assert prepare("none") == "none"


class Wall(App):
    def compose(self):
        yield PhotoView("blocks")


async def test_blocks__two_pixels_in_one_cell():
    strip = np.zeros((4, 6, 3), np.uint8)
    strip[0] = (0, 0, 255)  # BGR: the upper row is red
    strip[1] = (255, 0, 0)
    app = Wall()
    async with app.run_test() as pilot:
        view = app.query_one(PhotoView)
        view.styles.height = 2
        await view.show([strip])
        await pilot.pause()
        blocks = view.query_one(Blocks)
        assert blocks.size == (6, 2)
        style = next(iter(blocks.render_line(0))).style
        assert style.color.triplet == (255, 0, 0)
        assert style.bgcolor.triplet == (0, 0, 255)


async def test_auto__a_widget_of_textual_image_shows_it():
    app = Wall()
    async with app.run_test() as pilot:
        view = PhotoView("auto")
        await app.mount(view)
        await view.show([np.zeros((40, 60, 3), np.uint8)])
        await pilot.pause()
        assert view.children[0].image.size == (60, 40)
