"""Every place the program reads or writes, unless told otherwise."""

from __future__ import annotations

import os
from pathlib import Path

HOME_VARIABLE = "FLOCK_LEDGER_HOME"
"""Environment variable that moves all of it to another folder."""
APP = "flock-ledger"


def home() -> Path:
    """The folder that holds all others: the user's own folder for programs' files."""
    told = os.environ.get(HOME_VARIABLE)
    if told:
        return Path(told).expanduser()
    import platformdirs  # only here: the command line must start without it

    return platformdirs.user_data_path(APP, appauthor=False)


def ledger_folder() -> Path:
    """The keeper's own ledger."""
    return home() / "ledger"


def demo_folder() -> Path:
    """Where private copies of the demo flock are laid."""
    return home() / "demo"


def inbox_folder() -> Path:
    """Where photos of rings are dropped, unless the settings name another."""
    return home() / "inbox"


def settings_file() -> Path:
    """The keeper's choices."""
    return home() / "settings.toml"


def own_schemes_file() -> Path:
    """Ways of writing a ring that the keeper adds to the program's table."""
    return home() / "ring_schemes.csv"


def log_file() -> Path:
    """Where the traceback of a fault of the program goes."""
    return home() / f"{APP}.log"


def papers_folder(ledger: Path) -> Path:
    """Where the papers of a ledger are written: beside it.

    Args:
        ledger: The folder of the ledger.
    """
    return ledger / "papers"
