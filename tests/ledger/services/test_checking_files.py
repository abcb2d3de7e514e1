"""A check looks at the files beside the ledger too."""

import pytest
from builders import a_bird

from ledger.domain import Photo, Put
from ledger.services import book, checking


@pytest.fixture
def ledger(tmp_path):
    with book.open_ledger(tmp_path, create=True) as ledger:
        ledger.commit([Put(a_bird())], author="Nora", what="a bird")
        yield ledger


def about_files(ledger):
    """Findings apart from those about the bird, which wears no ring."""
    return [f for f in checking.check(ledger) if not f.subject_id.startswith("b")]


# Such names are given by programs that keep folders alike and by file managers;
# common practice, no source.
@pytest.mark.parametrize(
    "name",
    [
        "ledger (conflicted copy).json",
        "ledger (Nora's conflicted copy 2026-01-15).json",
        "ledger.sync-conflict-20260115-101500-ABCDEFG.json",
        "ledger-1.json",
        "ledger (1).json",
        "ledger 2.json",
        "ledger-DESKTOP.journal",
        "ledger.conflict.json",
    ],
)
def test_check__copies_in_conflict_are_named(ledger, name):
    (ledger.folder / name).write_text("{}", encoding="utf-8")
    (finding,) = about_files(ledger)
    assert finding.severity is checking.Severity.ERROR
    assert name in finding.message
    assert finding.remedy
    assert (ledger.folder / name).exists()


def test_check__the_ledgers_own_files_are_no_finding(ledger):
    ledger.close()
    with book.open_ledger(ledger.folder) as again:
        again.commit([Put(a_bird("b0002"))], author="Nora", what="a bird")
        assert about_files(again) == []


def test_check__what_was_told_at_opening_and_what_was_kept(ledger):
    ledger.close()
    path = ledger.folder / "ledger.json"
    path.write_bytes(path.read_bytes()[:-5])
    with book.open_ledger(ledger.folder) as again:
        again.commit([Put(a_bird("b0002"))], author="Nora", what="a bird")
        said = [finding.message for finding in checking.check(again)]
    assert any("made again" in message for message in said)
    assert any("damaged-1" in message for message in said)


def test_check__a_missing_picture_is_a_finding(ledger):
    photo = Photo("f0001", "a" * 64, "pip.jpg", "b0001")
    ledger.commit([Put(photo)], author="Nora", what="photo")
    (finding,) = about_files(ledger)
    assert "pip.jpg" in finding.message
    assert f"{'a' * 64}.jpg" in finding.remedy
