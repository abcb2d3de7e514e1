"""What a keeper enters, on a real ledger in a folder."""

import datetime as dt
import hashlib

import pytest
from builders import TODAY, a_bird, a_chip, a_date, a_person, a_ring

from ledger import paths
from ledger.domain import (
    EventKind,
    Kind,
    Leg,
    PartialDate,
    Put,
    RingKind,
    RingState,
    Status,
)
from ledger.errors import (
    NotFoundError,
    RuleError,
    StoreError,
    StoreMissingError,
    StoreReadOnlyError,
)
from ledger.services import book, checking


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        yield opened


@pytest.fixture
def pip(ledger):
    ring = a_ring("", bird=None)
    return book.register_bird(ledger, a_bird("", hatched="2019"), "Nora", rings=[ring])


def ring_of(ledger, bird):
    return ledger.flock.rings_of(bird.id)[0]


def reopened(ledger):
    with book.open_ledger(ledger.folder, read_only=True) as again:
        return again.flock


def test_place__the_folder_asked_for_or_the_keepers_own(tmp_path):
    assert book.place(tmp_path) == tmp_path
    assert book.place(None) == paths.ledger_folder()


def test_open__nothing_there(tmp_path):
    with pytest.raises(StoreMissingError):
        book.open_ledger(tmp_path)


def test_register__gives_ids_and_puts_the_ring_on(ledger, pip):
    ring = ring_of(ledger, pip)
    assert (pip.id, ring.id, ring.state) == ("b0001", "r0001", RingState.ON_BIRD)
    second = book.register_bird(ledger, a_bird("", "Juno"), "Nora", chips=[a_chip("")])
    assert second.id == "b0002"
    assert ledger.flock.chips_of("b0002")[0].id == "c0001"
    assert reopened(ledger) == ledger.flock


def test_register__a_ring_that_another_bird_wears_is_refused(ledger, pip):
    with pytest.raises(RuleError, match="entered for two birds: Pip and Juno") as no:
        book.register_bird(
            ledger, a_bird("", "Juno"), "Nora", rings=[a_ring("", bird=None)]
        )
    assert no.value.hint
    assert len(reopened(ledger).birds) == 1


def test_register__its_own_ancestor_is_refused(ledger, pip):
    young = book.register_bird(ledger, a_bird("", "Kit", sire=pip.id), "Nora")
    with pytest.raises(RuleError, match="Pip is its own ancestor"):
        book.change_bird(ledger, a_bird(pip.id, "Pip", sire=young.id), "Nora")
    assert ledger.flock.birds[pip.id].sire is None


def test_change_bird__stores_it(ledger, pip):
    book.change_bird(ledger, a_bird(pip.id, "Pippa", alerts=("bites",)), "Nora")
    assert reopened(ledger).birds[pip.id].alerts == ("bites",)
    with pytest.raises(NotFoundError, match="no bird b0099"):
        book.change_bird(ledger, a_bird("b0099"), "Nora")


def test_note__with_and_without_weight(ledger, pip):
    note = book.add_note(ledger, pip.id, " Eats well ", TODAY, "Nora", weight_g=401.5)
    weighed = book.add_note(ledger, pip.id, "", TODAY, "Nora", weight_g=400)
    assert (note.kind, note.text, note.by) == (EventKind.NOTE, "Eats well", "Nora")
    assert (weighed.kind, weighed.weight_g) == (EventKind.WEIGHED, 400)
    assert set(reopened(ledger).events) == {note.id, weighed.id}


@pytest.mark.parametrize(
    ("text", "weight", "on", "said"),
    [
        ("  ", None, TODAY, "empty note"),
        ("x", -3, TODAY, "weight of -3 g"),
        ("x", None, dt.date(2018, 12, 31), "before it hatched 2019"),
    ],
)
def test_note__refused(ledger, pip, text, weight, on, said):
    with pytest.raises(RuleError, match=said):
        book.add_note(ledger, pip.id, text, on, "Nora", weight_g=weight)
    assert ledger.flock.events == {}


@pytest.mark.parametrize(
    ("kind", "status"),
    [
        (EventKind.DIED, Status.DEAD),
        (EventKind.LOST, Status.LOST),
        (EventKind.EXAMINED, Status.ALIVE),
    ],
)
def test_event__the_status_follows(ledger, pip, kind, status):
    book.record_event(ledger, pip.id, kind, a_date("2020"), "Nora")
    assert reopened(ledger).birds[pip.id].status is status


def test_event__lost_and_found_and_moved(ledger, pip):
    book.record_event(ledger, pip.id, EventKind.LOST, a_date("2020"), "Nora")
    book.record_event(ledger, pip.id, EventKind.FOUND, a_date("2021"), "Nora")
    book.record_event(ledger, pip.id, EventKind.MOVED, TODAY, "Nora", at="Aviary 9")
    bird = reopened(ledger).birds[pip.id]
    assert (bird.status, bird.location) == (Status.ALIVE, "Aviary 9")


def test_sighting__keeps_the_photo_once_and_the_reading(ledger, pip, tmp_path):
    picture = tmp_path / "IMG [2024] ä.JPG"
    picture.write_bytes(b"as if it were a picture")
    seen = book.confirm_sighting(
        ledger, pip.id, "r0001", "IE TWK 19 0007", TODAY, "Nora", [picture, picture]
    )
    book.confirm_sighting(ledger, pip.id, "r0001", "", TODAY, "Nora", [picture])
    assert (seen.kind, seen.ring) == (EventKind.SIGHTED, "r0001")
    assert "IE TWK 19 0007" in seen.text
    (photo,) = reopened(ledger).photos.values()
    assert seen.photos == (photo.id,)
    assert (photo.bird, photo.ring) == (pip.id, "r0001")
    kept = book.photo_file(ledger, photo)
    assert kept.read_bytes() == picture.read_bytes()
    assert hashlib.sha256(kept.read_bytes()).hexdigest() == photo.sha256
    assert [path.name for path in kept.parent.iterdir()] == [kept.name]


def test_sighting__of_another_birds_ring_is_refused(ledger, pip):
    juno = book.register_bird(ledger, a_bird("", "Juno"), "Nora")
    with pytest.raises(RuleError, match="is not entered for Juno"):
        book.confirm_sighting(ledger, juno.id, "r0001", "x", TODAY, "Nora")
    with pytest.raises(NotFoundError, match="no ring r0099"):
        book.confirm_sighting(ledger, juno.id, "r0099", "x", TODAY, "Nora")


def test_photo__missing_file(ledger, pip, tmp_path):
    with pytest.raises(NotFoundError, match="cannot be read"):
        book.add_photo(ledger, tmp_path / "no.jpg", "Nora", bird_id=pip.id)
    assert ledger.flock.photos == {}


def test_photo__twice_is_one(ledger, pip, tmp_path):
    (tmp_path / "a.jpg").write_bytes(b"1")
    (tmp_path / "b.png").write_bytes(b"1")
    first = book.add_photo(ledger, tmp_path / "a.jpg", "Nora", bird_id=pip.id)
    second = book.add_photo(ledger, tmp_path / "b.png", "Nora")
    assert first == second
    assert len(list((ledger.folder / "photos").iterdir())) == 1


def test_photo__a_full_disk_leaves_no_half_copy(ledger, pip, tmp_path, monkeypatch):
    (tmp_path / "a.jpg").write_bytes(b"1")

    def full(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr("shutil.copyfileobj", full)
        with pytest.raises(StoreError, match="No space left"):
            book.add_photo(ledger, tmp_path / "a.jpg", "Nora")
    assert list((ledger.folder / "photos").iterdir()) == []
    assert ledger.flock.photos == {}


def test_put_on_ring__new_and_from_stock(ledger, pip):
    ledger.commit(
        [Put(a_ring("r0005", "TWK 5", bird=None, issuer="TWK", size_mm=7.5))],
        author="Nora",
        what="ordered",
    )
    new = book.put_on_ring(ledger, pip.id, a_ring("", "Q 1"), TODAY, "Nora")
    stock = book.put_on_ring(
        ledger, pip.id, a_ring("", "twk  5", leg=Leg.RIGHT), TODAY, "Nora"
    )
    assert (new.id, new.bird, new.put_on) == ("r0006", pip.id, PartialDate.of(TODAY))
    assert (stock.id, stock.size_mm, stock.leg) == ("r0005", 7.5, Leg.RIGHT)
    kinds = {event.kind for event in reopened(ledger).events_of(pip.id)}
    assert kinds == {EventKind.RING_PUT_ON}


def test_put_on_ring__one_that_is_worn_is_refused(ledger, pip):
    with pytest.raises(RuleError, match="not in stock: it is on bird"):
        book.put_on_ring(ledger, pip.id, ring_of(ledger, pip), TODAY, "Nora")
    with pytest.raises(NotFoundError):
        book.put_on_ring(ledger, "b0099", a_ring("", "Q 1"), TODAY, "Nora")


def off(ledger, ring_id, **fields):
    fields = {"reason": "leg swollen", "removed_by": "Dr U. Keogh", **fields}
    return book.remove_ring_with_chip(ledger, ring_id, TODAY, "Nora", **fields)


def test_remove_ring__a_chip_takes_over(ledger, pip):
    ring = off(ledger, "r0001", chip=a_chip("", bird=None))
    flock = reopened(ledger)
    assert (ring.state, ring.replaced_by) == (RingState.REMOVED, "c0001")
    assert (flock.chips["c0001"].bird, flock.rings["r0001"]) == (pip.id, ring)
    assert {(e.kind, e.chip) for e in flock.events_of(pip.id)} == {
        (EventKind.RING_REMOVED, "c0001"),
        (EventKind.CHIPPED, "c0001"),
    }
    assert [bird.id for bird in flock.bird_by(ring.inscription)] == [pip.id]
    assert checking.check(ledger) == []


def test_remove_ring__a_chip_it_has_already(ledger, pip):
    ledger.commit([Put(a_chip(bird=pip.id))], author="Nora", what="chipped")
    off(ledger, "r0001", chip=ledger.flock.chips["c0001"])
    kinds = [event.kind for event in ledger.flock.events_of(pip.id)]
    assert kinds == [EventKind.RING_REMOVED]


@pytest.mark.parametrize("blank", ["reason", "removed_by"])
def test_remove_ring__needs_a_reason_and_a_name(ledger, pip, blank):
    with pytest.raises(RuleError, match="with a reason and a name"):
        off(ledger, "r0001", **{blank: " "})
    assert ring_of(ledger, pip).state is RingState.ON_BIRD


def test_remove_ring__refused_for_one_that_is_off_or_a_foreign_chip(ledger, pip):
    juno = book.register_bird(
        ledger, a_bird("", "Juno"), "Nora", chips=[a_chip("", bird=None)]
    )
    chip = ledger.flock.chips_of(juno.id)[0]
    with pytest.raises(RuleError, match="is in another bird"):
        off(ledger, "r0001", chip=chip)
    off(ledger, "r0001")
    with pytest.raises(RuleError, match="on no bird: it is removed"):
        off(ledger, "r0001")


def test_remove_ring__without_a_successor_is_found_by_the_check(ledger, pip):
    off(ledger, "r0001")
    assert ring_of(ledger, pip).kind is RingKind.CLOSED
    assert any("nothing took its place" in f.message for f in checking.check(ledger))


def test_placement__out_and_back(ledger, pip):
    placement = book.place_bird(
        ledger, pip.id, a_person("", "Ann", phone="1"), a_date("2020"), "Nora"
    )
    flock = reopened(ledger)
    assert flock.people[placement.person].name == "Ann"
    bird = flock.birds[pip.id]
    assert (bird.status, bird.owner) == (Status.PLACED, placement.person)
    with pytest.raises(RuleError, match="cannot be placed: it is placed"):
        book.place_bird(ledger, pip.id, placement.person, TODAY, "Nora")
    book.bring_back(ledger, pip.id, TODAY, "Nora", location="Aviary 2")
    flock = reopened(ledger)
    bird = flock.birds[pip.id]
    assert (bird.status, bird.location, bird.owner) == (Status.ALIVE, "Aviary 2", None)
    assert str(flock.placements[placement.id].returned) == TODAY.isoformat()
    with pytest.raises(RuleError, match="not placed"):
        book.bring_back(ledger, pip.id, TODAY, "Nora")


def test_placement__with_a_person_nobody_knows_is_refused(ledger, pip):
    with pytest.raises(RuleError, match="no such person"):
        book.place_bird(ledger, pip.id, "h0099", TODAY, "Nora")


def test_read_only__every_act_is_refused_and_copies_nothing(ledger, pip, tmp_path):
    (tmp_path / "a.jpg").write_bytes(b"1")
    with book.open_ledger(ledger.folder, read_only=True) as reader:
        with pytest.raises(StoreReadOnlyError):
            book.add_note(reader, pip.id, "x", TODAY, "Nora")
        with pytest.raises(StoreReadOnlyError):
            book.add_photo(reader, tmp_path / "a.jpg", "Nora")
        with pytest.raises(StoreReadOnlyError):
            book.confirm_sighting(
                reader, pip.id, None, "x", TODAY, "Nora", [tmp_path / "a.jpg"]
            )
        book.add_note(ledger, pip.id, "x", TODAY, "Nora")
        assert reader.reload() == ledger.flock
    assert not (ledger.folder / "photos").exists()


def test_commit__counts_what_else_is_wrong(ledger):
    birds = [Put(a_bird(f"b{n:04d}", f"Kit {n}", sire="b0099")) for n in (1, 2, 3)]
    with pytest.raises(RuleError, match="And 2 more"):
        ledger.commit(birds, author="Nora", what="three")
    assert ledger.flock.next_id(Kind.BIRD) == "b0001"


def test_checking__a_picture_that_is_gone(ledger, pip, tmp_path):
    (tmp_path / "a.jpg").write_bytes(b"1")
    photo = book.add_photo(ledger, tmp_path / "a.jpg", "Nora")
    assert checking.check(ledger) == []
    book.photo_file(ledger, photo).unlink()
    (finding,) = checking.check(ledger)
    assert finding.subject_id == photo.id
    assert photo.sha256 in finding.remedy
