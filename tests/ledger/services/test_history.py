"""What was done, and taking it back as a new act; refused where others build on it."""

import pytest
from builders import TODAY, a_bird, a_ring

from ledger.domain import Kind, Put
from ledger.errors import NotFoundError, RuleError, StoreReadOnlyError
from ledger.services import book, history


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path, create=True) as ledger:
        yield ledger


def register(ledger, name="Pip", **fields):
    return book.register_bird(ledger, a_bird("", name, **fields), "Nora")


def test_undo__one_after_the_other_back_to_nothing(ledger):
    states = [ledger.flock]
    pip = register(ledger)
    states.append(ledger.flock)
    note = book.add_note(ledger, pip.id, "Bright.", TODAY, "Nora")
    states.append(ledger.flock)
    book.change_bird(ledger, a_bird(pip.id, "Pippa"), "Max")
    while states:
        expected = states.pop()
        history.undo(ledger, "Nora")
        assert ledger.flock == expected
    with pytest.raises(NotFoundError, match="nothing to take back"):
        history.undo(ledger, "Nora")
    # Ids are never given again.
    assert ledger.flock.next_id(Kind.BIRD) == "b0002"
    assert ledger.flock.next_id(Kind.EVENT) > note.id


def test_undo__is_an_act_of_its_own_and_can_be_taken_back(ledger):
    register(ledger)
    before = ledger.flock
    history.undo(ledger, "Max")
    undoing, first = history.latest(ledger, 5)
    assert (undoing.author, undoing.undoes) == ("Max", first.number)
    assert first.what in undoing.what
    history.take_back(ledger, undoing.number, "Nora")
    assert ledger.flock == before
    # And what stands again can be undone again.
    assert history.undo(ledger, "Nora").number == first.number
    assert not ledger.flock.birds


def test_take_back__an_old_act_that_nothing_builds_on(ledger):
    pip, juno = register(ledger), register(ledger, "Juno")
    book.change_bird(ledger, a_bird(pip.id, "Pippa"), "Nora")
    renamed = history.latest(ledger, 1)[0]
    book.add_note(ledger, juno.id, "Bright.", TODAY, "Nora")
    history.take_back(ledger, renamed.number, "Nora")
    assert ledger.flock.birds[pip.id].name == "Pip"
    assert len(ledger.flock.events) == 1
    with pytest.raises(NotFoundError, match="was taken back already"):
        history.take_back(ledger, renamed.number, "Nora")


def test_take_back__refused_where_the_same_thing_was_changed_since(ledger):
    pip = register(ledger)
    book.change_bird(ledger, a_bird(pip.id, "Pippa"), "Nora", "renamed Pip")
    book.change_bird(ledger, a_bird(pip.id, "Pippin"), "Max", "renamed again")
    before = ledger.flock
    with pytest.raises(RuleError, match="renamed again") as refused:
        history.take_back(ledger, 2, "Nora")
    assert "Take back change 3 first" in refused.value.hint
    assert ledger.flock is before
    history.take_back(ledger, 3, "Nora")
    history.take_back(ledger, 2, "Nora")
    assert ledger.flock.birds[pip.id].name == "Pip"


def test_take_back__refused_where_a_rule_says_no(ledger):
    pip = register(ledger)
    book.add_note(ledger, pip.id, "Bright.", TODAY, "Nora")
    young = register(ledger, "Juno", sire=pip.id)
    with pytest.raises(RuleError):
        history.take_back(ledger, 1, "Nora")
    assert pip.id in ledger.flock.birds
    assert young.id in ledger.flock.birds


def test_take_back__no_such_change(ledger):
    register(ledger)
    for number in (0, -1, 9):
        with pytest.raises(NotFoundError, match="no change"):
            history.take_back(ledger, number, "Nora")


def test_history__of_one_bird_and_all_that_is_its_own(ledger):
    pip, juno = register(ledger), register(ledger, "Juno")
    book.add_note(ledger, juno.id, "Not about Pip.", TODAY, "Nora")
    book.put_on_ring(ledger, pip.id, a_ring("", leg="left"), TODAY, "Nora")
    book.add_note(ledger, pip.id, "A slip.", TODAY, "Max")
    history.undo(ledger, "Max")
    acts = history.of_bird(ledger, pip.id)
    assert [act.number for act in acts] == [6, 5, 4, 1]
    assert [act.author for act in acts] == ["Max", "Max", "Nora", "Nora"]
    ledger.close()
    with book.open_ledger(ledger.folder, read_only=True) as again:
        assert [act.number for act in history.of_bird(again, pip.id)] == [6, 5, 4, 1]
        with pytest.raises(StoreReadOnlyError):
            history.undo(again, "Nora")
        with pytest.raises(NotFoundError):
            history.of_bird(again, "b0099")


def test_history__keeps_what_stood_there_before(ledger):
    ledger.commit([Put(a_bird(name="Pip", notes="Bold."))], author="N", what="in")
    ledger.commit([Put(a_bird(name="Pippa"))], author="N", what="renamed")
    (touch,) = history.latest(ledger, 1)[0].touched
    assert (touch.before.name, touch.before.notes) == ("Pip", "Bold.")
