"""A ring comes off and a chip takes over, step by step; stored at the end, at once."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from ledger.care.chip_conditions import chip_rule, unmet_conditions
from ledger.domain.bird import Status
from ledger.screens import removal_steps as lines
from ledger.screens.guided import GuidedScreen, Said, Step
from ledger.screens.paper import PaperScreen
from ledger.services import inbox
from ledger.services import removal_checks as checks
from ledger.services.papers import PaperKind
from ledger.services.removal import RemovalDraft, Successor, take_off

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ledger.domain.bird import Bird
    from ledger.domain.flock import Flock
    from ledger.screens.desk import Desk


class RemovalScreen(GuidedScreen):
    """Ring, hands, what is kept, what takes its place; then all of it."""

    def __init__(self, desk: Desk, bird_id: str, *, chip_only: bool = False) -> None:
        self._chip_only = chip_only
        super().__init__(desk, bird_id)

    @property
    def _flock(self) -> Flock:
        return self.desk.ledger.flock

    @property
    def _bird(self) -> Bird:
        return self._flock.birds[self._bird_id]

    def title_words(self) -> str:
        """What it is about."""
        return "Chip put in" if self._chip_only else "A ring comes off"

    def steps(self) -> Sequence[Step]:
        """What is asked, in order."""
        flock, bird, today = self._flock, self._bird, self.desk.today
        trouble = self._trouble_of
        return [
            Step(
                "which ring, and why",
                lambda _: lines.ring_lines(
                    flock, bird, today, chip_only=self._chip_only
                ),
                self._caution,
                trouble=partial(trouble, ("ring", "reason", "on")),
            ),
            Step(
                "who does it",
                lambda _: lines.hand_lines(flock, bird),
                trouble=partial(trouble, ("vet", "weight")),
            ),
            Step(
                "what is kept",
                lambda said: lines.kept_lines(said, self._inbox),
                lambda said: _KEEP if said.get("ring") else "",
                trouble=partial(trouble, ("photos",)),
            ),
            Step(
                "what takes its place",
                lambda _: [lines.next_line()],
                trouble=partial(trouble, ("successor",)),
                applies=lambda said: bool(said.get("ring")) and not self._is_dead,
            ),
            Step(
                "the chip",
                lambda _: lines.chip_lines(),
                self._about_chip,
                self._said_of_chip,
                partial(trouble, ("override", "chip", "site", "scan")),
                lambda said: self._draft(said).successor is Successor.CHIP,
            ),
            Step(
                "the new ring",
                lambda _: lines.new_ring_lines(),
                trouble=partial(trouble, ("inscription", "size")),
                applies=lambda said: self._draft(said).successor is Successor.RING,
            ),
            Step(
                "nothing in its place",
                lambda _: lines.due_lines(today),
                self._about_nothing,
                trouble=partial(trouble, ("due",)),
                applies=lambda said: (
                    self._draft(said).successor is Successor.NOTHING
                    and not self._is_dead
                ),
            ),
        ]

    @property
    def _inbox(self) -> tuple[str, ...]:
        """Photos that came in last, the newest first."""
        folder = self.desk.inbox
        if folder is None:
            return ()
        return tuple(str(path) for path in inbox.photos(folder))

    @property
    def _is_dead(self) -> bool:
        return self._bird.status is Status.DEAD

    def _draft(self, said: Said) -> RemovalDraft:
        if self._is_dead:
            said = {**said, "next": Successor.NOTHING}
        return lines.draft_of(self._bird_id, said, self.desk.today)[0]

    def _caution(self, _said: Said) -> str:
        return "" if self._is_dead else checks.AT_THE_VET

    def _trouble_of(
        self, fields: tuple[str, ...], said: Said
    ) -> tuple[str, str] | None:
        """What keeps these lines from being left."""
        _, unclear = lines.draft_of(self._bird_id, said, self.desk.today)
        if unclear is not None and unclear[0] in fields:
            return unclear
        for objection in checks.objections(self._flock, self._draft(said)):
            if objection.field in fields:
                return objection.field, str(objection)
        return None

    def _about_chip(self, said: Said) -> str:
        draft = self._draft(said)
        weight = f"{draft.weight_g:g} g" if draft.weight_g else "not weighed"
        return (
            f"{self._bird.title}: {weight}. An avian vet puts the chip in; scan it "
            "before, and again once it is in."
        )

    def _said_of_chip(self, said: Said) -> str:
        """Conditions and code, as they are typed."""
        draft = self._draft(said)
        told = [
            f"! {unmet.message} ({unmet.source})"
            for unmet in unmet_conditions(
                self._flock, self._bird, draft.on, draft.weight_g, chip_rule(draft.rule)
            )
        ]
        told += [f"· {each}" for each in checks.chip_said(self._flock, draft.chip)]
        return "\n".join(told)

    def _about_nothing(self, said: Said) -> str:
        return "\n".join(
            f"! {warning}"
            for warning in checks.warnings(self._flock, self._draft(said))
            if warning.field == "successor"
        )

    def summary(self, said: Said) -> str:
        """What will be stored, then what must be known."""
        draft = self._draft(said)
        told = list(_in_lines(self._flock, draft))
        told.append("")
        told += [f"! {each}" for each in checks.warnings(self._flock, draft)]
        told += ["", "It is stored in one go, and the paper is written to be signed."]
        return "\n".join(told)

    def finish(self, said: Said) -> None:
        """Store it, then show the paper.

        Raises:
            LedgerError: it cannot be stored.
        """
        take_off(self.desk.ledger, self._draft(said), self.desk.keeper)
        self.app.switch_screen(
            PaperScreen(self.desk, self._bird_id, PaperKind.REMOVAL, written=True)
        )


_KEEP = (
    "Keep the ring with the bird's papers, and take a photo of it before it is cut: "
    "both show the old inscription."
)


def chip_screen(desk: Desk, bird_id: str) -> RemovalScreen:
    """The same, of a bird whose ring stays on."""
    return RemovalScreen(desk, bird_id, chip_only=True)


def _in_lines(flock: Flock, draft: RemovalDraft) -> list[str]:
    ring = flock.rings.get(draft.ring or "")
    told = []
    if ring is not None:
        told.append(f"Off:      ring “{ring.inscription}”, {draft.on}: {draft.reason}")
        told.append(f"Kept:     {draft.ring_kept or 'not kept'}")
    told.append(f"By:       {draft.vet}")
    if draft.handlers:
        told.append(f"Hands:    {', '.join(draft.handlers)}")
    if draft.weight_g:
        told.append(f"Weight:   {draft.weight_g:g} g")
    if draft.photos:
        told.append(f"Photos:   {', '.join(path.name for path in draft.photos)}")
    if draft.successor is Successor.CHIP:
        told.append(f"Chip:     {draft.chip}, {draft.site}; scanned: {draft.scan}")
    elif draft.new_ring is not None:
        new = draft.new_ring
        told.append(f"New ring: “{new.inscription}”, {new.kind}, {new.leg} leg")
    elif draft.task_due is not None:
        told.append(f"Next:     nothing; chip or ring by {draft.task_due}")
    if draft.notes:
        told.append(f"Notes:    {draft.notes}")
    return told
