"""The program is killed in the middle of a removal: all of it is left, or nothing."""

import pytest
from killed_removal import STEPS, one_try


@pytest.fixture
def photo(tmp_path):
    path = tmp_path / "ring.jpg"
    path.write_bytes(b"a photo " * 5000)
    return path


@pytest.mark.slow
@pytest.mark.parametrize("step", [1, 3, len(STEPS) + 1])
def test_killed__before_the_last_key_leaves_nothing(tmp_path, photo, step):
    assert one_try(tmp_path / "ledger", photo, "step", step) == ("nothing", False)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("call", "at"), [("write", 2), ("fsync", 1), ("fsync", 2), ("replace", 1)]
)
def test_killed__while_it_is_stored_leaves_all_or_nothing(tmp_path, photo, call, at):
    left, _ = one_try(tmp_path / "ledger", photo, call, at)
    assert left in ("all", "nothing")


@pytest.mark.slow
def test_killed__after_it_was_said_leaves_all(tmp_path, photo):
    assert one_try(tmp_path / "ledger", photo, "write", 999_999) == ("all", True)
