"""The printed family tree, and lineage over the years."""

import re
import zlib

import pytest
from builders import TODAY, a_bird, a_flock, a_ring, an_event

from ledger.domain import EventKind
from ledger.errors import LedgerError, UsageError
from ledger.reports.family_tree import Ancestor, write_pdf
from ledger.services.lineage_tree import print_tree
from ledger.services.lineage_years import variety_by_year

FLOCK = a_flock(
    a_bird("b0001", "Rook", sex="cock", hatched="2005"),
    a_bird("b0002", "Wren", sex="hen"),
    a_bird("b0003", "Ash", sex="cock", sire="b0001", dam="b0002", hatched="2010"),
    a_ring(bird="b0003"),
)


def texts(path):
    """What a PDF shows, by its text operators."""
    pages = re.findall(rb"stream\r?\n(.*?)endstream", path.read_bytes(), re.DOTALL)
    shown = b"".join(zlib.decompress(page.rstrip(b"\r\n")) for page in pages)
    return [text.decode("latin-1") for text in re.findall(rb"\((.*?)\) Tj", shown)]


@pytest.mark.parametrize("generations", [1, 4, 5])
def test_page__shows_every_place_of_the_tree(tmp_path, generations):
    path = tmp_path / "tree.pdf"
    print_tree(FLOCK, "b0003", path, generations)
    shown = texts(path)
    assert {"Ash", "Rook", "Wren", "IE TWK / 19 0007"} <= set(shown)
    assert shown.count("not known") == 2 ** (generations + 1) - 1 - 3
    assert any("unrelated founder" in text for text in shown)


def test_page__writes_other_letters_in_latin_ones(tmp_path):
    path = tmp_path / "tree.pdf"
    write_pdf(path, Ancestor("Ωrion " + "long " * 40), 2, title="Łada")
    shown = texts(path)
    assert "Lada" in shown
    assert any(text.startswith("Orion") and text.endswith("...") for text in shown)


def test_page__that_cannot_be_is_told(tmp_path):
    with pytest.raises(UsageError):
        print_tree(FLOCK, "b0003", tmp_path / "tree.pdf", 6)
    with pytest.raises(LedgerError, match="could not be written") as refused:
        print_tree(FLOCK, "b0003", tmp_path / "no" / "tree.pdf")
    assert refused.value.hint
    with pytest.raises(ValueError, match="1 to 5"):
        write_pdf(tmp_path / "tree.pdf", Ancestor("Ash"), 0, title="")


def test_years__count_who_lived_here_at_their_end():
    flock = a_flock(
        a_bird("b0001", hatched="2020"),
        a_bird("b0002", hatched="2021", status="dead"),
        a_bird("b0003", hatched="2021", status="dead"),
        a_bird("b0004", sire="b0001"),
        an_event("e0001", "b0002", EventKind.DIED, "2023"),
        an_event("e0002", "b0004", EventKind.PLACED, "2024"),
        an_event("e0003", "b0004", EventKind.RETURNED, "2025"),
        an_event("e0004", "b0004", EventKind.WEIGHED, "2022"),
    )
    found = variety_by_year(flock, TODAY)
    living = {it.year: it.living for it in found}
    assert living == {2020: 1, 2021: 2, 2022: 3, 2023: 2, 2024: 1, 2025: 2, 2026: 2}
    # By hand: parent and young, (1/2 + 1/2 + 2 x 1/4) / 4 = 3/8.
    assert found[-1].gene_diversity == 0.625
    assert found[0].gene_diversity == 0.5
    assert not variety_by_year(a_flock(), TODAY)
    assert not variety_by_year(flock, TODAY, "Galah")
