"""What is set down to be done: set, done, put off with a reason."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ledger.care.duty import DueKind
from ledger.domain.change import Put
from ledger.domain.event import Event, EventKind
from ledger.domain.kind import Kind
from ledger.domain.partial_date import PartialDate
from ledger.domain.task import Task, TaskKind
from ledger.errors import NotFoundError, RuleError
from ledger.services.ledger import bird_of, date_of

if TYPE_CHECKING:
    import datetime as dt

    from ledger.care.duty import Due
    from ledger.domain.change import Change
    from ledger.domain.flock import Flock
    from ledger.services.ledger import Ledger, When

LONGEST_WAIT_DAYS = 366
_AS_TASK = {
    DueKind.VET: TaskKind.SEE_VET,
    DueKind.WEIGH: TaskKind.WEIGH,
    DueKind.FIT: TaskKind.FIT_CHECK,
    DueKind.RING_CHECK: TaskKind.RING_CHECK,
    DueKind.FOLLOW_UP: TaskKind.FOLLOW_UP,
}


def set_task(
    ledger: Ledger,
    bird_id: str | None,
    kind: TaskKind,
    due: dt.date,
    text: str,
    author: str,
    today: dt.date,
) -> Task:
    """Set down something to be done.

    Args:
        ledger: An open ledger.
        bird_id: The bird it is about; None for none.
        kind: What is to be done.
        due: By when.
        text: More about it.
        author: Who sets it.
        today: The day it is set.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: nothing is said, or the day is past.
    """
    if not text.strip() and kind in (TaskKind.OTHER, TaskKind.FOLLOW_UP):
        raise RuleError("It is not said what is to be done.", "Write a few words.")
    if due < today:
        raise RuleError(
            f"{due} is past.", "Give a day that is still to come, or today."
        )
    name = bird_of(ledger.flock, bird_id).title if bird_id else "the flock"
    task = Task(
        ledger.flock.next_id(Kind.TASK),
        bird_id,
        kind,
        PartialDate.of(due),
        text.strip(),
        set_on=PartialDate.of(today),
    )
    ledger.commit([Put(task)], author=author, what=f"{name}: {kind} set for {due}")
    return task


def finish(
    ledger: Ledger, task_id: str, on: When, author: str, outcome: str = ""
) -> Task:
    """Enter that a task was done.

    Raises:
        NotFoundError: there is no such task.
        RuleError: it was done before; or a vet saw the bird, and it is not said what
            was found.
    """
    task = task_of(ledger.flock, task_id)
    if task.done is not None:
        raise RuleError(f"It was done {task.done}.", "Nothing is left to do.")
    done = replace(task, done=date_of(on), outcome=outcome.strip())
    changes: list[Change] = [Put(done)]
    if task.kind is TaskKind.SEE_VET and task.bird:
        changes.append(Put(_seen_by_vet(ledger.flock, task.bird, on, author, outcome)))
    name = bird_of(ledger.flock, task.bird).title if task.bird else "the flock"
    ledger.commit(changes, author=author, what=f"{name}: {task.kind} done")
    return done


def vet_saw(ledger: Ledger, bird_id: str, on: When, author: str, outcome: str) -> Event:
    """Enter what a vet found where the visit was due by rule, not by a task.

    Raises:
        NotFoundError: there is no such bird.
        RuleError: it is not said what was found.
    """
    bird = bird_of(ledger.flock, bird_id)
    event = _seen_by_vet(ledger.flock, bird_id, on, author, outcome)
    ledger.commit([Put(event)], author=author, what=f"{bird.title}: seen by a vet")
    return event


def put_off(
    ledger: Ledger, due: Due, until: dt.date, reason: str, author: str, today: dt.date
) -> Task:
    """Let something wait until a day, with a reason.

    Args:
        ledger: An open ledger.
        due: What shall wait.
        until: The day on which it is due again.
        reason: Why it may wait.
        author: Who says so.
        today: The day it is put off.

    Raises:
        RuleError: it may not wait, no reason is given, or the day will not do.
    """
    flock = ledger.flock
    if not due.may_wait:
        raise RuleError(
            f"{due.name or 'This'} cannot wait: it is for an avian vet today.",
            "Call the vet. When it was seen, Enter asks what was found.",
        )
    if not reason.strip():
        raise RuleError("No reason is given.", "Say why it may wait.")
    if not 0 < (until - today).days <= LONGEST_WAIT_DAYS:
        raise RuleError(
            f"{until} is no day to wait for.",
            "Give one within a year from tomorrow on.",
        )
    if due.task:
        task = task_of(flock, due.task)
        said = f"Put off from {task.due or today} by {author}: {reason.strip()}."
        notes = " ".join(filter(None, [task.notes, said]))
        new = replace(task, due=PartialDate.of(until), notes=notes)
    else:
        known = [t for t in open_tasks(flock, due.bird) if t.puts_off == due.key]
        new = Task(
            known[0].id if known else flock.next_id(Kind.TASK),
            due.bird,
            _AS_TASK.get(due.kind, TaskKind.OTHER),
            PartialDate.of(until),
            reason.strip(),
            set_on=PartialDate.of(today),
            puts_off=due.key,
        )
    what = f"{due.name or 'the flock'}: {due.kind} put off until {until}"
    ledger.commit([Put(new)], author=author, what=what)
    return new


def closed(flock: Flock, bird_id: str, kind: TaskKind, on: When) -> list[Change]:
    """Open tasks of a kind about a bird, done; for the act that does them."""
    return [
        Put(replace(task, done=date_of(on)))
        for task in open_tasks(flock, bird_id)
        if task.kind is kind
    ]


def open_tasks(flock: Flock, bird_id: str | None) -> list[Task]:
    """Tasks that are not done, of a bird; or of none."""
    tasks = flock.tasks_of(bird_id) if bird_id else flock.tasks.values()
    return [t for t in tasks if t.done is None and t.bird == bird_id]


def task_of(flock: Flock, task_id: str) -> Task:
    """The task with this id.

    Raises:
        NotFoundError: there is none.
    """
    task = flock.tasks.get(task_id)
    if task is None:
        raise NotFoundError(
            f"There is no task {task_id} in this ledger.", "Look it up on Today."
        )
    return task


def _seen_by_vet(
    flock: Flock, bird_id: str, on: When, author: str, outcome: str
) -> Event:
    if not outcome.strip():
        raise RuleError(
            "It is not said what the vet found or did.",
            "Write a few words: the next look under the ring builds on them.",
        )
    return Event(
        flock.next_id(Kind.EVENT),
        bird_id,
        EventKind.EXAMINED,
        date_of(on),
        text=outcome.strip(),
        by=author,
    )
