"""The day's list: chosen, told, printed; worked out anew only where things changed."""

import datetime as dt
import json

import pytest
from builders import a_bird, a_date, a_ring, an_event
from pypdfium2 import PdfDocument

from ledger.__main__ import main
from ledger.domain import EventKind, FlockSettings, Put, Task, TaskKind
from ledger.errors import LedgerError, RuleError
from ledger.services import book, today
from ledger.services.round_print import print_round, round_text
from ledger.services.today import DayLists, Press, day_list
from ledger.services.typed_days import day_to_come
from ledger.store import open_store

DAY = dt.date(2026, 3, 1)
THINGS = (
    FlockSettings(name="Tidewrack Aviaries"),
    a_bird(species="Psittacus erithacus", hatched="2015", location="Aviary 3"),
    a_bird("b0002", "Žofie [/x]", location="Aviary 1"),
    a_ring(bird="b0001", size_mm=11.5, put_on="2015-05-01"),
    an_event(kind=EventKind.RING_CHECKED, on="2025-02-01"),
    Task("t0001", "b0002", TaskKind.SEE_VET, a_date("2026-02-27"), "left foot"),
    Task("t0002", "b0002", TaskKind.WEIGH, a_date("2026-03-05"), "after the cure"),
    Task("t0003", None, TaskKind.OTHER, a_date("2026-03-01"), "order rings"),
)


@pytest.fixture
def folder(tmp_path):
    with open_store(tmp_path, create=True) as store:
        store.commit([Put(thing) for thing in THINGS], author="t", what="set up")
    return tmp_path


@pytest.fixture
def ledger(folder):
    with book.open_ledger(folder) as ledger:
        yield ledger


def shown(found, words="", **how):
    return [one.task or str(one.kind) for one in found.chosen(words, **how)]


def test_list__shows_what_presses_and_more_when_asked(ledger):
    found = day_list(ledger.flock, DAY)
    assert shown(found) == ["t0001", "t0003"]
    assert shown(found, everything=True) == ["t0001", "t0003", "t0002", "ring check"]
    assert found.summary == "1 now, 1 due (1 coming, 1 routine)"


def test_list__goes_aviary_by_aviary_with_the_homeless_last(ledger):
    found = day_list(ledger.flock, DAY)
    assert shown(found, everything=True, aviaries=True) == [
        "t0001", "t0002", "ring check", "t0003",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "count"),
    [("žofie", 2), ("aviary 1 vet", 1), ("WEIGH", 1), ("routine", 1), ("nobody", 0)],
)
def test_list__is_narrowed_by_all_of_the_words(ledger, words, count):
    found = day_list(ledger.flock, DAY)
    assert len(found.chosen(words, everything=True)) == count


def test_lists__work_out_only_what_changed_and_agree_with_a_new_one(
    ledger, monkeypatch
):
    lists = DayLists()
    asked = []
    one_bird = today.due_of_bird

    def counted(flock, bird, day):
        asked.append(bird.id)
        return one_bird(flock, bird, day)

    monkeypatch.setattr(today, "due_of_bird", counted)
    lists.of(ledger.flock, DAY)
    assert sorted(asked) == ["b0001", "b0002"]
    asked.clear()
    assert lists.of(ledger.flock, DAY).counted(Press.NOW) == 1
    assert asked == []
    book.add_note(ledger, "b0001", "bathed", DAY, "Nora")
    after = lists.of(ledger.flock, DAY)
    assert asked == ["b0001"]
    assert after == DayLists().of(ledger.flock, DAY)
    asked.clear()
    lists.of(ledger.flock, DAY + dt.timedelta(days=1))
    assert sorted(asked) == ["b0001", "b0002"]


def test_lists__stop_when_nobody_waits(ledger):
    def step():
        raise InterruptedError

    with pytest.raises(InterruptedError):
        DayLists().of(ledger.flock, DAY, step)


def test_round__as_text_has_a_box_for_each_and_names_the_ring(ledger):
    found = day_list(ledger.flock, DAY)
    text = round_text(ledger.flock, found, found.chosen(everything=True))
    assert text.count("[ ]") == 4
    assert "![ ] Žofie [/x]: see an avian vet: left foot" in text
    assert "Pip  IE TWK / 19 0007: ring check" in text
    assert "Never take a ring off at home" in text
    assert max(map(len, text.splitlines())) <= 80


def test_round__as_pdf_holds_every_line_on_pages_with_a_title(ledger, tmp_path):
    for number in range(80):
        book_task = Task(
            f"t1{number:03d}",
            "b0001",
            TaskKind.OTHER,
            a_date("2026-03-01"),
            f"job {number}",
        )
        ledger.commit([Put(book_task)], author="t", what="x")
    found = day_list(ledger.flock, DAY)
    path = tmp_path / "round.pdf"
    print_round(ledger.flock, found, found.chosen(), path)
    with PdfDocument(path) as document:
        pages = [page.get_textpage().get_text_range() for page in document]
    assert len(pages) > 1
    assert all("Tidewrack Aviaries: round of 2026-03-01" in page for page in pages)
    whole = " ".join(" ".join(pages).split())
    assert all(f"job {number}" in whole for number in range(80))


def test_round__where_it_cannot_be_written_says_so(ledger, tmp_path):
    found = day_list(ledger.flock, DAY)
    with pytest.raises(LedgerError, match="could not be written"):
        print_round(ledger.flock, found, [], tmp_path / "none" / "round.pdf")


# --- the command ---


def test_command__tells_what_is_due_and_ends_with_1(folder, capsys):
    assert main(["today", "--store", str(folder), "--on", "2026-03-01"]) == 1
    said = capsys.readouterr().out
    assert said.startswith("2026-03-01: 1 now, 1 due (1 coming, 1 routine).")
    assert "Now:\n  2026-02-27  see an avian vet: Žofie [/x] (Aviary 1)" in said


def test_command__ends_with_0_when_nothing_is_due(folder, capsys):
    assert main(["today", "--store", str(folder), "--on", "2026-02-01"]) == 0
    assert "nothing due" in capsys.readouterr().out


def test_command__answers_programs(folder, capsys):
    words = ["today", "--store", str(folder), "--on", "2026-03-01", "--json"]
    assert main([*words, "--everything", "--about", "žofie"]) == 1
    plain = json.loads(capsys.readouterr().out)
    assert (plain["day"], plain["now"], plain["due"]) == ("2026-03-01", 1, 1)
    assert [one["task"] for one in plain["list"]] == ["t0001", "t0002"]
    assert plain["list"][0]["presses"] == "now"


@pytest.mark.parametrize("name", ["round.pdf", "round.txt"])
def test_command__writes_the_round(folder, tmp_path, capsys, name):
    path = tmp_path / name
    words = ["today", "--store", str(folder), "--on", "2026-03-01"]
    assert main([*words, "--pdf", str(path)]) == 1
    assert path.read_bytes()[:4] == (b"%PDF" if name.endswith("pdf") else b"Tide")
    assert str(path) in capsys.readouterr().out.replace("\n", "").replace("    ", "")


def test_command__refuses_a_day_that_is_none(folder, capsys):
    assert main(["today", "--store", str(folder), "--on", "soon"]) == 2
    assert "“soon” is no day." in capsys.readouterr().err


# --- days to come, as typed ---


@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("today", "2026-03-01"),
        ("Tomorrow", "2026-03-02"),
        ("in 10 days", "2026-03-11"),
        ("10", "2026-03-11"),
        ("2 weeks", "2026-03-15"),
        ("in a week", "2026-03-08"),
        ("in 1 month", "2026-03-31"),
        ("2026-12-05", "2026-12-05"),
    ],
)
def test_day_to_come__as_a_keeper_writes_it(words, day):
    assert day_to_come(words, DAY).isoformat() == day


@pytest.mark.parametrize("words", ["", "soon", "2026-02-30", "2026-02-28", "99999"])
def test_day_to_come__refuses_the_rest(words):
    with pytest.raises(RuleError):
        day_to_come(words, DAY)
