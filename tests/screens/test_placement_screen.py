"""A bird goes to a new home and comes back, by keys; what its owner tells between."""

import pytest
from builders import a_bird, a_person, a_ring
from screen_walk import a_store, arrive, type_in, until, walking, words

from ledger.domain import EventKind, FlockSettings, Status
from ledger.screens.bird import BirdScreen
from ledger.store import open_store
from ledger.widgets.form import Form

FLOCK = (
    FlockSettings(name="Tidewrack Aviaries", keeper="h0002", vet="h0001"),
    a_person("h0001", "Una Keogh", role="vet", phone="+353 1 555 0100"),
    a_person("h0002", "Nora Byrne", role="keeper"),
    a_person("h0003", "Tom Quill", role="owner", phone="+353 1 555 0199"),
    a_bird(
        "b0003",
        "Pip",
        hatched="2019",
        species="Psittacus erithacus",
        medication=("Meloxicam",),
        feeding="Pellets",
    ),
    a_ring("r0001", "IE TWK / 19 0174", bird="b0003", put_on="2019"),
)


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", FLOCK)


def kept(store):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock


async def act(pilot, letter, page):
    await pilot.press("a")
    await arrive(pilot, "ActsScreen")
    await pilot.press(letter)
    return await arrive(pilot, page)


async def bird_page(pilot):
    pilot.app.push_screen(BirdScreen(pilot.app.screen.desk, "b0003"))
    await arrive(pilot, "BirdScreen")


async def at(pilot, step):
    await until(pilot, lambda: step in words(pilot, "#step"))
    await pilot.pause()


async def enter(pilot, **lines):
    for name, value in lines.items():
        pilot.app.screen.query_one(Form).put(name, value)
    await pilot.press("enter")
    await pilot.pause()


async def test_placement__there_told_of_and_back(store):
    async with walking(store) as pilot:
        await bird_page(pilot)
        screen = await act(pilot, "p", "PlacementScreen")
        await at(pilot, "1 of 3: to whom")
        await type_in(pilot, "tom quill")
        assert "Tom Quill, owner, +353 1 555 0199" in words(pilot, "#told")
        await pilot.press("enter")
        await at(pilot, "2 of 3: what they must know")
        await pilot.press("down")
        await type_in(pilot, "by its parents [/x]")
        await pilot.press("enter")
        await at(pilot, "3 of 3: All of it")
        said = screen.summary(screen._said)
        assert "No photo of its ring is kept" in said
        assert "It is on medication: Meloxicam" in said
        assert "Ask your authority before" in said
        assert kept(store).birds["b0003"].status is Status.ALIVE
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
        await until(pilot, lambda: "Written to" in words(pilot, "#computing"))
        paper = words(pilot, "#paper")
        assert "Tom Quill, +353 1 555 0199" in paper
        assert "by its parents [/x]" in paper
        await pilot.press("escape")
        await arrive(pilot, "BirdScreen")
        await act(pilot, "r", "ReportScreen")
        await pilot.press("enter")
        await until(pilot, lambda: "empty report" in words(pilot, "#trouble"))
        await type_in(pilot, "Eats well, plucks its breast")
        await pilot.press("down")
        await type_in(pilot, "405")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert "Eats well, plucks its breast  [Tom Quill]" in words(pilot, "#events")
        await act(pilot, "b", "HappenedScreen")
        assert "keep it apart" in pilot.app.screen._about
        await type_in(pilot, "Aviary 3")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
        assert "Aviary 3" in words(pilot, "#life")
        assert "by its parents [/x]" in words(pilot, "#life")
    flock = kept(store)
    (placement,) = flock.placements_of("b0003")
    assert (placement.person, str(placement.returned)) == ("h0003", "2026-01-15")
    assert len(flock.people) == 3
    kinds = [event.kind for event in flock.events_of("b0003")]
    assert set(kinds) == {EventKind.PLACED, EventKind.REPORTED, EventKind.RETURNED}
    assert (store / "papers" / "placement-b0003-m0001.pdf").is_file()


async def test_placement__a_new_person_is_asked_how_to_be_reached(store):
    async with walking(store) as pilot:
        await bird_page(pilot)
        await act(pilot, "p", "PlacementScreen")
        await at(pilot, "to whom")
        await pilot.press("enter")
        await until(pilot, lambda: "No name is given" in words(pilot, "#trouble"))
        await enter(pilot, person="Ида Žižka")
        await at(pilot, "2 of 4: how to reach them")
        await enter(pilot, phone="+420 555 0123", address="Brno")
        await at(pilot, "3 of 4")
        await enter(pilot, feeding="")
        await at(pilot, "4 of 4")
        screen = pilot.app.screen
        assert "not told its feeding and its rearing" in screen.summary(screen._said)
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
    flock = kept(store)
    person = flock.people[flock.birds["b0003"].owner]
    assert (person.name, person.phone, person.address) == (
        "Ида Žižka",
        "+420 555 0123",
        "Brno",
    )
    assert flock.birds["b0003"].feeding == ""


async def test_placement__someone_called_like_another_is_named_by_id(store):
    with open_store(store) as ledger:
        from ledger.domain.change import Put

        twin = a_person("h0009", "Tom Quill", role="vet")
        ledger.commit([Put(twin)], author="test", what="a namesake")
    async with walking(store) as pilot:
        await bird_page(pilot)
        await act(pilot, "p", "PlacementScreen")
        await at(pilot, "to whom")
        await enter(pilot, person="Tom Quill")
        await until(
            pilot, lambda: "more than one Tom Quill" in words(pilot, "#trouble")
        )
        await enter(pilot, person="h0009")
        await at(pilot, "what they must know")


async def test_care__is_kept_and_shown(store):
    async with walking(store) as pilot:
        await bird_page(pilot)
        await act(pilot, "h", "CareScreen")
        await enter(pilot, feeding="Pellets, no peanuts", rearing="by hand")
        await arrive(pilot, "BirdScreen")
        assert "no peanuts" in words(pilot, "#life")
    bird = kept(store).birds["b0003"]
    assert (bird.feeding, bird.rearing) == ("Pellets, no peanuts", "by hand")
