"""A ring comes off and a chip takes over: one act, refused or stored whole."""

from dataclasses import replace

import pytest
from builders import a_bird, a_chip, a_date, a_ring

from ledger.domain import EventKind, RingKind, RingState, Status
from ledger.domain.change import Put
from ledger.errors import LedgerError, RuleError
from ledger.services import book, history
from ledger.services.removal import RemovalDraft, Successor, take_off
from ledger.services.removal_checks import chip_said, objections, warnings
from ledger.store import open_store

ISO = "372098100000001"
DRAFT = RemovalDraft(
    "b0001",
    a_date("2026-01-10"),
    "r0001",
    reason="leg swollen under it",
    vet="Una Keogh",
    handlers=("Nora Byrne", "Tom Quill"),
    ring_kept="envelope with its papers",
    weight_g=410.0,
    chip=ISO,
    site="left pectoral muscle",
    scan="372 098 100000001",
    rule="BArtSchV",
)


@pytest.fixture
def ledger(tmp_path):
    with open_store(tmp_path / "ledger", create=True) as store:
        things = [
            a_bird(hatched="2019", species="Psittacus erithacus"),
            a_bird("b0002", "Juno", hatched="2019", status="dead"),
            a_ring(bird="b0001", put_on="2019"),
            a_ring("r0002", "IE TWK / 19 0009", bird="b0002"),
            a_ring("r0003", "IE TWK / 24 0010"),
            a_bird("b0003", "Rook"),
            a_chip("c0001", "3E7.1CBE991A14", bird="b0003"),
        ]
        store.commit([Put(thing) for thing in things], author="test", what="set up")
    with book.open_ledger(tmp_path / "ledger") as opened:
        yield opened


def fields(ledger, **changed):
    return {each.field for each in objections(ledger.flock, replace(DRAFT, **changed))}


def warned(ledger, **changed):
    found = warnings(ledger.flock, replace(DRAFT, **changed))
    return " ".join(str(each) for each in found)


def test_take_off__ring_chip_events_and_paper_in_one_act(ledger, tmp_path):
    photo = tmp_path / "ring.jpg"
    photo.write_bytes(b"a photo")
    acts = len(list(history.latest(ledger, 100)))
    removal = take_off(ledger, replace(DRAFT, photos=(photo,)), "Nora Byrne")
    flock = ledger.flock
    ring, chip = flock.rings["r0001"], flock.chips[removal.chip]
    assert ring.state is RingState.REMOVED
    assert (ring.removed_by, ring.removed_reason) == ("Una Keogh", DRAFT.reason)
    assert (ring.replaced_by, ring.kept) == (chip.id, "envelope with its papers")
    assert (chip.code, chip.bird, chip.site, chip.by) == (
        ISO,
        "b0001",
        "left pectoral muscle",
        "Una Keogh",
    )
    kinds = {event.kind for event in flock.events_of("b0001")}
    assert kinds == {EventKind.RING_REMOVED, EventKind.CHIPPED}
    assert flock.removals_of("b0001") == (removal,)
    assert (removal.scan, removal.handlers) == (ISO, ("Nora Byrne", "Tom Quill"))
    assert len(removal.photos) == 1
    assert len(list(history.latest(ledger, 100))) == acts + 1
    chain = flock.identity_chain("b0001")
    assert chain[0].replaced_by == chip
    assert chain[1].mark == chip


def test_take_off__is_taken_back_whole(ledger):
    take_off(ledger, DRAFT, "Nora Byrne")
    history.undo(ledger, "Nora Byrne")
    flock = ledger.flock
    assert flock.rings["r0001"].state is RingState.ON_BIRD
    assert len(flock.chips) == 1
    assert not flock.removals
    assert not flock.events


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"reason": " "}, "reason"),
        ({"vet": " "}, "vet"),
        ({"ring": "r0002"}, "ring"),
        ({"ring": "r9999"}, "ring"),
        ({"ring": None, "successor": Successor.NOTHING}, "ring"),
        ({"weight_g": 199.0}, "override"),
        ({"weight_g": None}, "override"),
        ({"chip": ""}, "chip"),
        ({"chip": "12345"}, "chip"),
        ({"chip": "999123456789012", "scan": "999123456789012"}, "chip"),  # Rook's
        ({"chip": "2858997D3B9F0001", "scan": "999123456789012"}, "chip"),  # the same
        ({"site": ""}, "site"),
        ({"scan": ""}, "scan"),
        ({"scan": "372098100000002"}, "scan"),
        ({"scan": "nothing"}, "scan"),
        ({"successor": Successor.RING}, "inscription"),
    ],
)
def test_take_off__refused_with_a_sentence_and_nothing_is_stored(
    ledger, changed, field
):
    assert field in fields(ledger, **changed)
    before = ledger.flock
    with pytest.raises(RuleError) as refused:
        take_off(ledger, replace(DRAFT, **changed), "Nora Byrne")
    assert str(refused.value).endswith((".", ".)"))
    assert ledger.flock is before


def test_take_off__all_is_well_without_objection(ledger):
    assert not objections(ledger.flock, DRAFT)


def test_take_off__a_photo_that_is_gone_leaves_all_as_it_was(ledger, tmp_path):
    before = ledger.flock
    with pytest.raises(LedgerError):
        take_off(ledger, replace(DRAFT, photos=(tmp_path / "gone.jpg",)), "N")
    assert ledger.flock is before


def test_chip__under_the_limit_only_when_the_vet_says_why(ledger):
    """BArtSchV s.13(1) sentence 3: not under 200 g."""
    (refused,) = objections(ledger.flock, replace(DRAFT, weight_g=95.0))
    assert "allows no chip under 200 g" in refused.message
    assert "BArtSchV s.13(1)" in refused.sentence
    light = replace(DRAFT, weight_g=95.0, override="ring cuts into the leg")
    assert "Una Keogh overrides it: ring cuts into the leg" in warned(
        ledger, weight_g=95.0, override="ring cuts into the leg"
    )
    removal = take_off(ledger, light, "Nora Byrne")
    assert (removal.rule, removal.override) == ("BArtSchV", "ring cuts into the leg")


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("0123456789", "Not every scanner sees a chip of 10 characters"),
        ("012345678", "Not every scanner sees a chip of 9 characters"),
        ("999000000112233", "999 chip is a test chip"),
        ("981000000000001", "981 is a maker's code"),
        ("895000000000001", "No country and no maker has 895"),
    ],
)
def test_chip__cautions_are_said_and_it_is_stored(ledger, code, said):
    """ISO 11784: 900 to 998 makers, 999 tests; older chips have 9 or 10 characters."""
    assert said in " ".join(chip_said(ledger.flock, code)) + warned(ledger, chip=code)
    assert said in warned(ledger, chip=code)
    removal = take_off(ledger, replace(DRAFT, chip=code, scan=code), "Nora Byrne")
    assert ledger.flock.chips[removal.chip].code == code


def test_chip__typed_in_hexadecimal_is_kept_as_15_digits(ledger):
    # ISO11784Tools, README and tests: 3E7.02DFDC1C35 is 999012345678901.
    removal = take_off(
        ledger,
        replace(DRAFT, chip="3E7.02DFDC1C35", scan="999012345678901"),
        "Nora Byrne",
    )
    assert ledger.flock.chips[removal.chip].code == "999012345678901"


def test_chip__said_while_typed(ledger):
    assert chip_said(ledger.flock, "") == ()
    assert "Ireland" in chip_said(ledger.flock, "372098100000001")[0]
    assert (
        "in the ledger already: Rook (b0003)"
        in chip_said(ledger.flock, "8000F9DCBE991A14")[0]
    )
    assert "no chip code" in chip_said(ledger.flock, "[/x]")[0]


def test_nothing__leaves_a_warning_and_a_task(ledger):
    draft = replace(
        DRAFT, successor=Successor.NOTHING, chip="", task_due=a_date("2026-01-24")
    )
    said = " ".join(map(str, warnings(ledger.flock, draft)))
    assert "nothing on the bird says who it is" in said
    assert "A task is set down" in said
    removal = take_off(ledger, draft, "Nora Byrne")
    (task,) = ledger.flock.tasks_of("b0001")
    assert (str(task.due), removal.chip) == ("2026-01-24", None)
    assert "Chip or ring" in task.text
    assert ledger.flock.events[task.because].kind is EventKind.RING_REMOVED


def test_ring__from_stock_takes_the_place(ledger):
    new = a_ring("", "IE TWK / 24 0010", kind=RingKind.SPLIT, leg="right")
    draft = replace(DRAFT, successor=Successor.RING, new_ring=new, chip="")
    assert "not where it was bred" in warned(
        ledger, successor=Successor.RING, new_ring=new
    )
    take_off(ledger, draft, "Nora Byrne")
    flock = ledger.flock
    assert flock.rings["r0001"].replaced_by == "r0003"
    assert flock.rings["r0003"].state is RingState.ON_BIRD
    assert flock.rings["r0003"].bird == "b0001"
    assert not flock.tasks


def test_ring__closed_on_a_grown_foot_is_warned_of(ledger):
    """No parrot after 4 weeks: papageien.org ringFAQ (a hobby page)."""
    new = a_ring("", "IE TWK / 26 0011", kind=RingKind.CLOSED, size_mm=7.0)
    said = warned(ledger, successor=Successor.RING, new_ring=new)
    assert "A closed ring does not go over the foot of Pip" in said
    # BArtSchV Anlage 6: Psittacus erithacus 11.5 mm.
    assert "11.5 mm" in said


def test_chip_alone__no_ring_comes_off(ledger):
    removal = take_off(ledger, replace(DRAFT, ring=None, reason=""), "Nora Byrne")
    assert ledger.flock.rings["r0001"].state is RingState.ON_BIRD
    assert removal.ring is None
    (event,) = ledger.flock.events_of("b0001")
    assert (event.kind, event.weight_g) == (EventKind.CHIPPED, 410.0)


def test_dead_bird__its_ring_is_kept_and_it_gets_no_chip(ledger):
    dead = {"bird": "b0002", "ring": "r0002"}
    assert fields(ledger, **dead) == {"successor"}
    draft = replace(DRAFT, **dead, successor=Successor.NOTHING, chip="")
    assert not [w for w in warnings(ledger.flock, draft) if w.field == "successor"]
    take_off(ledger, draft, "Nora Byrne")
    assert ledger.flock.birds["b0002"].status is Status.DEAD
    assert not ledger.flock.tasks


def test_warnings__say_that_a_vet_takes_rings_off(ledger):
    said = warned(ledger, ring_kept="")
    assert "Never take a ring off at home" in said
    assert "The ring is not kept" in said
    assert "Ask your authority before" in said
