"""How readers err: a machine with photos, and a keeper who types."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Manner:
    """How a kind of reader errs: a machine with photos, or a keeper typing."""

    typed: bool
    """Characters come without chances, from a keeper."""
    false_slot: float
    """Chance that a slot which leaves nothing open is no character of the ring."""
    nothing: float
    """Share of what a slot leaves open that is no character at all, not another."""
    false_mark: float
    """Chance that a point or a dash is none: dirt and scratches look like them."""
    stray_line: float
    """Chance that a whole line which leaves nothing open is not on the ring."""
    upside_down: float
    """Chance that the ring was read the wrong way up."""
    gap_where_none: float
    """Weight of a word gap seen where the record has none."""
    no_gap_where_one: float
    no_gap_at_seam: float
    gaps_mislead: float
    """Chance that a ring's gaps tell nothing: spaced widely, or recorded otherwise."""
    other_line: float
    """Weight of a line that goes on in another line of the record."""
    other_column: float
    """The same of a line along the leg."""
    start_weights: tuple[float, float, float]
    """Of beginning or ending within a word, at a word's edge, at a line's edge,
    where the line is said not to go on."""
    left_out_at_gap: float
    """Weight of a word gap that stands for words left out."""
    edge_doubt: float
    """Share of an edge character's chances lost where the line is cut off."""


# In one photo the weights of edges are mild: they rank, and one alone never tells two
# birds apart that the characters in view leave.
# Common practice, no source; the benchmark in tests/bench measures them.
BY_PHOTO = Manner(
    typed=False,
    # What one reading leaves open is measured (`ocr.calibration`); what several leave
    # open together is less, and the same dirt may mislead them all.
    false_slot=0.0005,
    # Of characters whose name was certain and that were wrong, in the tuning pictures
    # and three sets of another make, 10 were none and 2 were others.
    nothing=0.8,
    # Of 16 given 0.5 or more in pictures of another make 2 were none: by the rule of
    # succession one in six.
    false_mark=0.17,
    # Photos joined wrongly show a part of the ring twice.
    stray_line=0.001,
    upside_down=0.02,
    # In the tuning pictures and two sets of another make 4 of 149 gaps were not seen,
    # and 1 was seen in 557 places without one, but for two rings of 97 whose spacing
    # misled altogether (8 gaps). Keepers' spaces mislead oftener than that: common
    # practice, no source.
    gap_where_none=0.01,
    no_gap_where_one=0.04,
    no_gap_at_seam=0.1,
    gaps_mislead=0.1,
    # Lines stand in rows or columns of their own; a keeper may have parted one.
    other_line=0.03,
    other_column=0.01,
    start_weights=(0.25, 0.6, 1.0),
    left_out_at_gap=0.0,
    # Of 474 at a line's cut end, given 0.99 or more, none was wrong: by the same rule
    # one in 476.
    edge_doubt=0.002,
)
# In photos joined in one way, of the tuning pictures and four sets of another make, 11
# of 800 beginnings and ends of lines said not to go on lay within a word, and none at a
# word's edge.
BY_PHOTOS = replace(BY_PHOTO, start_weights=(0.03, 0.05, 1.0))
BY_KEEPER = Manner(
    typed=True,
    false_slot=0.001,
    nothing=0.0,
    false_mark=0.001,
    stray_line=0.002,
    upside_down=0.01,
    gap_where_none=0.5,
    no_gap_where_one=0.8,
    no_gap_at_seam=0.1,
    gaps_mislead=0.0,
    other_line=1.0,
    other_column=1.0,
    start_weights=(0.2, 1.0, 1.0),
    left_out_at_gap=0.3,
    edge_doubt=0.0,
)
