"""Published tables as CSV, every row with its source, and small typed readers.

Lookups take the scientific or the English name. What no table lists gives an
empty answer, never a guess.
"""

from ledger.reference.breeding import BreedingFigures, breeding_figures
from ledger.reference.longevity import Longevity, longevity
from ledger.reference.ring_colours import YearColour, colours_of, years_of
from ledger.reference.ring_series import SeriesSize, series_size
from ledger.reference.ring_sizes import RingSize, all_ring_sizes, ring_size
from ledger.reference.ringing_ages import RingingAge, ringing_ages
from ledger.reference.species import scientific_name
from ledger.reference.weights import HandbookWeight, handbook_weight

__all__ = [
    "BreedingFigures",
    "HandbookWeight",
    "Longevity",
    "RingSize",
    "RingingAge",
    "SeriesSize",
    "YearColour",
    "all_ring_sizes",
    "breeding_figures",
    "colours_of",
    "handbook_weight",
    "longevity",
    "ring_size",
    "ringing_ages",
    "scientific_name",
    "series_size",
    "years_of",
]
