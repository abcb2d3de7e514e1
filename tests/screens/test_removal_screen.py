"""A ring comes off, step by step, by keys alone."""

import pytest
from builders import a_bird, a_chip, a_person, a_ring
from screen_walk import a_store, arrive, toasts, type_in, until, walking, words
from textual.widgets import Input

from ledger.domain import FlockSettings, RingState
from ledger.screens.bird import BirdScreen
from ledger.screens.removal import RemovalScreen
from ledger.store import open_store
from ledger.widgets.form import Form

FLOCK = (
    FlockSettings(name="Tidewrack Aviaries", keeper="h0002", vet="h0001"),
    a_person("h0001", "Una Keogh", role="vet"),
    a_person("h0002", "Nora Byrne", role="keeper"),
    a_bird("b0003", "Pip", hatched="2019", species="Psittacus erithacus"),
    a_ring("r0001", "IE TWK / 19 0174", bird="b0003", put_on="2019"),
    a_bird("b0004", "Juno", hatched="2019"),
    a_chip("c0001", "981000000000001", bird="b0004"),
    a_bird("b0005", "Wren", status="dead", hatched="2010"),
    a_ring("r0005", "IE TWK / 10 0005", bird="b0005", put_on="2010"),
)


@pytest.fixture
def store(tmp_path):
    return a_store(tmp_path / "ledger", FLOCK)


def kept(store):
    with open_store(store, read_only=True) as ledger:
        return ledger.flock


async def begin(pilot, letter="x", bird_id="b0003"):
    pilot.app.push_screen(BirdScreen(pilot.app.screen.desk, bird_id))
    await arrive(pilot, "BirdScreen")
    await pilot.press("a")
    await arrive(pilot, "ActsScreen")
    await pilot.press(letter)
    screen = await arrive(pilot, "RemovalScreen")
    await at(pilot, "1 of")
    return screen


async def at(pilot, step):
    await until(pilot, lambda: step in words(pilot, "#step"))
    await pilot.pause()


async def enter(pilot, **lines):
    form = pilot.app.screen.query_one(Form)
    for name, value in lines.items():
        form.put(name, value)
    await pilot.press("enter")
    await pilot.pause()


async def to_the_chip(pilot, weight="410"):
    await enter(pilot, reason="leg swollen [/x]")
    await at(pilot, "who does it")
    await enter(pilot, weight=weight, handlers="Nora Byrne, Tom Quill")
    await at(pilot, "what is kept")
    await enter(pilot, ring_kept="envelope 7")
    await at(pilot, "what takes its place")
    await enter(pilot)
    await at(pilot, "the chip")


async def test_removal__by_keys_alone_to_the_paper_and_the_chain(store):
    async with walking(store) as pilot:
        await begin(pilot)
        assert "Never take a ring off at home" in words(pilot, "#about")
        await pilot.press("down")
        await type_in(pilot, "leg swollen")
        await pilot.press("enter")
        await at(pilot, "2 of 6: who does it")
        assert pilot.app.screen.query_one("#vet", Input).value == "Una Keogh"
        await pilot.press("down", "down")
        await type_in(pilot, "410")
        await pilot.press("enter")
        await at(pilot, "3 of 6: what is kept")
        await type_in(pilot, "envelope 7")
        await pilot.press("enter")
        await at(pilot, "4 of 6: what takes its place")
        await pilot.press("enter")
        await at(pilot, "5 of 6: the chip")
        await pilot.press("down")
        await type_in(pilot, "372098100000001")
        assert "372 is Ireland" in words(pilot, "#told")
        await pilot.press("down", "down")
        await type_in(pilot, "372098100000001")
        await pilot.press("enter")
        await at(pilot, "6 of 6: All of it")
        before = kept(store)
        assert before.rings["r0001"].state is RingState.ON_BIRD
        assert not before.removals
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
        await until(pilot, lambda: "Written to" in words(pilot, "#computing"))
        assert "RING REMOVED: PIP" in words(pilot, "#paper")
        await pilot.press("escape")
        await arrive(pilot, "BirdScreen")
        chain = words(pilot, "#chain")
        assert "now carries chip 372098100000001" in chain
        assert "● chip 372098100000001" in chain
        assert "It is kept: envelope 7" in chain
        assert "broken" not in chain
    assert (store / "papers" / "removal-b0003-x0001.pdf").is_file()
    after = kept(store)
    assert after.rings["r0001"].kept == "envelope 7"
    assert after.removals["x0001"].chip == "c0002"


async def test_removal__what_is_missing_is_said_where_it_belongs(store):
    async with walking(store) as pilot:
        screen = await begin(pilot)
        await enter(pilot)
        await until(pilot, lambda: "only with a reason" in words(pilot, "#trouble"))
        assert screen.focused.id == "reason"
        await enter(pilot, reason="worn", on="2027-01-01")
        await until(pilot, lambda: "lies ahead" in words(pilot, "#trouble"))
        await enter(pilot, on="2026-01-10")
        await at(pilot, "who does it")
        await enter(pilot, vet=" ")
        await until(pilot, lambda: "No vet is named" in words(pilot, "#trouble"))
        await enter(pilot, vet="Una Keogh", weight="[/x]")
        await until(pilot, lambda: "not a weight" in words(pilot, "#trouble"))
        await enter(pilot, weight="410")
        await at(pilot, "what is kept")
        await enter(pilot, photos="/no/such/photo.jpg")
        await until(pilot, lambda: "No photo at" in words(pilot, "#trouble"))
    assert not kept(store).removals


async def test_removal__chip_under_the_limit_waits_for_the_vets_word(store):
    async with walking(store) as pilot:
        screen = await begin(pilot)
        await to_the_chip(pilot, weight="95")
        assert "allows no chip under 200 g" in words(pilot, "#told")
        await enter(pilot, chip="372098100000001", scan="372098100000001")
        await until(
            pilot, lambda: "BArtSchV s.13(1) sentence 3" in words(pilot, "#trouble")
        )
        assert screen.focused.id == "override"
        await enter(pilot, override="the leg is lost otherwise")
        await at(pilot, "All of it")
        assert "overrides it: the leg is lost" in screen.summary(screen._said)
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
    assert kept(store).removals["x0001"].override == "the leg is lost otherwise"


async def test_removal__a_chip_of_another_bird_is_said_at_once(store):
    async with walking(store) as pilot:
        await begin(pilot)
        await to_the_chip(pilot)
        form = pilot.app.screen.query_one(Form)
        form.put("chip", "981 000000000001")
        await until(
            pilot, lambda: "in the ledger already: Juno" in words(pilot, "#told")
        )
        await enter(pilot, scan="981000000000001")
        await until(pilot, lambda: "already: Juno" in words(pilot, "#trouble"))
    assert not kept(store).removals


async def test_removal__escape_goes_back_and_keeps_what_was_typed(store):
    async with walking(store) as pilot:
        await begin(pilot)
        await to_the_chip(pilot)
        form = pilot.app.screen.query_one(Form)
        form.put("chip", "372098100000001")
        await pilot.press("escape")
        await at(pilot, "what takes its place")
        await pilot.press("enter")
        await at(pilot, "the chip")
        assert pilot.app.screen.query_one("#chip", Input).value == "372098100000001"
        for step in ("takes its place", "is kept", "who does it", "which ring"):
            await pilot.press("escape")
            await at(pilot, step)
        assert pilot.app.screen.query_one("#reason", Input).value == "leg swollen [/x]"


async def test_removal__leaving_asks_before_it_throws_away(store):
    async with walking(store) as pilot:
        await begin(pilot)
        await pilot.press("down")
        await type_in(pilot, "worn")
        await pilot.press("escape")
        await arrive(pilot, "ConfirmScreen")
        await pilot.press("escape")
        await arrive(pilot, "RemovalScreen")
        assert pilot.app.screen.query_one("#reason", Input).value == "worn"
        await pilot.press("escape")
        await arrive(pilot, "ConfirmScreen")
        await pilot.press("enter")
        await arrive(pilot, "BirdScreen")
    assert not kept(store).events


async def test_removal__untouched_is_left_without_a_question(store):
    async with walking(store) as pilot:
        await begin(pilot)
        await pilot.press("escape")
        await arrive(pilot, "BirdScreen")


async def test_removal__nothing_in_its_place_warns_and_sets_a_task(store):
    async with walking(store) as pilot:
        screen = await begin(pilot)
        await enter(pilot, reason="worn")
        await at(pilot, "who does it")
        await enter(pilot)
        await at(pilot, "what is kept")
        await enter(pilot)
        await at(pilot, "what takes its place")
        await pilot.press("right", "right", "enter")
        await at(pilot, "nothing in its place")
        assert "nothing on the bird says who it is" in words(pilot, "#about")
        await pilot.press("enter")
        await at(pilot, "All of it")
        assert "The ring is not kept" in screen.summary(screen._said)
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
        await pilot.press("escape")
        await arrive(pilot, "BirdScreen")
        assert "The chain is broken: Pip carries no ring" in words(pilot, "#chain")
    (task,) = kept(store).tasks.values()
    assert str(task.due) == "2026-01-29"


async def test_removal__a_new_ring_takes_its_place(store):
    async with walking(store) as pilot:
        await begin(pilot)
        await enter(pilot, reason="worn")
        await at(pilot, "who does it")
        await enter(pilot)
        await at(pilot, "what is kept")
        await enter(pilot)
        await at(pilot, "what takes its place")
        await pilot.press("right", "enter")
        await at(pilot, "the new ring")
        await enter(pilot)
        await until(pilot, lambda: "no inscription" in words(pilot, "#trouble"))
        await enter(pilot, inscription="IE TWK / 26 0009", size="x")
        await until(pilot, lambda: "not a size" in words(pilot, "#trouble"))
        await enter(pilot, size="11")
        await at(pilot, "All of it")
        await pilot.press("enter", "enter")
        await arrive(pilot, "PaperScreen")
        assert len(pilot.app.screen.desk.ledger.flock.removals) == 1
        assert not [title for title, _ in toasts(pilot) if title == "Not stored"]
    flock = kept(store)
    new = flock.rings[flock.rings["r0001"].replaced_by]
    assert (new.inscription, new.kind, new.size_mm) == ("IE TWK / 26 0009", "split", 11)


async def test_chip_alone__its_ring_stays_on(store):
    async with walking(store) as pilot:
        await begin(pilot, "i")
        await enter(pilot)
        await at(pilot, "2 of 5: who does it")
        await enter(pilot, weight="410")
        await at(pilot, "what is kept")
        await enter(pilot)
        await at(pilot, "the chip")
        await enter(pilot, chip="0123456789", scan="0123456789")
        await at(pilot, "All of it")
        said = pilot.app.screen.summary(pilot.app.screen._said)
        assert "Not every scanner sees a chip of 10 characters" in said
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
    assert kept(store).rings["r0001"].state is RingState.ON_BIRD
    assert kept(store).chips_of("b0003")[0].code == "0123456789"


async def test_dead_bird__its_ring_is_kept_in_four_steps(store):
    async with walking(store) as pilot:
        await begin(pilot, "x", "b0005")
        assert "Never take" not in words(pilot, "#about")
        await enter(pilot, reason="it died")
        await at(pilot, "2 of 4")
        await enter(pilot)
        await at(pilot, "3 of 4")
        await enter(pilot, ring_kept="tin")
        await at(pilot, "4 of 4: All of it")
        await pilot.press("enter")
        await arrive(pilot, "PaperScreen")
    assert kept(store).rings["r0005"].kept == "tin"
    assert not kept(store).tasks


async def test_pick__lists_the_vets_that_are_known(store):
    async with walking(store) as pilot:
        screen = await begin(pilot)
        await enter(pilot, reason="worn")
        await at(pilot, "who does it")
        await pilot.press("f2")
        await arrive(pilot, "PickScreen")
        await type_in(pilot, "nor")
        await pilot.press("down", "enter")
        await arrive(pilot, "RemovalScreen")
        assert screen.query_one("#vet", Input).value == "Nora Byrne"


async def test_removal__read_only_is_said_and_the_page_stays(store, monkeypatch):
    async with walking(store) as pilot:
        desk = pilot.app.screen.desk
        screen = RemovalScreen(desk, "b0003")
        pilot.app.push_screen(screen)
        await arrive(pilot, "RemovalScreen")
        await at(pilot, "1 of")
        await to_the_chip(pilot)
        await enter(pilot, chip="372098100000001", scan="372098100000001")
        await at(pilot, "All of it")
        monkeypatch.setattr(type(desk.ledger), "read_only", True)
        await pilot.press("enter")
        await until(pilot, lambda: "reading only" in words(pilot, "#trouble"))
        assert pilot.app.screen is screen


async def test_papers__from_the_birds_page_printed_anew(store):
    async with walking(store) as pilot:
        pilot.app.push_screen(BirdScreen(pilot.app.screen.desk, "b0003"))
        await arrive(pilot, "BirdScreen")
        await pilot.press("f4")
        screen = await arrive(pilot, "PaperScreen")
        assert "PIP GOES TO A NEW HOME" in words(pilot, "#paper")
        assert "o" not in screen.active_bindings
        await pilot.press("p")
        await until(pilot, lambda: "Written to" in words(pilot, "#computing"))
    assert (store / "papers" / "placement-b0003-draft.pdf").is_file()
