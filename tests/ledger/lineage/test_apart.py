"""Birds that share no ancestors are done apart, and come to the same."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pedigrees import as_parents, random_places, tabular_kinship

from ledger.lineage import inbreeding as maths
from ledger.lineage.founders import RelatedFounders
from ledger.lineage.table import ParentTable


def several_species(seed, sizes=(12, 30, 1, 25)):
    """Species of their own parentage, their birds shuffled among each other."""
    random = np.random.default_rng(seed)
    sires, dams, done = [], [], 0
    for size in sizes:
        sire, dam = random_places(random, size, min(4, size), unknown=0.2)
        sires.append(np.where(sire >= 0, sire + done, -1))
        dams.append(np.where(dam >= 0, dam + done, -1))
        done += size
    order = random.permutation(done)
    place = np.append(np.argsort(order), -1)
    return (
        place[np.concatenate(sires)[order]],
        place[np.concatenate(dams)[order]],
    )


@given(st.integers(0, 2**32 - 1), st.sampled_from([1, 5, 20]))
@settings(deadline=None, max_examples=25)
def test_inbreeding__of_species_done_apart_is_the_same(seed, alone_from):
    sire, dam = several_species(seed)
    table = ParentTable.of_places(sire, dam)
    kinship = tabular_kinship(as_parents(sire, dam))
    textbook = [2 * kinship[bird, bird] - 1 for bird in as_parents(sire, dam)]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(maths, "_APART_FROM", 0)
        patch.setattr(maths, "_ALONE_FROM", alone_from)
        found = maths.inbreeding(table)
    assert found == pytest.approx(textbook, abs=1e-13)


@given(st.integers(0, 2**32 - 1))
@settings(deadline=None, max_examples=25)
def test_inbreeding__of_kin_of_founders_done_apart_is_the_same(seed):
    table = ParentTable.of_places(*several_species(seed))
    founders = np.flatnonzero(table.is_founder)[:4]
    kin = {
        (table.ids[one], table.ids[other]): 0.05
        for one in founders
        for other in founders
        if one < other
    }
    related = RelatedFounders.of(table, kin)
    together = maths.inbreeding(table, related)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(maths, "_APART_FROM", 0)
        patch.setattr(maths, "_ALONE_FROM", 5)
        apart = maths.inbreeding(table, related)
    # Only kin of two species could differ, and no bird descends from both.
    assert apart == pytest.approx(together, abs=1e-13)
