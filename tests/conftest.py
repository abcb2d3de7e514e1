"""What every test stands on: no real home folder, and a real Tesseract."""

import os

import pytest
from hypothesis import settings

# The run tries the same random cases each time, so that it fails on what was
# changed and on nothing else. `--hypothesis-profile=search` tries others.
settings.register_profile("same", derandomize=True)
settings.register_profile("search", derandomize=False, print_blob=True)
settings.load_profile("same")


@pytest.fixture(autouse=True)
def _no_real_home(tmp_path_factory, monkeypatch):
    """Settings, ledger and log of whoever runs the tests stay out of reach."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("FLOCK_LEDGER_HOME", str(home))
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("USERPROFILE", str(home))
    for name in [name for name in os.environ if name.startswith("XDG_")]:
        monkeypatch.delenv(name)


def pytest_runtest_setup(item):
    """Without Tesseract the tests that need it fail; a skip would hide it."""
    if item.get_closest_marker("tesseract"):
        from ocr.errors import TesseractMissingError
        from ocr.tesseract import find_program

        try:
            find_program()
        except TesseractMissingError as error:
            pytest.fail(f"{error} {error.hint}", pytrace=False)
