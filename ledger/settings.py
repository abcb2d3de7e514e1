"""The keeper's choices for the program on this machine, in one small TOML file."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from ledger import paths
from ledger.errors import LedgerError

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True)
class Settings:
    """What a keeper can choose. Every choice has a default."""

    keeper: str = ""
    """Who signs what is stored; empty: the name of the login."""
    theme: str = ""
    """Name of a theme; empty: the program's own."""
    pictures: str = "auto"
    """How pictures are drawn: "auto", "blocks" (any terminal), or "none"."""
    inbox: str = ""
    """Folder watched for photos; empty: `paths.inbox_folder()`."""
    large: bool = False
    """Large, widely spaced text on the pages one uses with one hand free."""
    camera: int = 0
    """Which camera of the machine, from 0."""
    last_ledger: str = ""
    """Folder opened last; empty: `paths.ledger_folder()`."""


def load_settings(path: Path | None = None) -> Settings:
    """The choices in the file; defaults for what it does not name.

    Args:
        path: The file; None is `paths.settings_file()`. It need not exist.

    Raises:
        LedgerError: the file cannot be read as settings.
    """
    path = path or paths.settings_file()
    try:
        chosen = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return Settings()
    except (OSError, ValueError) as error:
        raise _unusable(path, str(error)) from error
    known: dict[str, Any] = {}
    for field in fields(Settings):
        if field.name in chosen:
            if type(chosen[field.name]) is not type(field.default):
                raise _unusable(path, f"{field.name} is of the wrong kind")
            known[field.name] = chosen[field.name]
    return Settings(**known)


def save_settings(settings: Settings, path: Path | None = None) -> None:
    """Write the choices that differ from the defaults, in place of the whole file.

    Raises:
        LedgerError: the file cannot be written.
    """
    path = path or paths.settings_file()
    lines = [
        f"{field.name} = {_as_toml(getattr(settings, field.name))}\n"
        for field in fields(Settings)
        if getattr(settings, field.name) != field.default
    ]
    part = path.with_name(f"{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_text("".join(lines), encoding="utf-8")
        part.replace(path)
    except OSError as error:
        raise LedgerError(
            f"The settings could not be written to “{path}”: {error.strerror}.",
            "Check that the folder can be written to.",
        ) from error


def _as_toml(value: str | int) -> str:
    """A string or number; what JSON writes is TOML too, but for one character."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _unusable(path: Path, why: str) -> LedgerError:
    return LedgerError(
        f"The settings in “{path}” cannot be read: {why}.",
        "Mend the file, or delete it to go back to the defaults.",
    )
