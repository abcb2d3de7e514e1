"""Walk-throughs: plan a round, begin it, go on where one was, look at earlier ones."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.widgets import Footer

from ledger.errors import LedgerError
from ledger.screens.base import HELP_LETTER, Page, heading, tell, tell_trouble
from ledger.services import walk, walk_find, walk_papers, walk_plan
from ledger.services.walk_differences import differences, still_open
from ledger.widgets.row_list import Column, Row, RowList
from ledger.widgets.words import Words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from textual.app import ComposeResult

    from ledger.domain.flock import Flock
    from ledger.domain.walk import WalkThrough
    from ledger.screens.desk import Desk


class WalkScreen(Page):
    """The aviaries in walking order; Enter begins the round or goes on with it."""

    HELP_TEXT: ClassVar[str] = """
# Walk-through

All aviaries in the order you walk, with how many birds should be in each.

**Enter** begins the round in the marked aviary; who should be where is frozen then.
While a round goes on, the mark stands where you left off: **Enter** goes on at the
very bird.

**U** and **D** move the marked aviary up or down; the order is remembered.
**P** writes the sheet to walk with to a PDF beside the ledger.
**R** shows what the round found so far, and ends it.
"""

    BINDINGS = [
        Binding("u", "order(-1)", "Up", id="walk.up", tooltip="Walk to it earlier"),
        Binding("d", "order(1)", "Down", id="walk.down", tooltip="Walk to it later"),
        Binding("p", "print", "Sheet", id="walk.sheet", tooltip="Print the sheet"),
        Binding("r", "result", "Result", id="walk.result", tooltip="What it found"),
        Binding("l", "earlier", "Earlier", id="walk.earlier", tooltip="Earlier rounds"),
        HELP_LETTER,
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._shown: str | None = None

    @property
    def round(self) -> WalkThrough | None:
        """The round that goes on."""
        return walk_plan.open_walk(self.desk.ledger.flock)

    def compose(self) -> ComposeResult:
        """What to do, and the aviaries."""
        yield Words(id="heading")
        yield Words("", id="said")
        yield RowList(
            [Column("", 1), Column("aviary", 0), Column("birds", 9), Column("", 24)],
            empty="No aviary is entered. Enter where your birds live, on their pages.",
            id="aviaries",
        )
        yield Footer()

    def on_mount(self) -> None:
        """The list takes the keys."""
        self.query_one(RowList).focus()
        self._prepare(self.desk.ledger.flock)

    @work(thread=True, group="preparing", exit_on_error=False)
    def _prepare(self, flock: Flock) -> None:
        """Make the rings ready to be compared while the keeper still looks."""
        walk_find.prepare(flock)

    def on_screen_resume(self) -> None:
        """Show the round as it is now, the mark where one left off."""
        flock = self.desk.ledger.flock
        going = self.round
        rows = self.query_one(RowList)
        if going is None:
            planned = walk_plan.plan(flock)
            place = f"{sum(len(p.birds) for p in planned)} birds to see"
            said = "No round goes on. Enter begins one; U and D change the order."
            rows.show(
                [Row(p.aviary, ("·", p.aviary, str(len(p.birds)), "")) for p in planned]
            )
        else:
            place = f"round {going.id} of {going.on}"
            found = differences(flock, going.id)
            said = f"Enter goes on. Differences so far: {len(found)}, "
            said += f"{len(still_open(found))} open."
            rows.show(list(self._rows(going)))
            if self._shown != going.id or not rows.row:
                at = walk.resume_at(flock, going.id)
                rows.select(going.stops[at.stop].aviary)
            else:
                following = next((s for s in going.stops if not s.done), None)
                marked = next(
                    (s for s in going.stops if s.aviary == rows.row.key), None
                )
                if marked is not None and marked.done and following is not None:
                    rows.select(following.aviary)
            self._shown = going.id
        self.query_one("#heading", Words).update(
            heading("Walk-through", self.desk, place)
        )
        self.query_one("#said", Words).say(said)

    def _rows(self, going: WalkThrough) -> Iterator[Row]:
        seen = walk.first_sightings(self.desk.ledger.flock, going.id)
        for stop in going.stops:
            n_seen = sum(bird in seen for bird in stop.birds)
            count = f"{n_seen} of {len(stop.birds)}"
            missing = len(stop.birds) - n_seen
            if not stop.done:
                said = "under way" if n_seen else ""
                yield Row(
                    stop.aviary, ("▸" if n_seen else "·", stop.aviary, count, said)
                )
            elif missing:
                said = f"closed, {missing} not seen"
                yield Row(stop.aviary, ("!", stop.aviary, count, said), "alert")
            else:
                yield Row(stop.aviary, ("✓", stop.aviary, count, "closed"), "muted")

    @on(RowList.Opened)
    def _open(self, event: RowList.Opened) -> None:
        from ledger.screens.aviary import AviaryScreen

        going = self.round
        try:
            if going is None:
                going = walk_plan.begin(
                    self.desk.ledger, self.desk.now(), self.desk.keeper
                )
            names = [stop.aviary for stop in going.stops]
            place = names.index(event.row.key)
            if going.stops[place].done:
                going = walk.close_aviary(
                    self.desk.ledger, going.id, place, self.desk.keeper, done=False
                )
        except LedgerError as error:
            tell_trouble(self.app, "The round cannot begin", error)
            return
        at = walk.resume_at(self.desk.ledger.flock, going.id)
        bird = at.bird
        if at.stop != place:
            seen = walk.first_sightings(self.desk.ledger.flock, going.id)
            bird = walk.next_unseen(going.stops[place], seen)
        self.app.push_screen(AviaryScreen(self.desk, going.id, place, bird))

    def action_order(self, by: int) -> None:
        """Walk to the marked aviary earlier or later."""
        rows = self.query_one(RowList)
        if self.round is not None or rows.row is None:
            tell(self.app, "The order is changed between rounds.")
            return
        names = [row.key for row in rows.rows]
        order = walk_plan.moved(names, rows.cursor, by)
        try:
            walk_plan.set_walking_order(self.desk.ledger, order, self.desk.keeper)
        except LedgerError as error:
            tell_trouble(self.app, "Order not kept", error)
        self.on_screen_resume()

    def action_print(self) -> None:
        """The sheet to walk with, as PDF beside the ledger."""
        path = self.desk.ledger.folder / f"walk-sheet-{self.desk.today}.pdf"
        try:
            paper = walk_papers.sheet(self.desk.ledger.flock, self.desk.today)
            walk_papers.write_paper(path, paper)
        except LedgerError as error:
            tell_trouble(self.app, "Sheet not written", error)
            return
        tell(self.app, str(path), title="Sheet written")

    def action_result(self) -> None:
        """What the round found so far, or the last one."""
        from ledger.screens.round import RoundScreen

        flock = self.desk.ledger.flock
        going = self.round or next(reversed(list(flock.walks.values())), None)
        if going is None:
            tell(self.app, "No round was walked yet.")
            return
        self.app.push_screen(RoundScreen(self.desk, going.id))

    def action_earlier(self) -> None:
        """All rounds, newest first."""
        from ledger.screens.rounds import RoundsScreen

        self.app.push_screen(RoundsScreen(self.desk))
