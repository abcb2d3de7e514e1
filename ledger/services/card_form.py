"""An emergency card as lines for a narrow screen or a printer, and as plain values."""

from __future__ import annotations

import dataclasses
import unicodedata
from typing import TYPE_CHECKING, Any

from ledger.reports.text_width import width_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from ledger.services.card import Card, Contact, Kin, Mark, Weight

_LABEL = 12
"""Cells for the words on the left."""
_ASK_A_VET_PERCENT = -10.0
"""Loss between two weighings from which a vet is called: 10 % or more, as
birdchannel.com advises."""


def as_json(card: Card) -> dict[str, Any]:
    """The card as plain values for `--json`."""
    return dataclasses.asdict(card)


def as_text(card: Card, width: int = 80) -> str:
    """The card as text, the most urgent first, without need of colour.

    Args:
        card: The card.
        width: Cells in a line, 40 or more.

    Returns:
        Lines of at most `width` cells, without a newline at the end.
    """
    width = max(width, 40)
    return "\n".join(
        [
            *_head(card, width),
            *_urgent(card, width),
            *_who(card, width),
            *_call(card, width),
            *_family(card.kin, width),
            *_lately(card, width),
        ]
    )


def _head(card: Card, width: int) -> Iterator[str]:
    yield "=" * width
    yield from _wrapped(f"EMERGENCY CARD: {card.name.upper()} ({card.bird})", width)
    for sentence in card.standing:
        yield from _labelled("!! " + card.status.upper(), [sentence], width)
    yield "=" * width


def _urgent(card: Card, width: int) -> Iterator[str]:
    """Alerts, medication, allergies: shouted when there are any, said when none."""
    for label, texts, none in (
        ("ALERT", card.alerts, "none entered"),
        ("MEDICATION", card.medication, "none entered"),
        ("ALLERGIES", card.allergies, "none entered"),
    ):
        if texts:
            yield from _labelled(f"!! {label}", texts, width, 16)
        else:
            yield from _labelled(f"   {label}", [none], width, 16)
    if card.health_flags:
        yield from _labelled("   HEALTH", card.health_flags, width, 16)
    yield "-" * width


def _who(card: Card, width: int) -> Iterator[str]:
    sex = "sex not known" if card.sex == "unknown" else card.sex
    yield from _labelled("Who", [", ".join(filter(None, [card.species, sex]))], width)
    hatched = f"hatched {card.hatched}" if card.hatched else "hatching date not known"
    age = f" ({card.age} old)" if card.age and card.status != "dead" else ""
    if card.age and card.status == "dead":
        age = f" (reached {card.age})"
    yield from _labelled("", [hatched + age], width)
    yield from _labelled("Where", [card.location or "not entered"], width)
    worn = [mark for mark in card.marks if mark.is_on]
    if not worn:
        yield from _labelled("Ring, chip", ["none on the bird"], width)
    for mark in worn:
        yield from _labelled(mark.what.capitalize(), [_mark(mark)], width)
    for mark in card.marks:
        if not mark.is_on:
            yield from _labelled("Old ring", [f"{_mark(mark)}. {mark.said}"], width)
    if card.about:
        yield from _labelled("About", [card.about], width)


def _mark(mark: Mark) -> str:
    text = mark.text or "(nothing on it)"
    return f"{text} ({mark.detail})" if mark.detail else text


def _call(card: Card, width: int) -> Iterator[str]:
    yield "-" * width
    if not card.contacts:
        yield from _labelled("Call", ["no vet and no owner is entered"], width)
    for contact in card.contacts:
        label = f"Call {contact.role}"
        yield from _labelled(label, [_contact(contact)], width)
    if card.contacts and not any(contact.role == "vet" for contact in card.contacts):
        yield from _labelled("Call vet", ["no vet is entered for this bird"], width)


def _contact(contact: Contact) -> str:
    phone = contact.phone or "no phone number entered"
    rest = filter(None, [contact.name, phone, contact.email, contact.address])
    return ", ".join(rest)


def _family(kin: Sequence[Kin], width: int) -> Iterator[str]:
    yield "-" * width
    for role in ("sire", "dam"):
        parent = [_kin(one) for one in kin if one.relation == role]
        yield from _labelled(role.capitalize(), parent or ["not known"], width)
    for relation, label in (
        ("full sibling", "Siblings"),
        ("half sibling", "Half sibl."),
    ):
        siblings = [one for one in kin if one.relation == relation]
        ill = [_kin(one) for one in siblings if one.health_flags]
        well = [one.name for one in siblings if not one.health_flags]
        if well:
            ill.append(f"without health flags: {', '.join(well)}")
        yield from _labelled(label, ill or ["none known"], width)


def _kin(one: Kin) -> str:
    state = "" if one.status == "alive" else one.status
    through = f"by the same {one.through}" if one.through else ""
    about = ", ".join(filter(None, [one.bird, one.sex, state, through]))
    flags = "; ".join(one.health_flags) or "no health flags"
    return f"{one.name} ({about}): {flags}"


def _lately(card: Card, width: int) -> Iterator[str]:
    yield "-" * width
    notes = [
        f"{note.on}: {note.text}" + (f" [{note.by}]" if note.by else "")
        for note in card.notes
    ]
    yield from _labelled("Last notes", notes or ["none"], width)
    weights = [_weight(weight) for weight in card.weights]
    yield from _labelled("Weights", weights or ["none"], width)
    yield "=" * width


def _weight(weight: Weight) -> str:
    said = f"{weight.on}: {weight.weight_g:g} g"
    if weight.change_percent is None:
        return said
    said += f", {weight.change_percent:+.1f} %"
    if weight.change_percent <= _ASK_A_VET_PERCENT:
        said += "  !! lost a tenth or more: call the vet"
    return said


def _labelled(
    label: str, texts: Sequence[str], width: int, label_width: int = _LABEL
) -> Iterator[str]:
    """Each text after the label, wrapped and indented under itself."""
    shown = label
    for text in texts:
        for line in _wrapped(text, width - label_width):
            yield f"{shown:<{label_width}}{line}".rstrip()
            shown = ""


def _wrapped(text: str, width: int) -> Iterator[str]:
    """Lines of at most `width` cells; control characters become spaces."""
    line = ""
    for word in _plain(text).split():
        while word:
            room = width - width_of(line) - bool(line)
            if width_of(word) <= room:
                line, word = f"{line} {word}" if line else word, ""
            elif line:
                yield line
                line = ""
            else:  # one word longer than a line
                cut = _fitting(word, width)
                yield word[:cut]
                word = word[cut:]
    yield line


def _plain(text: str) -> str:
    return "".join(" " if unicodedata.category(sign) == "Cc" else sign for sign in text)


def _fitting(word: str, width: int) -> int:
    """How many characters of a word fit; at least one."""
    cut = 1
    while cut < len(word) and width_of(word[: cut + 1]) <= width:
        cut += 1
    return cut
