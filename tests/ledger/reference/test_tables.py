"""Every shipped table as a whole: whole rows, sources, values a bird can have."""

import pytest

from ledger.reference import ring_colours, ring_series, series_size
from ledger.reference.ring_sizes import all_ring_sizes
from ledger.reference.species import keys_of
from ledger.reference.table import Row, rows

TABLES = {
    "ring_sizes.csv": 544,
    "ring_series.csv": 45,
    "ring_colours.csv": 60,
    "weights.csv": 322,
    "breeding.csv": 335,
    "longevity.csv": 178,
    "ringing_ages.csv": 15,
}


@pytest.mark.parametrize("table", TABLES)
def test_table__has_every_row_with_its_source(table):
    assert len(rows(table)) == TABLES[table]
    assert all(row.text("source") for row in rows(table))


@pytest.mark.parametrize("table", [*TABLES, "trade_names.csv"])
def test_table__has_no_cell_too_many_or_too_few_and_no_broken_sign(table):
    for row in rows(table):
        assert None not in row.cells
        assert None not in row.cells.values()
        assert all(sign.isprintable() for cell in row.cells.values() for sign in cell)


def test_ring_sizes__count_the_540_taxa_of_the_ordinance():
    # BArtSchV Anlage 6 lists 540 bird taxa with a ring size.
    listed = [size for size in all_ring_sizes() if "BArtSchV" in size.source]
    assert len(listed) == 540
    assert len({size.scientific_name for size in listed}) == 540


def test_ring_sizes__lie_within_what_bird_rings_are_made_in():
    # The smallest and largest in the ordinance: 2.0 mm; 28 mm for sea eagles.
    for size in all_ring_sizes():
        assert 2.0 <= size.smallest_mm <= size.largest_mm <= 30.0
        for own in (size.cock_mm, size.hen_mm):
            assert own is None or size.smallest_mm <= own <= size.largest_mm


def test_names__of_two_taxa_are_never_taken_for_one():
    keys = {}
    for size in all_ring_sizes():
        keys.setdefault(keys_of(size.scientific_name)[0], set()).add(
            size.scientific_name
        )
    assert [names for names in keys.values() if len(names) > 1] == []


def test_other_tables__can_be_read_to_the_last_cell():
    for row in rows("breeding.csv"):
        row.number_or_none("incubation_days")
        row.number_or_none("fledging_days")
    assert min(row.number("mean_mass_g") for row in rows("weights.csv")) > 5
    assert max(row.number("max_longevity_y") for row in rows("longevity.csv")) < 100
    assert all(series_size(row.text("code")) for row in rows("ring_series.csv"))
    assert ring_colours.colours_of(2024)
    assert ring_series.series_size("no such letter") == ()


def test_number__names_the_cell_that_is_none():
    row = Row("weights.csv", 7, {"mean_mass_g": "heavy"})
    with pytest.raises(ValueError, match=r"weights.csv, line 7, mean_mass_g: “heavy”"):
        row.number("mean_mass_g")
