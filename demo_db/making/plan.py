"""Which birds there were, who paired with whom, and what hatched: the whole plan.

A line of text is a founder, `Name sex year origin`, or a pair:
`Letter sire dam first-last | year eggs | year eggs`. A season's eggs are
c cock, h hen, u not sexed, d hatched and died in the nest, o clear,
x died in the shell, b broken. A chick is called by pair, year and its place among
the season's chicks: `A92b`. `?` is not known.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """All birds of one species at Tidewrack."""

    code: str
    species: str
    place: str
    """What their aviaries are called."""
    aviaries: int
    size_mm: float
    """Inner diameter of the rings ordered for them."""
    ring_day: int
    """Age in days at ringing."""
    years: float
    """A usual age to reach."""
    sexed: str
    """How sexes are told: "surgically" (DNA since 2006), "by colour"."""
    plan: str


LINES = (
    Line("BF", "Blue-fronted Amazon", "Harbour flight",
         4, 11.0, 18, 36, "surgically", """
Admiral cock 1978 wild
Marina hen 1979 wild
Corsair cock 1984 bought
Pearl hen 1986 bought
Teasel hen 1998 bought
Rigger cock 2001 bought
Bramble hen 2008 bought
Thrift hen 2013 bought
Duchess hen 1975 given
A Admiral Marina 1986-2001 | 88 ch | 91 co | 95 hx
B A88a Pearl 1993-2008 | 96 ch | 99 hxo | 03 c
C Corsair A88b 1995-2009 | 97 c | 02 hx
D B96a Teasel 2002-2018 | 04 chh | 08 cd
E D04a Bramble 2011-2022 | 12 ch | 15 hx
F Rigger D04b 2009-2018 | 13 ch
G E12a Thrift 2018- | 21 oo | 23 chu
"""),
    Line("GP", "Grey Parrot", "Quay house",
         4, 11.5, 20, 38, "surgically", """
Barnaby cock 1982 wild
Fenella hen ? wild
Solan cock 1993 bought
Mirabel hen 1995 bought
Quill cock 2006 bought
Sable hen 2009 bought
Captain cock ? given
A Barnaby Fenella 1989-2006 | 92 ch | 95 cx | 99 hh | 03 co
B A92a Mirabel 2000-2017 | 02 ch | 06 hxo | 10 c
C Solan A92b 1999-2016 | 01 h | 05 ch
D Quill C05b 2012- | 15 ch | 18 hx | 21 oo
E B10a Sable 2015- | 17 c | 23 chu
"""),
    Line("YC", "Yellow-crowned Amazon", "Harbour flight",
         4, 11.0, 18, 38, "surgically", """
Brigand cock 1985 wild
Sabine hen 1986 bought
Tarpaulin cock 1999 bought
Wrackline hen 2000 bought
Lobelia hen 2009 bought
A Brigand Sabine 1992-2008 | 94 ch | 98 hx | 01 c
B A94a Wrackline 2005-2021 | 07 ch | 11 co
C Tarpaulin A98a 2006-2018 | 09 h | 13 ch
D B07a Lobelia 2015- | 16 oo | 19 cxo
"""),
    Line("WF", "White-fronted Amazon", "Lantern room",
         3, 8.5, 16, 19, "by colour", """
Pico cock 1998 bought
Dulse hen 1999 bought
Samphire hen 2008 bought
Grapnel cock 2010 bought
A Pico Dulse 2003-2016 | 06 ch | 09 chx | 12 hh
B A06a Samphire 2012- | 14 c | 17 h | 22 chu
C Grapnel A12a 2017- | 20 xo | 25 chu
"""),
    Line("EC", "Eclectus Parrot", "Palm house",
         3, 11.0, 18, 21, "by colour", """
Verdant cock 1994 bought
Scarlett hen 1995 bought
Orlop cock 2005 bought
Vesta hen 2011 bought
A Verdant Scarlett 1999-2012 | 01 ch | 04 hh | 08 cd
B Orlop A04a 2010-2020 | 12 ch | 16 cx
C A08a Vesta 2015- | 17 ch | 22 chc
"""),
    Line("GA", "Galah", "Dune aviary",
         3, 9.5, 15, 28, "by colour", """
Bluff cock 1992 bought
Rosalind hen 1993 bought
Larkspur cock 2004 bought
Clover hen 2006 bought
Heather hen 2013 bought
Major cock 2003 given
A Bluff Rosalind 1996-2012 | 98 ch | 01 hxo | 05 cc
B A98a Clover 2009-2022 | 11 ch | 14 c
C A05a Heather 2017- | 20 chh | 21 hoo
D Larkspur A01a 2008-2016 | 10 hd
"""),
    Line("PC", "Pink Cockatoo", "Dune aviary",
         2, 11.0, 17, 45, "by colour", """
Ensign cock 1996 bought
Coral hen 1997 bought
Halyard hen 2010 bought
A Ensign Coral 2003-2018 | 06 ch | 10 c | 13 hx
B A06a Halyard 2016- | 18 h | 21 coo
"""),
    Line("BH", "Blue-headed Parrot", "Lantern room",
         2, 8.2, 16, 15, "surgically", """
Caulker cock 2000 bought
Petrel hen 2001 bought
Tern hen 2012 bought
A Caulker Petrel 2005-2017 | 08 ch | 11 chx | 15 c
B A11a Tern 2017- | 19 ox | 22 chh
"""),
    Line("RM", "Red-shouldered Macaw", "Signal house",
         3, 7.5, 15, 17, "surgically", """
Cutter cock 1999 bought
Ketch hen 2000 bought
Yawl hen 2009 bought
Sprit cock 2013 bought
A Cutter Ketch 2003-2016 | 05 ch | 08 hh | 12 cx
B A05a Yawl 2012- | 14 ch | 17 h | 21 chu
C Sprit B17a 2021- | 24 chu
"""),
    Line("BP", "Burrowing Parakeet", "Cliff flight",
         2, 7.0, 14, 15, "surgically", """
Burrow cock 2002 bought
Shale hen 2003 bought
Scree hen 2012 bought
A Burrow Shale 2006-2018 | 09 chc | 13 hx
B A09a Scree 2015- | 17 ch | 20 cd | 25 chu
"""),
    Line("SE", "Senegal Parrot", "Signal house",
         3, 7.5, 14, 27, "surgically", """
Rufus cock 1990 wild
Saffron hen 1991 wild
Ochre hen 2007 bought
Amber hen 2016 bought
A Rufus Saffron 1996-2010 | 98 ch | 02 cx | 05 h
B A98a Ochre 2010-2021 | 12 ch | 15 hh | 19 chx
C B12a Amber 2020- | 25 uo
"""),
    Line("SP", "Sun Parakeet", "Noon flight",
         4, 6.5, 13, 18, "surgically", """
Sol cock 1995 bought
Citrine hen 1996 bought
Ember cock 1999 bought
Marigold hen 1999 bought
Topaz hen 2012 bought
Dandelion hen 2017 bought
A Sol Citrine 1997-2006 | 99 chh | 01 c | 02 h
B A99a Marigold 2001-2009 | 03 ch | 05 chx
C Ember A99b 2001-2008 | 03 hh | 06 c
D B03a C03a 2008-2011 | 09 cxx | 10 hox
E B05a Topaz 2014-2021 | 16 ch | 19 chu | 21 chu
F E16a Dandelion 2021- | 23 chu
"""),
    Line("CT", "Cockatiel", "Meadow colony",
         2, 5.5, 10, 15, "by colour", """
Pepper cock 2001 bought
Dusty hen 2001 bought
Misty hen 2006 bought
Sleet hen 2011 bought
Spindrift hen 2014 bought
Squall hen 2018 bought
Waif hen 2019 found
A Pepper Dusty 2003-2009 | 04 chhc | 06 ch
B A04a Misty 2007-2013 | 09 chc | 11 hhd
C B09a Sleet 2012-2018 | 13 ch | 15 cx
D C13a Spindrift 2016-2021 | 17 ch | 19 chu | 20 chh
E D17a Squall 2020- | 22 chu | 24 chu | 25 chu
K ? B11b 2014-2015 | 14 uu
"""),
    Line("LB", "Rosy-faced Lovebird", "Thorn colony",
         2, 4.5, 9, 11, "surgically", """
Peach cock 2004 bought
Apricot hen 2004 bought
Plum hen 2007 bought
Rowan cock 2012 bought
Sloe hen 2015 bought
Bilberry hen 2020 bought
Tramp cock 2018 found
A Peach Apricot 2005-2009 | 06 chc | 08 hx
B Peach Plum 2010-2013 | 11 chh
C A06a B11b 2012-2015 | 13 cx | 14 hoo
D Rowan B11c 2014-2018 | 15 h | 16 chc
E D16a Sloe 2018-2021 | 19 chu | 20 chu
F E19a Bilberry 2022- | 23 ch | 24 chu
"""),
    Line("PH", "Plum-headed Parakeet", "Orchard flight",
         2, 5.5, 11, 14, "by colour", """
Damson cock 2008 bought
Blossom hen 2009 bought
Sorrel hen 2016 bought
A Damson Blossom 2011-2018 | 13 chc | 15 hx
B A13a Sorrel 2018- | 19 chu | 22 chu | 25 chu
"""),
    Line("BM", "Blue-and-yellow Macaw", "Boat shed",
         2, 14.0, 22, 34, "surgically", """
Neptune cock 1988 wild
Amphora hen 1990 bought
Harvest hen 1999 given
A Neptune Amphora 1998-2017 | 01 ch | 06 h | 11 cx
"""),
)  # fmt: skip
"""Six generations at most; how deep each line goes follows from the pairs."""

NAMED = {
    "YC-D19a": "Bosun",
    "BP-B20a": "Skerry",
    "PC-B21a": "Gannet",
    "GA-C21a": "Rosehip",
    "EC-C22b": "Carmine",
    "BH-B22b": "Juno",
    "BF-G23b": "Pip",
    "GP-E23b": "Cinder",
    "RM-C24b": "Tack",
    "WF-C25b": "Iris",
}
"""The birds whose rings are on the demo pictures."""
