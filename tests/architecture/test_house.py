"""The shape of the tree: where things lie, how long they are, what they are called."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOP = {
    "DEVELOPERS.md",
    "README.md",
    "demo_db",
    "demo_images",
    "ledger",
    "ocr",
    "pyproject.toml",
    "tests",
}
SOURCES = sorted(
    path
    for package in ("ledger", "ocr")
    for path in (ROOT / package).rglob("*.py")
    if "training" not in path.parts
)
UNWANTED = {
    "animal",
    "asset",
    "band",
    "data",
    "helper",
    "helpers",
    "item",
    "manager",
    "record",
    "tag",
    "util",
    "utils",
}
MOST_LINES = 320
MOST_LINES_OF_A_FUNCTION = 60


def words_of(name):
    """`RingPose` and `ring_pose` as {"ring", "pose"}."""
    spaced = re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", name)
    return {word.lower() for word in spaced.split("_") if word}


def name_of(path):
    return str(path.relative_to(ROOT))


def test_top_level__holds_exactly_the_house():
    kept = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if kept.returncode:  # an unpacked copy without its history
        names = {path.name for path in ROOT.iterdir()} - {"build", "dist"}
    else:
        names = {line.split("/")[0].strip('"') for line in kept.stdout.splitlines()}
    assert {name for name in names if not name.startswith(".")} == TOP


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_source__is_short_enough_to_read_at_one_sitting(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= MOST_LINES


def lines_of_code(function):
    """How many lines a function does something in: signature and docstring apart."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return body[-1].end_lineno - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_source__has_only_short_functions(path):
    lengths = {
        node.name: lines_of_code(node)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    assert not {
        name: length
        for name, length in lengths.items()
        if length > MOST_LINES_OF_A_FUNCTION
    }


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_source__names_its_modules_and_classes_in_the_words_of_the_trade(path):
    names = [path.stem] + [
        node.name
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    ]
    assert not {name for name in names if words_of(name) & UNWANTED}


@pytest.mark.parametrize("path", SOURCES, ids=name_of)
def test_source__opens_by_saying_what_it_is(path):
    assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))


def test_test_files__have_names_of_their_own():
    names = [path.name for path in (ROOT / "tests").rglob("test_*.py")]
    assert len(names) == len(set(names))
