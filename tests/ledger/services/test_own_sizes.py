"""Setting the keeper's own ring sizes, on a real ledger in a folder."""

import pytest
from builders import a_bird

from ledger.domain import Put, Sex
from ledger.errors import RuleError
from ledger.services import book
from ledger.services.own_sizes import set_own_size, size_lines


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path / "ledger", create=True) as opened:
        birds = [
            a_bird("b0001", "Quill", species="Grey Parrot"),
            a_bird("b0002", "Wisp", species="Cockatiel"),
        ]
        opened.commit([Put(bird) for bird in birds], author="Nora", what="begun")
        yield opened


def by_species(ledger):
    return {(x.species, x.sex): (x.size, x.by) for x in size_lines(ledger.flock)}


def test_lines__say_who_gives_the_size(ledger):
    # BArtSchV Anlage 6: Psittacus erithacus 11.5 mm; the cockatiel is not listed.
    assert by_species(ledger) == {
        ("Grey Parrot", Sex.UNKNOWN): ("11.5", "published"),
        ("Cockatiel", Sex.UNKNOWN): ("", "none"),
    }


def test_set__where_nothing_is_published_nothing_is_warned_of(ledger):
    assert set_own_size(ledger, "Cockatiel", 5.5, "Nora", notes="our vet") == ()
    assert by_species(ledger)["Cockatiel", Sex.UNKNOWN] == ("5.5", "yours")
    line = next(x for x in size_lines(ledger.flock) if x.species == "Cockatiel")
    assert "our vet" in line.said


def test_set__another_size_than_the_published_one_is_warned_of(ledger):
    said = set_own_size(ledger, "African Grey", 9.5, "Nora")
    assert "2 mm too small" in said[0]
    assert "BArtSchV" in said[0]
    assert by_species(ledger)["Grey Parrot", Sex.UNKNOWN] == ("9.5", "yours")


def test_set__again_replaces_and_none_takes_back(ledger):
    set_own_size(ledger, "Cockatiel", 5.5, "Nora")
    set_own_size(ledger, "Cockatiel", 5.4, "Nora")
    assert len(ledger.flock.settings.own_sizes) == 1
    set_own_size(ledger, "Cockatiel", None, "Nora")
    assert ledger.flock.settings.own_sizes == ()
    with pytest.raises(RuleError, match="no own size for Cockatiel"):
        set_own_size(ledger, "Cockatiel", None, "Nora")


def test_set__for_one_sex_shows_both(ledger):
    set_own_size(ledger, "Cockatiel", 5.4, "Nora", sex=Sex.COCK)
    set_own_size(ledger, "Cockatiel", 5.6, "Nora", sex=Sex.HEN)
    lines = by_species(ledger)
    assert lines["Cockatiel", Sex.COCK] == ("5.4", "yours")
    assert lines["Cockatiel", Sex.HEN] == ("5.6", "yours")


@pytest.mark.parametrize(
    ("species", "size_mm"), [("", 5.5), ("Galah", 0), ("Galah", 99)]
)
def test_set__refuses_what_is_no_size(ledger, species, size_mm):
    with pytest.raises(RuleError):
        set_own_size(ledger, species, size_mm, "Nora")
