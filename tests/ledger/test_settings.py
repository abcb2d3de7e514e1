"""The keeper's choices, and the places the program uses."""

from pathlib import Path

import pytest

from ledger import paths
from ledger.errors import LedgerError
from ledger.settings import Settings, load_settings, save_settings


def test_paths__all_lie_in_the_folder_that_the_environment_names(tmp_path, monkeypatch):
    monkeypatch.setenv(paths.HOME_VARIABLE, str(tmp_path))
    places = (
        paths.ledger_folder(),
        paths.demo_folder(),
        paths.inbox_folder(),
        paths.settings_file(),
        paths.log_file(),
    )
    assert {place.parent for place in places} == {tmp_path}
    assert len(set(places)) == len(places)


def test_paths__else_in_the_users_own_folder(monkeypatch):
    monkeypatch.delenv(paths.HOME_VARIABLE)
    assert paths.home().name == paths.APP
    assert paths.home().is_relative_to(Path.home())


def test_settings__defaults_where_there_is_no_file():
    assert load_settings() == Settings()


@pytest.mark.parametrize(
    "text", ['Nora "N" Byrne', "C:\\Vögel\\[x]", "a\nb\t\x7f", "漢字 🦜"]
)
def test_settings__come_back(text):
    chosen = Settings(keeper=text, inbox=text, camera=2)
    save_settings(chosen)
    assert load_settings() == chosen


def test_settings__unknown_choices_are_passed_over(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text('keeper = "Nora"\nnew_choice = 3\n', encoding="utf-8")
    assert load_settings(path) == Settings(keeper="Nora")


@pytest.mark.parametrize("text", ["keeper = ", "keeper = 3", "camera = true", "\xff"])
def test_settings__a_file_that_makes_no_sense_is_named(tmp_path, text):
    path = tmp_path / "settings.toml"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(LedgerError, match="cannot be read") as refused:
        load_settings(path)
    assert str(path) in str(refused.value)


def test_settings__a_folder_in_the_way_is_named(tmp_path):
    path = tmp_path / "settings.toml"
    path.mkdir()
    with pytest.raises(LedgerError, match="could not be written"):
        save_settings(Settings(keeper="Nora"), path)
