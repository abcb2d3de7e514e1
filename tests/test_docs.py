"""What the README promises is so, and what there is stands in the README."""

import csv
import importlib
import pkgutil
import re
import shlex
from pathlib import Path

import pytest

from ledger.__main__ import main
from ledger.commands.parser import build_parser, parse
from ledger.commands.table import COMMANDS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def lines_of(block):
    return [shlex.split(line) for line in BLOCKS[block][1].splitlines() if line]


def test_readme__opens_with_the_job_then_two_commands():
    title, job, *_ = README.split("\n\n")
    assert title.startswith("# ")
    assert "ring" in job
    assert not job.startswith(("#", "```", "-", "|"))
    assert [language for language, _ in BLOCKS[:2]] == ["sh", "sh"]


@pytest.mark.parametrize("block", [0, 1])
def test_readme__both_commands_begin_with_an_environment_of_their_own(block):
    words = lines_of(block)
    assert words[0] == ["python3", "-m", "venv", ".venv"]
    assert words[1][:2] == [".venv/bin/pip", "install"]
    assert all(line[0].startswith(".venv/bin/") for line in words[1:])


def test_readme__first_command_shows_the_main_job_on_the_demo():
    *_, last = lines_of(0)
    words = parse(last[1:])
    assert words.command.name == "identify"
    assert words.photos
    assert all((ROOT / photo).is_file() for photo in words.photos)
    assert (ROOT / words.store / "ledger.json").is_file()


@pytest.mark.tesseract
def test_readme__first_command_prints_the_right_birds_card(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    *_, last = lines_of(0)
    assert main(last[1:]) == 0
    said = capsys.readouterr().out
    with (ROOT / "demo_images" / "truth.csv").open(encoding="utf-8") as rows:
        birds = {row["file"]: row["bird"] for row in csv.DictReader(rows)}
    bird = birds[Path(last[2]).name]
    assert bird
    assert re.search(rf"^EMERGENCY CARD.*\({bird}\)$", said, re.MULTILINE)


def test_readme__second_command_runs_all_tests():
    *_, last = lines_of(1)
    assert last[1:3] == ["-m", "pytest"]
    assert not [word for word in last[3:] if word.startswith(("-k", "-m", "tests"))]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_readme__explains_every_command_and_its_options(command):
    rows = [row for row in README.splitlines() if row.startswith("| `flock-ledger ")]
    (row,) = (row for row in rows if row.split("`")[1].split()[1:2] == [command.name])
    subparsers = build_parser()._subparsers._group_actions[0]
    options = {
        option
        for action in subparsers.choices[command.name]._actions
        for option in action.option_strings
        if option.startswith("--") and option not in ("--help", "--store", "--json")
    }
    assert not {option for option in options if option not in row}


def test_readme__names_every_exit_code():
    from ledger.__main__ import FAULT
    from ledger.errors import StoreError, UsageError

    (said,) = re.findall(r"^They end with (.*?)\n\n", README, re.DOTALL | re.MULTILINE)
    codes = {int(code) for code in re.findall(r"\b\d+\b", said)}
    assert codes == {0, 1, UsageError.exit_code, StoreError.exit_code, FAULT}


def test_developers_page__maps_every_package_and_every_path_it_names_is_there():
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    _, drawn, *_ = page.split("```")
    for folder in (ROOT / "ledger").iterdir():
        if (folder / "__init__.py").is_file():
            assert f"\n  {folder.name}/" in drawn
    named = re.findall(r"`((?:ocr|ledger|tests|demo_db)/[\w/]+(?:\.\w+)?)`", page)
    assert named
    assert not [path for path in named if not (ROOT / path).exists()]


# --- keys ---

NAMES_OF_KEYS = {
    "question_mark": "?",
    "slash": "/",
    "escape": "Escape",
    "enter": "Enter",
    "pageup": "Page Up",
    "pagedown": "Page Down",
}


def bindings():
    """Every binding with an id that our own classes give, with its class."""
    found = {}
    for package in ("screens", "widgets"):
        package = importlib.import_module(f"ledger.{package}")
        for module in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            found.update(vars(importlib.import_module(module.name)))
    found.update(vars(importlib.import_module("ledger.app")))
    return sorted(
        {
            (binding.id, binding.key, binding.description)
            for thing in found.values()
            if isinstance(thing, type) and thing.__module__.startswith("ledger.")
            for binding in vars(thing).get("BINDINGS", ())
            if getattr(binding, "id", None)
        }
    )


def key_in_words(key):
    """`ctrl+s` as "Ctrl+S"."""
    parts = key.split("+")
    return "+".join(NAMES_OF_KEYS.get(part, part.capitalize()) for part in parts)


def test_readme__lists_every_key():
    rows = [
        [cell.strip() for cell in row.strip("|").split("|")]
        for row in README.splitlines()
        if row.startswith("| ")
    ]
    listed = {(key, words[0]) for key, *words in rows if words}
    missing = {
        (key_in_words(keys.split(",")[0]), description)
        for _, keys, description in bindings()
    } - listed
    assert bindings()
    assert not missing
