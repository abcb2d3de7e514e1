"""What is said of every inscription of the golden table, in a few lines each.

`python tests/ledger/services/explained.py` from the top folder prints it;
`--write` keeps it beside the table, where a test holds it.
"""

import csv
import datetime as dt
import sys
from pathlib import Path

GOLDEN = Path(__file__).parents[2] / "golden"
TODAY = dt.date(2026, 11, 25)


def inscriptions():
    with (GOLDEN / "ring_inscriptions.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def truth_of(row):
    """What the inscription means: (field, text) pairs."""
    return {tuple(pair.split("=")) for pair in row["means"].split(";")}


def readings_of(found):
    """What was said, the likeliest first: sets of (field, text)."""
    yield {(part.field, part.text) for part in found.parts}
    for other in found.others:
        _, _, parts = other.parts.rpartition(": ")
        pairs = (part.split(" = ") for part in parts.split(", ") if " = " in part)
        yield {(field, text) for text, field in pairs}


def outcome(row, found):
    """Where the truth stands among what was said."""
    best, *others = readings_of(found)
    truth = truth_of(row)
    if truth <= best:
        return "said first"
    return "said among others" if any(truth <= other for other in others) else "missed"


def table():
    from ledger.rings.own_schemes import OwnSchemes
    from ledger.services.explain import explain

    for row in inscriptions():
        found = explain(row["inscription"], today=TODAY, own=OwnSchemes())
        yield f"{row['inscription']}   [{row['evidence']}: {row['source']}]"
        yield f"    truth: {row['means']}: {outcome(row, found)}"
        parts = ", ".join(f"{part.text} {part.field}" for part in found.parts)
        yield f"    {found.certainty} {parts} ({found.share:.0%})"
        for other in found.others:
            yield f"    or {other.parts} ({other.share:.0%})"
        for proof in found.proves:
            yield f"    proves: {proof}"
        yield ""


if __name__ == "__main__":
    said = "\n".join(table())
    if "--write" in sys.argv:
        (GOLDEN / "ring_inscriptions_said.txt").write_text(said, encoding="utf-8")
    else:
        sys.stdout.write(said)
