"""What is said of the inscriptions of the golden table, most of them published.

The table and its sources: tests/golden/ring_inscriptions.csv and SOURCES.md.
"""

import pytest
from explained import GOLDEN, TODAY, inscriptions, outcome, table

from ledger.rings.own_schemes import OwnSchemes
from ledger.services.explain import explain

ROWS = inscriptions()
IDS = [row["inscription"] for row in ROWS]


def said(row):
    return explain(row["inscription"], today=TODAY, own=OwnSchemes())


def test_table__holds_thirty_and_half_of_them_published():
    published = [row for row in ROWS if row["evidence"] != "invented"]
    assert len(ROWS) >= 30
    assert len(published) >= 15
    assert all(row["source"] for row in ROWS)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_truth__is_said_first_or_among_the_others(row):
    assert outcome(row, said(row)) in ("said first", "said among others")


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_nothing_false__is_said_to_be_most_likely(row):
    found = said(row)
    if found.certainty.startswith("Most likely"):
        assert outcome(row, found) == "said first"


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_nothing__is_said_with_certainty(row):
    found = said(row)
    assert found.share < 1
    assert found.certainty.startswith(("Most likely", "Likelier", "Several"))
    for proof in found.proves:
        # Nobody looked for a seam here: what is proven hangs on what is seen.
        assert any(word in proof for word in ("if", "If", "inscription says", "neither",
                                              "scanner"))  # fmt: skip


def test_table__is_as_it_was_kept():
    # python tests/ledger/services/explained.py --write, then read what changed.
    kept = (GOLDEN / "ring_inscriptions_said.txt").read_text(encoding="utf-8")
    assert "\n".join(table()) == kept
