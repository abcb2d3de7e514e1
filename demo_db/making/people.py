"""The people of Tidewrack: all invented, their numbers too."""

from __future__ import annotations

from ledger.domain import FlockSettings, Person
from ledger.domain.people import OwnSize

KEEPER, CHIEF_VET, NIGHT_VET = "keeper", "vet", "night vet"
STAFF = ("Maeve Tidewrack", "Colm Bladderwrack", "Niamh Sandmason")
VET = "Dr Orla Quillfeather"
NOTE = "Invented person, invented number."

_OWNERS = (
    ("Una", "Limpetshaw"), ("Declan", "Barnacleby"), ("Sinead", "Kelpworth"),
    ("Padraig", "Cocklesham"), ("Roisin", "Tidepool"), ("Fintan", "Seagrassly"),
    ("Brigid", "Foamhurst"), ("Eoin", "Driftwoody"), ("Grainne", "Urchinley"),
    ("Ronan", "Pebblewick"), ("Aoife", "Starfishby"), ("Lorcan", "Gullsworthy"),
    ("Deirdre", "Mussellane"), ("Cathal", "Shinglemore"), ("Siobhan", "Whelkington"),
    ("Oisin", "Breakwaterby"), ("Nuala", "Oystermead"), ("Tadhg", "Rockpoole"),
    ("Ciara", "Samphirely"), ("Malachy", "Eelgrasse"),
)  # fmt: skip
OWNERS = tuple(f"{first} {last}" for first, last in _OWNERS)


def people() -> list[Person]:
    """Everyone whom a card may name; ids are still words."""
    found = [
        _person(KEEPER, STAFF[0], "keeper", 1, "Tidewrack Aviaries, Wrack Strand"),
        _person("staff 1", STAFF[1], "aviary staff", 2, "Tidewrack Aviaries"),
        _person("staff 2", STAFF[2], "aviary staff", 3, "Tidewrack Aviaries"),
        _person(CHIEF_VET, VET, "vet", 10, "Saltmarsh Bird Surgery, Lower Quay"),
        _person(
            NIGHT_VET, "Dr Fergus Casqueby", "vet", 11, "Night surgery, Upper Quay"
        ),
    ]
    for number, name in enumerate(OWNERS):
        home = f"{number + 1} Samphire Row, Wrackport"
        found.append(_person(name, name, "owner", 20 + number, home))
    return found


def _person(key: str, name: str, role: str, number: int, address: str) -> Person:
    plain = name.lower().replace("dr ", "").replace(" ", ".")
    # example.org is kept free for examples by RFC 2606; 01 555 is no exchange.
    return Person(
        key,
        name,
        role,
        phone=f"01 555 {100 + number:04d}",
        email=f"{plain}@example.org",
        address=f"{address}, Ireland (invented)",
        notes=NOTE,
    )


def settings() -> FlockSettings:
    """What holds for the whole flock."""
    return FlockSettings(
        name="Tidewrack Aviaries",
        flock_code="TWK",
        country="IE",
        keeper=KEEPER,
        vet=CHIEF_VET,
        own_sizes=(
            OwnSize("Cockatiel", 5.5, notes="Ours since the colony began."),
            OwnSize("Rosy-faced Lovebird", 4.5, notes="Measured by our vet."),
        ),
        notes="An invented place with invented birds and people, to try the program "
        "on. Made by demo_db/make_demo.py.",
    )
