"""Readings of rings whose lines stand in columns side by side."""

from ledger.rings.evidence import Evidence, EvidenceLine, Slot


def read(*lines, **more):
    """Each text a column of its own, every character nearly certain."""
    return Evidence(
        tuple(
            EvidenceLine(
                tuple(Slot(((sign, 0.99),)) for sign in line),
                "axial_down",
                cut_start=False,
                cut_end=False,
            )
            for line in lines
        ),
        **more,
    )
