"""One bird: its life, marks, family, and what was written down about it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Footer

from ledger.domain.bird import Sex, Status
from ledger.domain.ring import Chip
from ledger.domain.sexing_leg import sexing_leg_said
from ledger.screens.base import HELP_LETTER, Page, heading
from ledger.services import card as cards
from ledger.services.identity import chain_gaps
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult

    from ledger.domain.bird import Bird
    from ledger.domain.event import Event
    from ledger.screens.desk import Desk

_EVENTS = 200
"""The newest; the whole list is for an export."""


class BirdScreen(Page):
    """Two panes on a wide window, one below the other on a narrow one."""

    HELP_TEXT: ClassVar[str] = """
# One bird

Its life, every ring and chip it ever carried, its family with their health flags, and
what was written down, newest first. Arrows scroll; **Tab** goes to the family,
**Enter** opens a relative's page; `sire?` and `dam?` are birds that may be a parent.
**P** enters the parents, also where it is one of two birds. **A** asks what you want
to enter: all that can happen to a bird, each under its letter. **F4** shows its papers,
to print. **H** shows what was done to it, when and by whom.
"""

    BINDINGS = [
        Binding("n", "note", "Note", id="note", tooltip="Write a note or a weight"),
        Binding("e", "card", "Card", id="card", tooltip="The emergency card"),
        Binding("a", "acts", "Enter", id="acts", tooltip="All one can enter about it"),
        Binding("t", "tree", "Tree", id="tree", tooltip="Ancestors and young"),
        Binding("m", "mates", "Mates", id="mates", tooltip="Whom to pair it with"),
        Binding(
            "p",
            "parents",
            "Parents",
            id="parents",
            show=False,
            tooltip="Enter them, also where they are in doubt",
        ),
        Binding(
            "h",
            "history",
            "Changes",
            id="bird.history",
            show=False,
            tooltip="To this bird, and taking it back",
        ),
        Binding(
            "f4",
            "papers",
            "Papers",
            id="bird.papers",
            show=False,
            tooltip="Removal and placement, to read and to print",
        ),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk, bird_id: str) -> None:
        super().__init__(desk)
        self._bird_id = bird_id

    @property
    def bird(self) -> Bird:
        """The bird as the ledger has it now."""
        return self.desk.ledger.flock.birds[self._bird_id]

    def compose(self) -> ComposeResult:
        """Life, marks and family; then what happened."""
        yield Words(id="heading")
        with VerticalScroll(id="bird"), Container(id="panes"):
            with Vertical(id="life-side"):
                yield Words(id="life")
                yield Words("Rings and chips", classes="title")
                yield Words(id="chain")
                yield Words("Family", classes="title")
                yield RowList(
                    [Column("", 8), Column("", 16), Column("", 5), Column("", 0)],
                    empty="No family is entered.",
                    id="family",
                )
            with Vertical(id="notes-side"):
                yield Words("What happened, newest first", classes="title")
                yield Words(id="events")
        yield Footer()

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.desk.looked_at(self._bird_id)
        self.query_one("#bird").focus()

    def on_screen_resume(self) -> None:
        """Show the bird as it is now."""
        bird = self.bird
        place = ", ".join(filter(None, [bird.species, bird.id]))
        self.query_one("#heading", Words).update(heading(bird.title, self.desk, place))
        self.query_one("#life", Words).say(Content("\n").join(self._life()))
        chain = list(self._chain())
        self.query_one("#chain", Words).say(
            "\n".join(chain) or "No ring and no chip is entered."
        )
        self.query_one("#family", RowList).show(list(self._family()))
        events = self.desk.ledger.flock.events_of(bird.id)
        said = [_event(event) for event in events[:_EVENTS]]
        if len(events) > _EVENTS:
            said.append(Content(f"and {len(events) - _EVENTS} more before these"))
        self.query_one("#events", Words).say(
            Content("\n").join(said) if said else "Nothing yet."
        )

    def _life(self) -> Iterator[Content]:
        bird, flock = self.bird, self.desk.ledger.flock
        card = cards.emergency_card(flock, bird.id, self.desk.today)
        for sentence in card.standing:
            yield Content.styled(f"!! {shown(sentence)}", "$text-error bold")
        for label, texts in (
            ("Alert", card.alerts),
            ("Medication", bird.medication),
            ("Allergies", bird.allergies),
        ):
            for text in texts:
                yield _labelled(label, f"!! {text}", "$text-error bold")
        for flag in bird.health_flags:
            yield _labelled("Health", flag)
        sex = "sex not known" if bird.sex is Sex.UNKNOWN else str(bird.sex)
        hatched = f"hatched {bird.hatched}" if bird.hatched else "hatching not known"
        age = f" ({card.age})" if card.age else ""
        yield _labelled("Who", f"{sex}, {hatched}{age}")
        where = bird.location if bird.status is Status.ALIVE else str(bird.status)
        yield _labelled("Where", where or "not entered")
        for label, person_id in (("Owner", bird.owner), ("Vet", bird.vet)):
            person = flock.people.get(person_id or "")
            if person:
                yield _labelled(label, f"{person.name} {person.phone}".strip())
        for label, text in (
            ("Feeding", bird.feeding),
            ("Rearing", bird.rearing),
            ("About", bird.notes),
        ):
            if text:
                yield _labelled(label, text)

    def _chain(self) -> Iterator[str]:
        flock = self.desk.ledger.flock
        card = cards.emergency_card(flock, self._bird_id, self.desk.today)
        chain = zip(flock.identity_chain(self._bird_id), card.marks, strict=True)
        for link, mark in chain:
            sign = "●" if mark.is_on else "○"
            since = f", since {link.since}" if link.since else ""
            detail = f" ({mark.detail})" if mark.detail else ""
            yield f"{sign} {mark.what} {mark.text}{detail}{since}"
            if mark.said:
                yield f"  {mark.said}"
            if isinstance(link.mark, Chip):
                continue
            if link.mark.kept:
                yield f"  It is kept: {link.mark.kept}"
            if link.mark.notes:
                yield f"  {link.mark.notes}"
            leg = sexing_leg_said(flock, link.mark)
            if leg:
                yield f"  {leg}"
        if card.marks:
            for gap in chain_gaps(flock, self._bird_id):
                yield f"! The chain is broken: {gap}"

    def _family(self) -> Iterator[Row]:
        flock = self.desk.ledger.flock
        sire, dam = flock.parents_of(self._bird_id)
        for relation, parent, told in (
            ("sire", sire, self.bird.sire_may_be),
            ("dam", dam, self.bird.dam_may_be),
        ):
            if parent and not told:
                yield _relative(relation, parent)
            for who, chance in told:
                yield _may_be(relation, flock.birds.get(who), chance)
        for sibling in flock.siblings_of(self._bird_id):
            relation = "sibling" if sibling.is_full else f"by {sibling.through}"
            yield _relative(relation, sibling.bird)
        for young in flock.young_of(self._bird_id):
            yield _relative("young", young)

    @on(RowList.Opened, "#family")
    def _open_relative(self, event: RowList.Opened) -> None:
        bird_id = event.row.key.rpartition(" ")[2]
        if not bird_id:
            return
        self.app.push_screen(BirdScreen(self.desk, bird_id))

    def action_note(self) -> None:
        """Write something down about this bird."""
        from ledger.screens.note import NoteScreen

        self.app.push_screen(NoteScreen(self.desk, self._bird_id))

    def action_acts(self) -> None:
        """All one can enter about it."""
        from ledger.screens.acts import open_acts

        open_acts(self, self.desk, self._bird_id)

    def action_history(self) -> None:
        """What was done to it, when and by whom."""
        from ledger.screens.changes import ChangesScreen

        self.app.push_screen(ChangesScreen(self.desk, self._bird_id))

    def action_papers(self) -> None:
        """Its papers, to read and to print."""
        from ledger.screens.paper import PaperScreen

        self.app.push_screen(PaperScreen(self.desk, self._bird_id))

    def action_tree(self) -> None:
        """Its ancestors and young."""
        from ledger.screens.tree import TreeScreen

        self.app.push_screen(TreeScreen(self.desk, self._bird_id))

    def action_parents(self) -> None:
        """Who its parents are, or may be."""
        from ledger.screens.parents import ParentsScreen

        self.app.push_screen(ParentsScreen(self.desk, self._bird_id))

    def action_mates(self) -> None:
        """Whom to pair it with."""
        from ledger.screens.mates import open_mates

        open_mates(self, self._bird_id)

    def action_card(self) -> None:
        """Its emergency card."""
        from ledger.screens.card import CardScreen

        self.app.push_screen(CardScreen(self.desk, self._bird_id))


def _labelled(label: str, text: str, style: str = "") -> Content:
    return Content.assemble(
        (f"{label:<11} ", "$text-secondary bold"), (shown(text), style)
    )


def _relative(relation: str, bird: Bird) -> Row:
    sex = "" if bird.sex is Sex.UNKNOWN else str(bird.sex)
    state = "" if bird.status is Status.ALIVE else f"({bird.status}) "
    flags = f"! {'; '.join(bird.health_flags)}" if bird.health_flags else ""
    return Row(
        f"{relation} {bird.id}",
        (relation, bird.title, sex, state + flags),
        "alert" if flags else "",
    )


def _may_be(relation: str, bird: Bird | None, chance: float) -> Row:
    """One of those that may be a parent."""
    name = bird.title if bird else "one not entered"
    said = f"in doubt: {chance:.0%}"
    return Row(
        f"{relation}? {bird.id if bird else ''}", (f"{relation}?", name, "", said)
    )


def _event(event: Event) -> Content:
    weight = f"{event.weight_g:g} g" if event.weight_g is not None else ""
    at = f"at {event.at}" if event.at else ""
    by = f"[{event.by}]" if event.by else ""
    said = "  ".join(filter(None, [weight, at, event.finding, event.text, by]))
    return Content.assemble(
        (f"{event.on!s:<12}", "$text-secondary"),
        (f"{event.kind!s} ", "bold"),
        shown(said),
    )
