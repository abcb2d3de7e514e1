"""The photo inbox: a folder in which new photos of rings appear.

A phone that keeps itself in step with that folder writes a photo bit by bit,
so a photo counts as new only once it has stopped growing.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ledger.errors import NotFoundError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

PHOTO_SUFFIXES = frozenset({".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"})
"""Kinds of photo the reader opens."""

_TICK_MS = 400
"""How often the folder is looked at when nothing tells of a change. Network
folders never tell, so looking is the rule and the notice only makes it quicker."""


@dataclass(frozen=True)
class _Look:
    """What one look at a file showed; equal looks mean it has stopped growing."""

    size: int
    changed_ns: int


def is_photo(path: Path) -> bool:
    """Whether the name is that of a photo; half-written copies hide behind a dot."""
    return path.suffix.lower() in PHOTO_SUFFIXES and not path.name.startswith(".")


def photos(folder: Path, at_most: int = 50) -> list[Path]:
    """The photos that lie in the folder, newest first.

    Raises:
        NotFoundError: There is no such folder, or it may not be looked into.
    """
    looks = _look(folder)
    by_age = sorted(looks, key=lambda path: (looks[path].changed_ns, path.name))
    return by_age[: -at_most - 1 : -1]


def watch(
    folder: Path,
    stop: Callable[[], bool],
    *,
    settle_s: float = 0.8,
    clock: Callable[[], float] = time.monotonic,
) -> Iterator[Path]:
    """New or rewritten photos, each once it has stopped growing.

    Blocks between photos: run it in a thread. What lies in the folder at the
    start is not new. Ends soon after `stop()` turns true.

    Args:
        folder: The inbox.
        stop: Asked a few times a second whether to end.
        settle_s: A photo unchanged for this long, in seconds, is whole.
        clock: Seconds that only go up.

    Raises:
        NotFoundError: The folder is missing, also if it vanishes on the way.
    """
    known = _look(folder)
    growing: dict[Path, tuple[_Look, float]] = {}
    for _ in _glances(folder, stop):
        looks = _look(folder)
        for path, look in looks.items():
            if known.get(path) == look:
                growing.pop(path, None)
                continue
            before, since = growing.get(path, (None, 0.0))
            if look != before:
                growing[path] = (look, clock())
            elif look.size and clock() - since >= settle_s:
                known[path] = look
                del growing[path]
                yield path
        for gone in growing.keys() - looks.keys():
            del growing[gone]


class _Stop:
    """The shape of an event that the watcher asks."""

    def __init__(self, stop: Callable[[], bool]) -> None:
        self.is_set = stop


def _glances(folder: Path, stop: Callable[[], bool]) -> Iterator[None]:
    """Once at the start, then at every change and every tick, until `stop()`."""
    from watchfiles import watch as changes

    yield None
    for _ in changes(
        folder,
        watch_filter=None,
        stop_event=_Stop(stop),
        rust_timeout=_TICK_MS,
        debounce=_TICK_MS,
        yield_on_timeout=True,
        raise_interrupt=False,
        recursive=False,
        ignore_permission_denied=True,
    ):
        if stop():
            return
        yield None


def _look(folder: Path) -> dict[Path, _Look]:
    """Every photo of the folder as it is now."""
    try:
        paths = [path for path in folder.iterdir() if is_photo(path)]
    except OSError as error:
        raise NotFoundError(
            f"The photo inbox {folder} cannot be looked into.",
            hint="Make the folder, or choose another as inbox.",
        ) from error
    looks = {}
    for path in paths:
        try:
            stat = path.stat()
        except OSError:  # moved away since; not our photo any more
            continue
        looks[path] = _Look(stat.st_size, stat.st_mtime_ns)
    return looks
