"""The command line as another program meets it: words in; output and exit code out."""

import json
import os
import re
import signal
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest
from builders import a_bird, a_ring

from ledger.__main__ import FAULT, INTERRUPTED, READER_GONE, main
from ledger.domain import Put
from ledger.store import open_store

DONE, LOOK, USAGE, STORE = 0, 1, 2, 3

FLOCK = """\
bird,name,species,sex,hatched,sire,dam,status,location,ring,ring_kind,ring_leg
b0001,Bran,Ara ararauna,cock,2011,,,alive,Aviary 1,IE TWK 11 0001,closed,left
b0002,Mebh,Ara ararauna,hen,spring 2012,,,alive,,IE TWK 12 0002,closed,right
b0003,Pip,Ara ararauna,m,2019-04-12,b0001,b0002,alive,,IE TWK 19 0173,closed,left
b0004,Juno,Ara ararauna,f,2019-04,b0001,b0002,placed,,IE TWK 19 0179,closed,right
"""


def run(capsys, *words):
    """Exit code, standard output and standard error of one command."""
    exit_code = main([str(word) for word in words])
    out, err = capsys.readouterr()
    return exit_code, out, err


def run_json(capsys, *words):
    """Exit code and the answer of one command with `--json`; stdout is only that."""
    exit_code, out, _ = run(capsys, *words, "--json")
    return exit_code, json.loads(out)


def program(*words, **options):
    """The program in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "ledger", *map(str, words)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        **options,
    )


@pytest.fixture
def flock_csv(tmp_path):
    file = tmp_path / "flock.csv"
    file.write_text(FLOCK, encoding="utf-8")
    return file


@pytest.fixture
def store(tmp_path, flock_csv, capsys):
    """A ledger of four birds."""
    folder = tmp_path / "store"
    assert main(["import", str(flock_csv), "--store", str(folder)]) == DONE
    capsys.readouterr()
    return folder


@contextmanager
def held(store):
    """Another process holds the ledger, as an open window does."""
    holder = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "import sys; from pathlib import Path\n"
            "from ledger.services.book import open_ledger\n"
            "ledger = open_ledger(Path(sys.argv[1]))\n"
            "print('held', flush=True); sys.stdin.read()",
            str(store),
        ],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert holder.stdout.readline() == "held\n"
        yield
    finally:
        holder.communicate("")


def contents(folder):
    """Every file of a folder with its bytes and time of change."""
    return {
        str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


# --- words ---


@pytest.mark.parametrize(
    "words",
    [
        ["sing"],
        ["card"],
        ["read"],
        ["identify"],
        ["explain"],
        ["import"],
        ["export"],
        ["identify", "a.jpg", "--text", "TWK"],
        ["identify", "--text", "TWK", "--leg", "middle"],
        ["identify", "--text", "???"],
        ["explain", "--text", "  "],
        ["card", "Pip", "--stor", "x"],
        ["check", "--colour", "red"],
    ],
)
def test_wrong_words__are_told_with_code_2(capsys, words):
    exit_code, out, err = run(capsys, *words)
    assert exit_code == USAGE
    assert out == ""
    sentence, hint = err.splitlines()
    assert sentence.endswith(".")
    assert "flock-ledger" in hint or "?" in hint


def test_wrong_words__answer_a_program_in_json(capsys):
    exit_code, answer = run_json(capsys, "identify")
    assert exit_code == USAGE
    assert set(answer) == {"error", "hint"}


def test_no_command_and_no_terminal__says_so(capsys):
    process = program()
    out, err = process.communicate()
    assert process.returncode == USAGE
    assert out == ""
    assert "terminal" in err


def test_demo__without_a_terminal__lays_out_a_private_copy(capsys, tmp_path):
    exit_code, answer = run_json(capsys, "demo")
    assert exit_code == DONE
    assert Path(answer["store"]).is_relative_to(os.environ["FLOCK_LEDGER_HOME"])
    assert answer["photos"]
    assert all(Path(photo).is_file() for photo in answer["photos"])
    exit_code, found = run_json(
        capsys, "identify", "--text", "TWK 23 0071", "--store", answer["store"]
    )
    assert (exit_code, found["verdict"]) == (DONE, "sure")
    mine = tmp_path / "mine"
    exit_code, out, _ = run(capsys, "demo", "--store", mine)
    assert exit_code == DONE
    assert str(mine) in out
    assert (mine / "ledger.json").is_file()


def test_help__names_every_command(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    said = capsys.readouterr().out
    for command in ("demo", "read", "identify", "explain", "card", "import", "check"):
        assert f"\n    {command} " in said


@pytest.mark.parametrize("before", [True, False])
def test_store__may_be_named_before_or_after_the_command(capsys, store, before):
    place = ["--store", store]
    words = [*place, "card", "Pip"] if before else ["card", "Pip", *place]
    exit_code, out, _ = run(capsys, *words)
    assert exit_code == DONE
    assert "PIP" in out


def test_json__may_be_named_before_the_command(capsys, store):
    exit_code, out, _ = run(capsys, "--json", "card", "Pip", "--store", store)
    assert exit_code == DONE
    assert json.loads(out)["name"] == "Pip"


# --- the bird ---


@pytest.mark.parametrize("words", ["b0003", "pip", "IE TWK 19 0173", "twk190173 "])
def test_card__finds_the_bird_by_id_name_or_ring(capsys, store, words):
    if words == "twk190173 ":
        words = "ietwk190173"
    exit_code, answer = run_json(capsys, "card", words, "--store", store)
    assert exit_code == DONE
    assert answer["bird"] == "b0003"


def test_card__of_a_bird_nobody_knows(capsys, store):
    exit_code, out, err = run(capsys, "card", "Polly", "--store", store)
    assert exit_code == LOOK
    assert out == ""
    assert "Polly" in err


def test_card__by_a_name_that_two_birds_have__names_both(capsys, store, tmp_path):
    more = tmp_path / "more.csv"
    more.write_text("name,species\nPip,Ara ararauna\n", encoding="utf-8")
    run(capsys, "import", more, "--store", store)
    exit_code, _, err = run(capsys, "card", "Pip", "--store", store)
    assert exit_code == LOOK
    assert "b0003" in err
    assert "b0005" in err


def test_identify__text_that_fits_one_ring__prints_that_birds_card(capsys, store):
    exit_code, out, _ = run(
        capsys, "identify", "--text", "IE TWK 19 0173", "--store", store
    )
    assert exit_code == DONE
    assert "sure" in out
    assert "EMERGENCY CARD: PIP" in out


def test_identify__text_that_fits_two_rings__is_unsure_and_prints_no_card(
    capsys, store
):
    exit_code, out, _ = run(
        capsys, "identify", "--text", "TWK 19 017?", "--store", store
    )
    assert exit_code == LOOK
    assert "unsure" in out
    assert "Pip" in out
    assert "Juno" in out
    assert "EMERGENCY CARD" not in out


def test_identify__json_has_the_published_form(capsys, store):
    exit_code, answer = run_json(
        capsys, "identify", "--text", "TWK 19 017?", "--store", store
    )
    assert exit_code == LOOK
    assert set(answer) == {"verdict", "candidates", "look_next", "reading"}
    assert answer["verdict"] == "unsure"
    assert answer["look_next"]
    assert {candidate["bird"] for candidate in answer["candidates"][:2]} == {
        "b0003",
        "b0004",
    }
    for candidate in answer["candidates"]:
        assert set(candidate) == {"bird", "ring", "probability", "why"}
        assert 0 <= candidate["probability"] <= 1


def test_identify__a_strangers_ring__is_unknown(capsys, store):
    exit_code, answer = run_json(
        capsys, "identify", "--text", "NL VOLM 2017 2604", "--store", store
    )
    assert exit_code == LOOK
    assert answer["verdict"] == "unknown ring"


def test_identify__in_a_ledger_without_birds__is_unknown(capsys, tmp_path, store):
    from ledger.services.book import open_ledger

    empty = tmp_path / "empty"
    open_ledger(empty, create=True).close()
    exit_code, answer = run_json(
        capsys, "identify", "--text", "TWK 19 0173", "--store", empty
    )
    assert exit_code == LOOK
    assert answer["verdict"] == "unknown ring"
    assert answer["candidates"] == []


def test_explain__text(capsys):
    exit_code, out, _ = run(capsys, "explain", "--text", "NL VOLM / 2017 2604")
    assert exit_code == DONE
    assert "Netherlands" in out


# --- birds in and out ---


def test_import__begins_a_ledger_where_there_is_none(capsys, tmp_path, flock_csv):
    folder = tmp_path / "Vögel [neu] und alt"
    exit_code, answer = run_json(capsys, "import", flock_csv, "--store", folder)
    assert exit_code == DONE
    assert (answer["added"], answer["stored"], answer["begun"]) == (4, True, True)
    assert run(capsys, "card", "Juno", "--store", folder)[0] == DONE


def test_import__without_store__goes_to_the_users_own_ledger(capsys, flock_csv):
    assert run(capsys, "import", flock_csv)[0] == DONE
    assert run(capsys, "card", "Juno")[0] == DONE


def test_import__dry_run_writes_nothing(capsys, tmp_path, flock_csv, store):
    more = tmp_path / "more.csv"
    more.write_text("name,species\nFinn,Ara ararauna\n", encoding="utf-8")
    before = contents(store)
    exit_code, answer = run_json(capsys, "import", more, "--dry-run", "--store", store)
    assert exit_code == DONE
    assert (answer["added"], answer["stored"]) == (1, False)
    assert contents(store) == before
    folder = tmp_path / "new"
    exit_code, answer = run_json(
        capsys, "import", flock_csv, "--dry-run", "--store", folder
    )
    assert exit_code == DONE
    assert (answer["added"], answer["stored"], answer["begun"]) == (4, False, False)
    assert not folder.exists()


@pytest.mark.parametrize(
    ("rows", "line", "column"),
    [
        ("n1,Finn,31 of June,,\n", 2, "hatched"),
        ("n1,Finn,2019-02-30,,\n", 2, "hatched"),
        ("n1,Finn,2999,,\n", 2, "hatched"),
        ("n1,Finn,2019,n2,\nn2,Tom,2018,n1,\n", 2, "sire"),
        ("n1,Finn,2019,n1,\n", 2, "sire"),
        ("n1,Finn,2019,nobody,\n", 2, "sire"),
        ("n1,Finn,2019,,IE TWK 23 0001\nn2,Tom,2019,,IE TWK 23 0001\n", 3, "ring"),
        ("n1,Finn,2019,,IE TWK 19 0173\n", 2, "ring"),
    ],
    ids=[
        "date in words",
        "day that is not",
        "future",
        "loop of two",
        "its own sire",
        "parent nobody knows",
        "two birds one ring",
        "ring of a bird in the ledger",
    ],
)
def test_import__bad_row__is_told_and_nothing_stored(
    capsys, tmp_path, store, rows, line, column
):
    file = tmp_path / "bad.csv"
    file.write_text(
        f"bird,name,hatched,sire,ring\n{rows}n9,Good,2019,,\n", encoding="utf-8"
    )
    before = contents(store)
    exit_code, answer = run_json(capsys, "import", file, "--store", store)
    assert exit_code == LOOK
    assert answer["stored"] is False
    assert (line, column) in [(bad["line"], bad["column"]) for bad in answer["bad"]]
    assert all(bad["reason"].endswith((".", ")")) for bad in answer["bad"])
    assert {
        name: kept for name, kept in contents(store).items() if "lock" not in name
    } == {name: kept for name, kept in before.items() if "lock" not in name}


def test_import__skip_bad__stores_the_others_and_names_the_bad(capsys, tmp_path, store):
    file = tmp_path / "bad.csv"
    file.write_text("name,hatched\nFinn,soon\nTom,2019\n", encoding="utf-8")
    exit_code, out, _ = run(capsys, "import", file, "--skip-bad", "--store", store)
    assert exit_code == LOOK
    assert "skipped: line 2, hatched" in out
    assert run(capsys, "card", "Tom", "--store", store)[0] == DONE
    assert run(capsys, "card", "Finn", "--store", store)[0] == LOOK


def test_import__bad_file__leaves_no_empty_ledger_behind(capsys, tmp_path):
    file = tmp_path / "bad.csv"
    file.write_text("name,hatched\nFinn,soon\n", encoding="utf-8")
    folder = tmp_path / "new"
    assert run(capsys, "import", file, "--store", folder)[0] == LOOK
    assert not folder.exists()


@pytest.mark.parametrize(
    "content", [None, b"", b"\xff\xd8\xff\xe0 a photo", b"\x00" * 40]
)
def test_import__file_that_is_no_table(capsys, tmp_path, store, content):
    file = tmp_path / "no table.csv"
    if content is not None:
        file.write_bytes(content)
    exit_code, out, err = run(capsys, "import", file, "--store", store)
    assert exit_code == LOOK
    assert out == ""
    assert "no table.csv" in err


def test_export__comes_back_by_import(capsys, tmp_path, store):
    file, again = tmp_path / "out [1].csv", tmp_path / "again"
    exit_code, answer = run_json(capsys, "export", file, "--store", store)
    assert exit_code == DONE
    assert answer["birds"] == 4
    assert run(capsys, "import", file, "--store", again)[0] == DONE
    second = tmp_path / "second.csv"
    run(capsys, "export", second, "--store", again)
    assert second.read_text(encoding="utf-8") == file.read_text(encoding="utf-8")


def test_check__of_a_sound_flock(capsys, store):
    exit_code, answer = run_json(capsys, "check", "--store", store)
    assert exit_code == DONE
    assert answer == {"findings": []}


@pytest.fixture
def odd_store(tmp_path):
    with open_store(tmp_path / "odd", create=True) as kept:
        things = [a_bird(sire="b0099"), a_ring(bird="b0001")]
        kept.commit([Put(thing) for thing in things], author="T", what="odd")
    return tmp_path / "odd"


def test_check__lists_ways_and_mends_by_number(capsys, odd_store):
    at = ["--store", odd_store]
    exit_code, answer = run_json(capsys, "check", "--mend", 1, *at)
    assert exit_code == LOOK
    assert answer["finding"]["number"] == 1
    assert answer["mended"] is False
    (leave_open,) = [w for w in answer["ways"] if "leave open" in w["does"]]
    assert not leave_open["asks"]
    exit_code, answer = run_json(
        capsys, "check", "--mend", 1, "--way", leave_open["way"], *at
    )
    assert (exit_code, answer["mended"]) == (DONE, True)
    assert run_json(capsys, "check", *at) == (DONE, {"findings": []})
    run(capsys, "undo", *at)
    assert run_json(capsys, "check", *at)[0] == LOOK


@pytest.mark.parametrize(
    ("words", "exit_code", "said"),
    [
        (["--mend", 9], LOOK, "no finding 9"),
        (["--mend", 1, "--way", 9], LOOK, "no way 9"),
        (["--mend", 1, "--way", 1], USAGE, "--with"),
        (["--mend", 1, "--way", 1, "--with", "Nobody"], LOOK, "Nobody"),
        (["--way", 1], USAGE, "--mend"),
    ],
)
def test_check__mends_nothing_by_mistake(capsys, odd_store, words, exit_code, said):
    before = (odd_store / "ledger.json").read_bytes()
    code, _, err = run(capsys, "check", *words, "--store", odd_store)
    assert code == exit_code
    assert said in err
    assert (odd_store / "ledger.json").read_bytes() == before


# --- a store that cannot be used ---


READING_COMMANDS = [
    ["card", "Pip"],
    ["identify", "--text", "TWK 19 0173"],
    ["check"],
]


@pytest.mark.parametrize("words", READING_COMMANDS)
def test_missing_store__code_3_and_nothing_made(capsys, tmp_path, words):
    folder = tmp_path / "nowhere"
    exit_code, out, err = run(capsys, *words, "--store", folder)
    assert exit_code == STORE
    assert out == ""
    assert "nowhere" in err
    assert not folder.exists()


@pytest.mark.parametrize("words", READING_COMMANDS)
def test_empty_folder__code_3_and_nothing_made(capsys, tmp_path, words):
    folder = tmp_path / "empty"
    folder.mkdir()
    assert run(capsys, *words, "--store", folder)[0] == STORE
    assert not list(folder.iterdir())


@pytest.mark.parametrize("words", READING_COMMANDS)
def test_newer_store__code_3_and_left_as_it_is(capsys, store, words):
    file = store / "ledger.json"
    text = file.read_text(encoding="utf-8")
    newer = re.sub(r'"schema": \d+', '"schema": 999', text)
    file.write_text(newer, encoding="utf-8")
    before = contents(store)
    exit_code, answer = run_json(capsys, *words, "--store", store)
    assert exit_code == STORE
    assert "Update" in answer["hint"]
    assert contents(store) == before


@pytest.mark.parametrize("content", ["", "{", "[]", '{"meta": 7}', "\0" * 100])
def test_damaged_store__code_3_and_left_as_it_is(capsys, store, content, flock_csv):
    for path in store.glob("ledger.*"):
        path.unlink()
    (store / "ledger.json").write_text(content, encoding="utf-8")
    exit_code, _, err = run(capsys, "card", "Pip", "--store", store)
    assert exit_code == STORE
    assert "ledger.json" in err
    assert run(capsys, "import", flock_csv, "--store", store)[0] == STORE
    assert (store / "ledger.json").read_text(encoding="utf-8") == content


def test_store_that_another_window_holds__is_read_but_not_written(
    capsys, tmp_path, store
):
    more = tmp_path / "more.csv"
    more.write_text("name,species\nFinn,Ara ararauna\n", encoding="utf-8")
    with held(store):
        before = contents(store)
        exit_code, answer = run_json(capsys, "import", more, "--store", store)
        assert exit_code == STORE
        assert "another window" in answer["error"]
        for words in (*READING_COMMANDS, ["import", more, "--dry-run"]):
            assert run(capsys, *words, "--store", store)[0] == DONE
        assert contents(store) == before
    assert run(capsys, "import", more, "--store", store)[0] == DONE


@pytest.mark.parametrize("words", READING_COMMANDS)
def test_reading__leaves_no_trace_in_the_store(capsys, store, words):
    before = contents(store)
    assert run(capsys, *words, "--store", store)[0] == DONE
    assert contents(store) == before


# --- the ends of the program ---


def test_fault__keeps_the_traceback_and_says_where(capsys, monkeypatch, store):
    from ledger.services import card

    def broken(*_):
        raise ZeroDivisionError("no such luck")

    monkeypatch.setattr(card, "as_text", broken)
    exit_code, out, err = run(capsys, "card", "Pip", "--store", store)
    assert exit_code == FAULT
    assert out == ""
    log = Path(err.split("details are in ")[1].splitlines()[0].rstrip("."))
    assert "ZeroDivisionError: no such luck" in log.read_text(encoding="utf-8")


def test_fault__where_no_log_can_be_kept__shows_the_traceback(
    capsys, monkeypatch, tmp_path, store
):
    from ledger.services import card

    def broken(*_):
        raise ZeroDivisionError("no such luck")

    (tmp_path / "a file").write_text("")
    monkeypatch.setenv("FLOCK_LEDGER_HOME", str(tmp_path / "a file"))
    monkeypatch.setattr(card, "as_text", broken)
    exit_code, _, err = run(capsys, "card", "Pip", "--store", store)
    assert exit_code == FAULT
    assert "ZeroDivisionError: no such luck" in err


def test_interrupt__ends_with_130(capsys, monkeypatch, store):
    from ledger.services import card

    def interrupted(*_):
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(card, "as_text", interrupted)
    # A shell that starts a run in the background lets it ignore interrupts.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        assert main(["card", "Pip", "--store", str(store)]) == INTERRUPTED
    finally:
        signal.signal(signal.SIGINT, before)
    assert capsys.readouterr() == ("", "")


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end differently there")
@pytest.mark.parametrize("words", [["card", "Pip"], ["card", "Polly", "--json"]])
def test_reader_of_the_output_gone__ends_quietly(store, words):
    process = program(*words, "--store", store)
    process.stdout.close()
    assert process.wait() == READER_GONE
    assert "Traceback" not in process.stderr.read()
    process.stderr.close()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no disk to fill")
@pytest.mark.parametrize(
    ("words", "said"),
    [(["card", "Pip"], "could not be written"), (["card", "Polly", "--json"], "Polly")],
)
def test_disk_full_under_the_output__is_told(store, words, said):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "ledger", *words, "--store", store],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == LOOK
    assert said in done.stderr
    assert "Traceback" not in done.stderr


def test_names__cannot_steer_the_terminal(capsys, tmp_path):
    file = tmp_path / "odd.csv"
    file.write_text("name,species\n\x1b[31mRed [/b],Ara\n", encoding="utf-8")
    store = tmp_path / "store"
    run(capsys, "import", file, "--store", store)
    _, out, err = run(capsys, "card", "b0001", "--store", store)
    assert "\x1b" not in out + err
    _, out, err = run(capsys, "card", "\x1b[2J", "--store", store)
    assert "\x1b" not in out + err


def test_output__in_an_old_encoding__is_replaced_not_refused(tmp_path):
    file = tmp_path / "names.csv"
    file.write_text("name\nŁucja\n", encoding="utf-8")
    places = {**os.environ, "PYTHONIOENCODING": "ascii"}
    store = tmp_path / "store"
    assert main(["import", str(file), "--store", str(store)]) == DONE
    process = program("card", "b0001", "--store", store, env=places)
    out, err = process.communicate()
    assert (process.returncode, err) == (DONE, "")
    assert "?UCJA" in out


def test_damage_that_was_mended__is_told_beside_the_answer(capsys, store):
    (store / "ledger.json").write_text("{", encoding="utf-8")
    exit_code, out, err = run(capsys, "card", "Pip", "--store", store, "--json")
    assert exit_code == DONE
    assert json.loads(out)["bird"]
    assert "made again" in err


def test_backup_and_restore__there_and_back(capsys, store):
    exit_code, kept = run_json(capsys, "backup", "--store", store)
    assert (exit_code, kept["birds"]) == (DONE, 4)
    more = store / "more.csv"
    more.write_text("name,species\nFinn,Ara ararauna\n", encoding="utf-8")
    assert run(capsys, "import", more, "--store", store)[0] == DONE
    exit_code, listed = run_json(capsys, "restore", "--store", store)
    assert exit_code == DONE
    reasons = {backup["reason"] for backup in listed["backups"]}
    assert {"by-hand", "before-import"} <= reasons
    name = next(b["name"] for b in listed["backups"] if b["reason"] == "by-hand")
    exit_code, shown = run_json(capsys, "restore", name, "--store", store)
    assert exit_code == LOOK
    assert not shown["restored"]
    assert shown["differences"][0]["goes"] == ["b0005"]
    assert run(capsys, "card", "Finn", "--store", store)[0] == DONE
    exit_code, out, _ = run(capsys, "restore", name, "--yes", "--store", store)
    assert exit_code == DONE
    assert "b0005" in out
    assert run(capsys, "card", "Finn", "--store", store)[0] == LOOK
    exit_code, answer = run_json(capsys, "restore", name, "--yes", "--store", store)
    assert (exit_code, answer["restored"]) == (DONE, False)


def test_restore__over_a_damaged_ledger(capsys, store):
    _, kept = run_json(capsys, "backup", "--store", store)
    for path in store.glob("ledger.*json"):
        path.write_text("{", encoding="utf-8")
    words = ("restore", kept["backup"], "--store", store)
    exit_code, answer = run_json(capsys, *words)
    assert exit_code == LOOK
    assert answer["damaged"]
    exit_code, answer = run_json(capsys, *words, "--yes")
    assert (exit_code, answer["restored"]) == (DONE, True)
    assert answer["kept"]
    assert run(capsys, "card", "Pip", "--store", store)[0] == DONE


def test_restore__none_there_says_how_to_make_one(capsys, store):
    exit_code, _, err = run(capsys, "restore", "--store", store)
    assert exit_code == LOOK
    assert "flock-ledger backup" in err


def test_history_and_undo__of_the_last_change(capsys, store):
    more = store / "more.csv"
    more.write_text("name,species\nFinn,Ara ararauna\n", encoding="utf-8")
    assert run(capsys, "import", more, "--store", store)[0] == DONE
    exit_code, told = run_json(capsys, "history", "--store", store)
    assert exit_code == DONE
    assert [act["change"] for act in told["changes"]] == [2, 1]
    assert told["changes"][0]["touched"][0] == {
        "kind": "birds",
        "id": "b0005",
        "did": "add",
    }
    exit_code, told = run_json(capsys, "history", "Pip", "--last", 1, "--store", store)
    assert (exit_code, [act["change"] for act in told["changes"]]) == (DONE, [1])
    exit_code, out, _ = run(capsys, "undo", "--store", store)
    assert exit_code == DONE
    assert "--change 3" in out
    assert run(capsys, "card", "Finn", "--store", store)[0] == LOOK
    assert run(capsys, "undo", "--change", 3, "--store", store)[0] == DONE
    assert run(capsys, "card", "Finn", "--store", store)[0] == DONE
    assert run(capsys, "undo", "--change", 3, "--store", store)[0] == LOOK
    assert run(capsys, "history", "--last", 0, "--store", store)[0] == USAGE


def test_whole_ledger__out_and_in_again(capsys, store, tmp_path):
    file, other = tmp_path / "whole.json", tmp_path / "other"
    assert run(capsys, "export", file, "--store", store)[0] == DONE
    words = ("import", file, "--store", other)
    exit_code, answer = run_json(capsys, *words, "--dry-run")
    assert (exit_code, answer["stored"], other.exists()) == (DONE, False, False)
    exit_code, answer = run_json(capsys, *words)
    assert (exit_code, answer["added"], answer["begun"]) == (DONE, 4, True)
    again = tmp_path / "again.json"
    assert run(capsys, "export", again, "--store", other)[0] == DONE
    first, second = (json.loads(path.read_bytes()) for path in (file, again))
    assert second["changes"][:-1] == first["changes"]
    assert second["birds"] == first["birds"]
    assert run(capsys, *words)[0] == LOOK  # it has something in it now


def test_tables__of_events_and_headings_of_ones_own(capsys, store, tmp_path):
    mine, out = tmp_path / "mine.csv", tmp_path / "out.csv"
    mine.write_text("Vogel,kind,on\nPip,note,2020\n", encoding="utf-8")
    words = ("import", mine, "--of", "events", "--store", store)
    assert run(capsys, *words)[0] == LOOK
    exit_code, said, _ = run(capsys, *words, "--heading", "Vogel=bird", "--dry-run")
    assert exit_code == DONE
    assert "1 events would be stored" in said
    assert run(capsys, *words)[0] == LOOK  # a dry run remembers nothing
    assert run(capsys, *words, "--heading", "Vogel=bird")[0] == DONE
    assert run(capsys, *words, "--dry-run")[0] == DONE  # but this did
    exit_code, answer = run_json(
        capsys, "export", out, "--of", "events", "--store", store
    )
    assert (exit_code, answer["events"]) == (DONE, 1)
    assert out.read_text(encoding="utf-8").splitlines()[1].startswith("e0001,b0003,")
