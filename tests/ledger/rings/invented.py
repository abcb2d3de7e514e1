"""An invented flock with rings in series, and what a reader of photos makes of them.

The reader errs the way a measured one does: chances are honest (of the characters
given 0.9 nine in ten are right), characters are taken for those drawn alike,
missed and made up, word gaps are missed, ends of lines are misjudged, and now and
then the ring is read upside down.
"""

import math
import random
from dataclasses import dataclass

from ledger.domain import Bird, Flock, Ring, RingKind, RingState
from ledger.rings.evidence import Evidence, EvidenceLine, Slot

COLOURS = ["silver", "red", "blue", "green", "gold", "black", "violet", "orange"]
LIKE = {
    "0": "OD8Q", "1": "I7L", "2": "Z7", "3": "85", "4": "A9", "5": "S6", "6": "8G5",
    "7": "1T", "8": "B30", "9": "4P", "A": "4R", "B": "8R", "C": "GO", "D": "0O",
    "E": "FB", "F": "EP", "G": "C6", "H": "NK", "I": "1L", "J": "I1", "K": "XH",
    "L": "I1", "M": "NW", "N": "HM", "O": "0DQ", "P": "R9", "Q": "O0", "R": "PA",
    "S": "58", "T": "17", "U": "VJ", "V": "UY", "W": "VM", "X": "KY", "Y": "VX",
    "Z": "2T", ".": "-", "-": ".",
}  # fmt: skip
TURNED = dict(zip("01689HINOSXZMW", "0198 6HINOSXZWM".replace(" ", ""), strict=False))
ALL = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


@dataclass(frozen=True)
class Line:
    text: str
    direction: str = "around"


@dataclass(frozen=True)
class Layout:
    """Lines as they lie on the ring; axial ones stand side by side round it."""

    kind: str
    lines: tuple[Line, ...]
    span_deg: float

    @property
    def inscription(self) -> str:
        return " / ".join(line.text for line in self.lines)


def layout_of(fields: list[str], kind: str, span_deg: float) -> Layout:
    if kind == "around1":
        lines = (Line(" ".join(fields)),)
    elif kind == "around2":
        cut = (len(fields) + 1) // 2
        lines = (Line(" ".join(fields[:cut])), Line(" ".join(fields[cut:])))
    else:
        lines = tuple(Line(field, "axial_up") for field in fields)
    return Layout(kind, lines, span_deg)


@dataclass(frozen=True)
class Invented:
    flock: Flock
    layouts: dict[str, Layout]
    """By ring id."""
    joined: dict[str, list[str]]
    """By ring id: texts without spaces, twice over, that a view is a part of."""


def a_flock(n_rings: int, seed: int = 0) -> Invented:
    """Rings in series: neighbours differ by one digit."""
    rng = random.Random(seed)
    series = _series(rng, n_rings)
    things, layouts, joined = [], {}, {}
    for n, (fields, kind, colour) in enumerate(series, 1):
        layout = layout_of(fields, kind, rng.uniform(230, 335))
        bird = Bird(f"b{n:05d}", f"Bird {n}", location=f"Aviary {n % 40}")
        ring = Ring(
            f"r{n:05d}",
            layout.inscription,
            kind=RingKind.CLOSED,
            colour=colour,
            bird=bird.id,
            state=RingState.ON_BIRD,
        )
        things += [bird, ring]
        layouts[ring.id] = layout
        joined[ring.id] = _joined(layout)
    return Invented(Flock.of(things), layouts, joined)


def _series(rng, n_rings):
    made = []
    codes = ["TWK", "QSA", "HDRB", "BML", "NOX", "WV"]
    per_year = max(n_rings // (len(codes) * 16), 3)
    for code in codes:
        style = rng.choice(["front", "back", "middle"])
        for year in range(9, 25):
            kind = rng.choice(["around1", "around1", "around2", "axial"])
            digits = rng.choice([3, 4, 4])
            colour = COLOURS[year % len(COLOURS)]
            yy = f"{year:02d}" if rng.random() < 0.7 else f"20{year:02d}"
            for serial in range(1, per_year + 8):
                number = f"{serial:0{digits}d}"
                fields = {
                    "front": ["IE", code, yy, number],
                    "back": [number, "IE", code, yy],
                    "middle": [yy, "IE", number, code],
                }[style]
                made.append((fields, kind, colour))
    rng.shuffle(made)
    return made[:n_rings]


def _joined(layout: Layout) -> list[str]:
    parts = [line.text.replace(" ", "") for line in layout.lines]
    whole = "".join(parts)
    return [whole * 2, *(part * 2 for part in parts)]


def fits_view(joined: list[str], pieces: list[str]) -> bool:
    """Every piece in view can be read on this ring, from some start or other."""
    return all(any(piece in text for text in joined) for piece in pieces)


@dataclass(frozen=True)
class Reader:
    """How often a reader errs, per character."""

    doubtful: float = 0.04
    """Read with a chance of 0.35 to 0.85."""
    likely: float = 0.1
    """Read with a chance of 0.85 to 0.99; all others with more."""
    missed: float = 0.012
    made_up: float = 0.006
    worn_edge: float = 0.1
    """Of characters at the edge of the view; read like doubtful ones."""
    certain: tuple[float, float] = (2.2, 4.5)
    """All others are wrong once in 10 to this power, between these bounds."""


FAIR = Reader()
"""About 97 of 100 characters right."""
GOOD = Reader(0.01, 0.05, 0.002, 0.001, 0.04, (2.5, 5.0))
"""About 99 of 100 characters right."""
JOINED = Reader(0.002, 0.02, 0.0005, 0.0003, 0.0, (3.3, 6.0))
"""What a good reader knows after photos that overlap."""


@dataclass(frozen=True)
class View:
    evidence: Evidence
    pieces: list[str]
    """The characters truly in view, a text per line."""

    @property
    def n_in_view(self) -> int:
        return sum(map(len, self.pieces))


def view(rng, layout: Layout, colour: str, reader: Reader = FAIR) -> View:
    """One photo from a direction that shows at least one character."""
    while True:
        centre = rng.uniform(0, 360)
        lines = [
            found for line in _placed(layout) if (found := _in_view(line, centre, 66.0))
        ]
        if any(line.signs for line in lines):
            return _seen(rng, lines, colour, reader)


def all_views(rng, layout: Layout, colour: str, reader: Reader = FAIR) -> View:
    """All photos of a ring joined: the whole way round was seen."""
    whole = [
        Piece([s for s in line.text if s != " "], _gaps(line.text), False, False, line)
        for line in layout.lines
    ]
    return _seen(rng, whole, colour, reader)


@dataclass
class Piece:
    signs: list[str]
    gaps: set[int]
    cut_start: bool
    cut_end: bool
    line: Line


def _gaps(text: str) -> set[int]:
    found, at = set(), 0
    for sign in text:
        if sign == " ":
            found.add(at)
        else:
            at += 1
    return found


def _placed(layout: Layout):
    """(line, [(sign, angle, gap before)]): characters evenly over the text's span."""
    if layout.kind in ("around1", "around2"):
        for line in layout.lines:
            step = layout.span_deg / max(len(line.text), 10)
            signs = [
                (sign, at * step, at > 0 and line.text[at - 1] == " ")
                for at, sign in enumerate(line.text)
                if sign != " "
            ]
            yield line, signs
        return
    step = layout.span_deg / len(layout.lines)
    for at, line in enumerate(layout.lines):
        gaps = _gaps(line.text)
        signs = [s for s in line.text if s != " "]
        yield line, [(s, at * step, n in gaps) for n, s in enumerate(signs)]


def _in_view(placed, centre, half_deg):
    line, signs = placed
    n = len(signs)
    turns = [math.remainder(angle - centre, 360) for _, angle, _ in signs]
    shown = [abs(turn) <= half_deg for turn in turns]
    if not any(shown):
        return None
    order = sorted((at for at in range(n) if shown[at]), key=lambda at: turns[at])
    if line.direction != "around":
        order = [at for at in range(n) if shown[at]]
    gaps = {
        k
        for k, at in enumerate(order)
        if k and (signs[at][2] or at != order[k - 1] + 1)
    }
    around = line.direction == "around"
    first, last = order[0], order[-1]
    return Piece(
        [signs[at][0] for at in order],
        gaps,
        around and first != 0,
        around and last != n - 1,
        line,
    )


def _seen(rng, pieces, colour, reader) -> View:
    upside_down = rng.random() < 0.01
    lines = tuple(_read(rng, piece, upside_down, reader) for piece in pieces)
    seen_colour = ""
    if rng.random() < 0.7:
        seen_colour = colour if rng.random() < 0.85 else rng.choice(COLOURS)
    return View(
        Evidence(tuple(line for line in lines if line.slots), colour=seen_colour),
        ["".join(piece.signs) for piece in pieces],
    )


def _read(rng, piece: Piece, upside_down: bool, reader: Reader) -> EvidenceLine:
    slots = []
    signs = list(enumerate(piece.signs))
    if upside_down:
        signs = signs[::-1]
    for at, sign in signs:
        gap = (at in piece.gaps) if rng.random() < 0.9 else rng.random() < 0.1
        if rng.random() < reader.missed:
            continue  # missed
        if rng.random() < reader.made_up:
            slots.append(_slot(rng, rng.choice(ALL), gap, reader, worn=True))  # made up
        edge = at in (0, len(piece.signs) - 1)
        true = TURNED.get(sign, rng.choice(ALL)) if upside_down else sign
        worn = edge and rng.random() < reader.worn_edge
        slots.append(_slot(rng, true, gap, reader, worn=worn))
    cut_start = piece.cut_start if rng.random() < 0.92 else not piece.cut_start
    cut_end = piece.cut_end if rng.random() < 0.92 else not piece.cut_end
    if upside_down:
        cut_start, cut_end = cut_end, cut_start
    return EvidenceLine(tuple(slots), piece.line.direction, cut_start, cut_end)


def _slot(rng, true: str, gap: bool, reader: Reader, *, worn: bool) -> Slot:
    """Honest chances: the likeliest is right as often as its chance says.

    Most characters are read with near certainty and a few are in real doubt, as
    networks' answers are.
    """
    kind = rng.random()
    if worn or kind < reader.doubtful:
        chance = rng.uniform(0.35, 0.85)
    elif kind < reader.doubtful + reader.likely:
        chance = rng.uniform(0.85, 0.99)
    else:
        chance = 1 - 10 ** -rng.uniform(*reader.certain)
    rest = 1 - chance
    shares = [chance, 0.55 * rest, 0.2 * rest, 0.1 * rest]
    place = rng.choices([0, 1, 2, 3, 4], [*shares, 0.15 * rest])[0]
    others = [s for s in LIKE.get(true, "") if s != true]
    rng.shuffle(others)
    others += rng.sample([s for s in ALL if s != true and s not in others], 4)
    signs = others[:4]
    if place < 4:
        signs.insert(place, true)
    return Slot(tuple(zip(signs[:4], shares, strict=True)), gap_before=gap)
