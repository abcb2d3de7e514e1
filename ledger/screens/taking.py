"""Storing what was seen on a walk-through, after asking where something is odd."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ledger.domain.walk import Settled
from ledger.errors import LedgerError
from ledger.screens.ask import AskScreen
from ledger.screens.base import tell_trouble
from ledger.services import walk
from ledger.services.walk_differences import CHOICES, Differs
from ledger.services.walk_find import Standing

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from textual.app import App

    from ledger.domain.walk import Sighting
    from ledger.screens.desk import Desk
    from ledger.services.walk_find import Fit, Found

    Done = Callable[[Sighting], None]

_KIND = {
    Standing.SEEN: Differs.SEEN_TWICE,
    Standing.ELSEWHERE: Differs.WRONG_AVIARY,
    Standing.NO_AVIARY: Differs.WRONG_AVIARY,
    Standing.DEAD: Differs.DEAD,
    Standing.PLACED: Differs.PLACED,
    Standing.LOST: Differs.LOST,
}
_OPEN, _NOTHING, _STRANGER = "open", "nothing", "stranger"
_MOST = 6
"""Birds that are offered by number."""


class Taking:
    """One ring or bird before the keeper, at one aviary of a round."""

    def __init__(
        self,
        app: App[None],
        desk: Desk,
        walk_id: str,
        aviary: str,
        done: Done,
        *,
        photos: Sequence[Path] = (),
    ) -> None:
        """Ready to take.

        Args:
            app: Asks its questions.
            desk: What all pages need.
            walk_id: The round.
            aviary: Where it is.
            done: Given the sighting once it is stored; not called otherwise.
            photos: Kept with the sighting.
        """
        self._app = app
        self._desk = desk
        self._walk_id = walk_id
        self._aviary = aviary
        self._done = done
        self._photos = photos

    def take(self, found: Found, fit: Fit) -> None:
        """Store that this bird was seen; first ask if it should not be here."""
        if fit.standing is Standing.EXPECTED:
            self._store(found, fit, "")
            return
        kind = _KIND[fit.standing]
        answers: list[tuple[str, str]] = [
            (str(settled), words)
            for settled, words in CHOICES[kind]
            if settled is not Settled.READ_WRONGLY
        ]
        answers += [
            (_OPEN, "keep open: look into it later"),
            (_NOTHING, "look again: store nothing"),
        ]
        self._app.push_screen(
            AskScreen(self._desk, f"{fit.name}: {fit.ring}", fit.said, answers),
            partial(self._answered, found, fit),
        )

    def take_one_of(self, found: Found) -> None:
        """Ask which bird it is where several may be meant, then take it."""
        if not found.is_open:
            self.take(found, found.fits[0])
            return
        answers = [
            (fit.bird_id, f"{fit.name}, {fit.ring}: {fit.standing.value}")
            for fit in found.fits[:_MOST]
        ]
        self._app.push_screen(
            AskScreen(
                self._desk,
                f"Which bird is {found.read or 'it'}?",
                found.said or "Several may be meant. Look at the ring once more.",
                [
                    *answers,
                    (_STRANGER, "none of these: an unknown ring"),
                    (_NOTHING, "look again: store nothing"),
                ],
            ),
            partial(self._one_of, found),
        )

    def _one_of(self, found: Found, answer: str | None) -> None:
        if answer == _STRANGER:
            self._store(found, None, "")
            return
        chosen = next((fit for fit in found.fits if fit.bird_id == answer), None)
        if chosen is not None:
            self.take(found, chosen)

    def take_stranger(self, found: Found) -> None:
        """Store a ring that none of our birds wears, if the keeper is sure of it."""
        self._app.push_screen(
            AskScreen(
                self._desk,
                f"Unknown ring: {found.read}",
                found.said
                or f"No bird of ours fits “{found.read}”. Read it once more, sign by "
                "sign, before you store it.",
                [
                    (_OPEN, "it reads so: store it as an unknown ring"),
                    (_NOTHING, "look again: store nothing"),
                ],
            ),
            partial(self._answered, found, None),
        )

    def _answered(self, found: Found, fit: Fit | None, answer: str | None) -> None:
        if answer in (None, _NOTHING):
            return
        self._store(found, fit, "" if answer == _OPEN else str(answer))

    def _store(self, found: Found, fit: Fit | None, settled: str) -> None:
        try:
            sighting = walk.see(
                self._desk.ledger,
                self._walk_id,
                self._aviary,
                self._desk.now(),
                self._desk.keeper,
                bird_id=fit.bird_id if fit else None,
                ring_id=fit.ring_id if fit else None,
                how=found.how,
                read=found.read,
                photos=self._photos,
                settled=settled,
            )
        except LedgerError as error:
            tell_trouble(self._app, "Not stored", error)
            return
        self._done(sighting)
