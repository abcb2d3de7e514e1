"""Whom the keeper means by a name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ledger.domain.people import Person
from ledger.errors import RuleError

if TYPE_CHECKING:
    from ledger.domain.flock import Flock


def person_called(
    flock: Flock, name: str, *, role: str = "", phone: str = "", email: str = ""
) -> Person | str:
    """The id of the one person of this name; a new person where there is none.

    Args:
        flock: The flock.
        name: As typed; case and gaps aside. An id counts too.
        role: Of a new person; so are the two that follow.
        phone: Where to call.
        email: Where to write.

    Raises:
        RuleError: two people are called so, or no name is given.
    """
    if name.strip() in flock.people:
        return name.strip()
    wanted = _plain(name)
    if not wanted:
        raise RuleError("No name is given.", "Write the name of the person.")
    same = [person for person in flock.people.values() if _plain(person.name) == wanted]
    if len(same) > 1:
        both = " and ".join(f"{person.id} ({person.role})" for person in same)
        raise RuleError(
            f"There is more than one {same[0].name}: {both}.",
            "Write the id of the one you mean.",
        )
    if same:
        return same[0].id
    return Person("", " ".join(name.split()), role, phone.strip(), email.strip())


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
