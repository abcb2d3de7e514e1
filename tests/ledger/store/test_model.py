"""Random acts, undo, reopening and kills are the same as a plain model in memory."""

import copy
import shutil
import tempfile
from pathlib import Path

import pytest
from builders import a_bird, an_event
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from ledger.domain import Drop, EventKind, Kind, Put
from ledger.errors import NotFoundError
from ledger.services import book, history
from ledger.store import open_store

NUMBERS = st.integers(1, 12)
TEXTS = st.text(max_size=12).filter(lambda text: text.isprintable() or "\n" in text)
DATES = st.sampled_from(["2019", "2019-04", "2020-02-29", "spring 2021", "winter 2022"])


class LedgerAndModel(RuleBasedStateMachine):
    """The model is two dicts, and a list of how they were before each act."""

    @initialize()
    def begin(self):
        self.folder = Path(tempfile.mkdtemp())
        self.ledger = book.open_ledger(self.folder / "ledger", create=True)
        self.model = {Kind.BIRD: {}, Kind.EVENT: {}}
        self.before = []
        self.copies = 0

    def teardown(self):
        if hasattr(self, "ledger"):
            self.ledger.close()
            shutil.rmtree(self.folder)

    def act(self, changes):
        self.ledger.commit_unchecked(changes, author="Nora", what="act")
        self.before.append(copy.deepcopy(self.model))
        for change in changes:
            if isinstance(change, Put):
                self.model[change.thing.KIND][change.thing.id] = change.thing
            else:
                self.model[change.kind].pop(change.id, None)

    @rule(number=NUMBERS, name=TEXTS, notes=TEXTS)
    def put_bird(self, number, name, notes):
        self.act([Put(a_bird(f"b{number:04d}", name, notes=notes))])

    @rule(number=NUMBERS, bird=NUMBERS, on=DATES, kind=st.sampled_from(EventKind))
    def put_event(self, number, bird, on, kind):
        event = an_event(f"e{number:04d}", f"b{bird:04d}", kind, on)
        self.act([Put(event)])

    @rule(numbers=st.lists(NUMBERS, min_size=1, max_size=5, unique=True), name=TEXTS)
    def put_and_drop_several(self, numbers, name):
        drops = [Drop(Kind.EVENT, f"e{number:04d}") for number in numbers]
        puts = [Put(a_bird(f"b{number:04d}", name)) for number in numbers]
        self.act([drops[0], *puts, *drops[1:], Put(an_event(drops[0].id))])

    @precondition(lambda self: self.model[Kind.EVENT])
    @rule(which=st.integers(0, 99))
    def drop_event(self, which):
        known = sorted(self.model[Kind.EVENT])
        self.act([Drop(Kind.EVENT, known[which % len(known)])])

    @rule()
    def undo(self):
        # By the store alone: the rules of the flock are another test's matter.
        commit = self.ledger.commit
        self.ledger.commit = self.unchecked
        try:
            history.undo(self.ledger, "Max")
        except NotFoundError:
            assert not self.before
        else:
            self.model = self.before.pop()
        finally:
            self.ledger.commit = commit

    def unchecked(self, changes, **words):
        return self.ledger._store.commit(changes, **words)

    @rule()
    def reopen(self):
        self.ledger.close()
        self.ledger = book.open_ledger(self.folder / "ledger")

    @rule()
    def compact(self):
        self.ledger._store._file.compact()

    @rule()
    def look_from_another_window(self):
        with open_store(self.folder / "ledger", read_only=True) as reader:
            assert reader.flock == self.ledger.flock

    @rule()
    def go_on_from_what_a_kill_leaves(self):
        """The files as they are this moment, without closing anything."""
        self.copies += 1
        there = self.folder / f"copy {self.copies}"
        shutil.copytree(self.folder / "ledger", there)
        with open_store(there) as store:
            assert store.flock == self.ledger.flock
            assert store.notices == ()

    @invariant()
    def both_are_the_same(self):
        if not hasattr(self, "model"):
            return
        flock = self.ledger.flock
        assert dict(flock.birds) == self.model[Kind.BIRD]
        assert dict(flock.events) == self.model[Kind.EVENT]
        assert len(flock.events) == len(self.model[Kind.EVENT])
        for bird in ("b0001", "b0007"):
            found = {event.id for event in flock.events_of(bird)}
            assert found == {
                e.id for e in self.model[Kind.EVENT].values() if e.bird == bird
            }
        sighted = {
            e.bird
            for e in self.model[Kind.EVENT].values()
            if e.kind is EventKind.SIGHTED
        }
        assert {event.bird for event in flock.last_sightings()} == sighted


LedgerAndModel.TestCase.settings = settings(
    max_examples=40,
    stateful_step_count=25,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
TestLedgerAndModel = pytest.mark.slow(LedgerAndModel.TestCase)
