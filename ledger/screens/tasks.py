"""Tasks: set one by hand, say it is done, put off what is due."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.care.duty import DueKind
from ledger.domain.task import TaskKind
from ledger.screens.form_dialog import FormDialog
from ledger.screens.happened import DATES
from ledger.services import tasks, typed
from ledger.services.typed_days import day_to_come
from ledger.widgets.form import FormLine

if TYPE_CHECKING:
    from ledger.care.duty import Due
    from ledger.screens.desk import Desk

TO_COME = "“in 10 days”, “2 weeks”, “tomorrow” or 2026-12-05."


class TaskScreen(FormDialog):
    """Something to be done later, about a bird or about none."""

    def __init__(self, desk: Desk, bird_id: str | None = None) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    def title_words(self) -> str:
        """Whom it is about."""
        flock = self.desk.ledger.flock
        name = flock.birds[self._bird_id].title if self._bird_id else "The flock"
        return f"{name}: to do later"

    def lines(self) -> tuple[FormLine, ...]:
        """When, and what."""
        kinds = [TaskKind.FOLLOW_UP, TaskKind.OTHER]
        if self._bird_id:
            more = (TaskKind.WEIGH, TaskKind.RING_CHECK, TaskKind.SEE_VET)
            kinds[1:1] = more
        return (
            FormLine("text", "What", example="look at it again"),
            FormLine("due", "When", "in 10 days", TO_COME),
            FormLine("kind", "It is", choices=tuple((str(k), str(k)) for k in kinds)),
        )

    def store(self, words: dict[str, str]) -> None:
        """Set it down."""
        self.at = "due"
        due = day_to_come(words["due"], self.desk.today)
        self.at = "text"
        tasks.set_task(
            self.desk.ledger,
            self._bird_id,
            TaskKind(words["kind"]),
            due,
            words["text"],
            self.desk.keeper,
            self.desk.today,
        )


class DoneScreen(FormDialog):
    """A task, or a visit to the vet that a rule asks for: what came of it."""

    def __init__(self, desk: Desk, due: Due) -> None:
        super().__init__(desk)
        self._due = due

    def title_words(self) -> str:
        """What is done."""
        return f"{self._due.name or 'The flock'}: {self._due.kind}"

    def about_words(self) -> str:
        """What was to be done."""
        return self._due.why

    def lines(self) -> tuple[FormLine, ...]:
        """What came of it, and when."""
        if self._due.kind is DueKind.VET:
            label, hint = "What the vet found", "It stands on the bird's page."
        else:
            label, hint = "What came of it", "May stay empty."
        return (
            FormLine("text", label, hint=hint),
            FormLine("on", "When", str(self.desk.today), DATES),
        )

    def store(self, words: dict[str, str]) -> None:
        """It is done."""
        self.at = "on"
        day = typed.date(words["on"], self.desk.today)
        self.at = "text"
        desk, due = self.desk, self._due
        if due.task is not None:
            tasks.finish(desk.ledger, due.task, day, desk.keeper, words["text"])
        elif due.bird is not None:
            tasks.vet_saw(desk.ledger, due.bird, day, desk.keeper, words["text"])

    def stored_words(self) -> str:
        """It is gone from the list."""
        return "Done."


class PutOffScreen(FormDialog):
    """Let it wait until a day, with a reason."""

    def __init__(self, desk: Desk, due: Due) -> None:
        super().__init__(desk)
        self._due = due

    def title_words(self) -> str:
        """What shall wait."""
        return f"{self._due.name or 'The flock'}: put off {self._due.kind}"

    def about_words(self) -> str:
        """Why it is due."""
        return self._due.why

    def lines(self) -> tuple[FormLine, ...]:
        """Why it may wait, and how long."""
        return (
            FormLine("text", "Why it may wait", example="in the moult, left in peace"),
            FormLine("due", "Until", "in 7 days", TO_COME),
        )

    def store(self, words: dict[str, str]) -> None:
        """Put it off."""
        self.at = "due"
        until = day_to_come(words["due"], self.desk.today)
        self.at = "text"
        desk = self.desk
        tasks.put_off(
            desk.ledger, self._due, until, words["text"], desk.keeper, desk.today
        )

    def stored_words(self) -> str:
        """It comes back."""
        return "It comes back on that day, with your reason."
