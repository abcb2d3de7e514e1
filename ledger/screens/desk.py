"""What lies on the keeper's desk: the open ledger and what all pages need."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from ledger.paths import inbox_folder
from ledger.settings import save_settings

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Callable, Sequence

    from ledger.services.book import Ledger
    from ledger.settings import Settings
    from ledger.widgets.photo_view import Pictures
    from ocr.reading import Reading, Stage

    Report = Callable[[Stage, str], None]
    Job = Callable[[Report, Callable[[], bool]], Reading]


class Reader(Protocol):
    """Reads one ring from photos of it; `ring_reading.read` is one."""

    def __call__(
        self,
        paths: Sequence[Path],
        *,
        report: Report,
        cancelled: Callable[[], bool],
    ) -> Reading:
        """Read."""
        ...


@dataclass
class Desk:
    """Handed from page to page."""

    ledger: Ledger
    now: Callable[[], dt.datetime]
    keeper: str
    """Who signs what is stored."""
    read: Reader
    settings: Settings
    pictures: Pictures
    photos: Path | None = None
    """Folder of photos to show while no inbox is chosen."""
    lately: list[str] = field(default_factory=list)
    """Ids of the birds looked at in this sitting, newest first."""
    worked_out: dict[str, Any] = field(default_factory=dict)
    """What a page worked out at length and builds on when it is opened again."""

    @property
    def today(self) -> dt.date:
        """The day it is where the keeper is."""
        return self.now().date()

    @property
    def inbox(self) -> Path | None:
        """The folder watched for photos, if there is one."""
        if self.settings.inbox:
            return Path(self.settings.inbox)
        folder = inbox_folder()
        return folder if folder.is_dir() else self.photos

    def choose(self, **choices: Any) -> None:
        """Keep a choice of the keeper for the next time.

        Raises:
            LedgerError: it counts for this sitting, but could not be kept.
        """
        self.settings = replace(self.settings, **choices)
        save_settings(self.settings)

    def job(self, paths: Sequence[Path]) -> Job:
        """Reading these photos, for a reading screen to run."""

        def read(report: Report, cancelled: Callable[[], bool]) -> Reading:
            return self.read(paths, report=report, cancelled=cancelled)

        return read

    def looked_at(self, bird_id: str) -> None:
        """Remember that the keeper had this bird before them."""
        if bird_id in self.lately:
            self.lately.remove(bird_id)
        self.lately.insert(0, bird_id)
