"""How well, how safely and how fast birds are found among 10,000 rings.

Run: python tests/bench/bench_matcher.py [tries]. It prints and asserts nothing.
The peer for time is one pass of rapidfuzz.process.extract over the same texts.
"""

import random
import statistics
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from rapidfuzz import fuzz, process

from ledger.rings.evidence import Evidence, parse_fragment
from ledger.rings.index import index_of
from ledger.rings.matcher import rank
from tests.ledger.rings.invented import (
    COLOURS,
    FAIR,
    GOOD,
    JOINED,
    a_flock,
    all_views,
    fits_view,
    layout_of,
    view,
)

N_RINGS = 10_000


def main() -> None:
    tries = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    begun = time.perf_counter()
    invented = a_flock(N_RINGS)
    made = time.perf_counter()
    index_of(invented.flock)
    print(f"{len(invented.flock.rings)} rings; flock made in {made - begun:.2f} s,")
    print(f"made ready to match in {time.perf_counter() - made:.2f} s, once\n")
    for reader, words in ((FAIR, "97 of 100 characters"), (GOOD, "99 of 100")):
        print(f"a reader that gets {words} right")
        one_photo(invented, tries // 2, reader)
        all_photos(invented, tries // 4, reader)
    print("what a good reader knows after photos that overlap")
    all_photos(invented, tries // 2, JOINED)
    strangers(invented, tries // 4)
    typed(invented)


def one_photo(invented, tries, reader):
    rng = random.Random(7)
    right = first = 0
    verdicts, bad, times, peers = Counter(), [], [], []
    texts = [ring.inscription for ring in invented.flock.rings.values()]
    ids = list(invented.layouts)
    while right < tries:
        ring_id = rng.choice(ids)
        ring = invented.flock.rings[ring_id]
        seen = view(rng, invented.layouts[ring_id], ring.colour, reader)
        if seen.n_in_view < 4 or not seen.evidence.lines:
            continue
        right += 1
        found, seconds = timed(rank, invented.flock, seen.evidence)
        times.append(seconds)
        if right % 20 == 0:
            peers.append(peer(seen.evidence.text, texts))
        verdicts[found.verdict] += 1
        top = found.candidates[0].ring.id if found.candidates else ""
        first += bool(top) and fits_view(invented.joined[top], seen.pieces)
        if found.verdict == "sure":
            others = fitting(invented, seen.pieces) - {ring_id}
            if top != ring_id or others:
                bad.append((ring.inscription, seen.evidence.text, top, len(others)))
    print(
        f"  one photo with four or more characters in view, {tries} tries: first right"
    )
    print(f"  or not to be told from it {first / tries:.1%}; {dict(verdicts)}")
    report_bad(bad)
    report_times(times, peers)


def all_photos(invented, tries, reader):
    rng = random.Random(8)
    verdicts, bad, first, times, doubt = Counter(), [], 0, [], 0.0
    for _ in range(tries):
        ring_id = rng.choice(list(invented.layouts))
        ring = invented.flock.rings[ring_id]
        seen = all_views(rng, invented.layouts[ring_id], ring.colour, reader)
        found, seconds = timed(rank, invented.flock, seen.evidence)
        times.append(seconds)
        verdicts[found.verdict] += 1
        top = found.candidates[0].ring.id if found.candidates else ""
        first += top == ring_id
        if found.verdict == "sure":
            doubt += 1 - found.candidates[0].probability
        if found.verdict == "sure" and top != ring_id:
            bad.append((ring.inscription, seen.evidence.text, top, 0))
    print(
        f"  all photos of a ring, {tries} tries: right bird first {first / tries:.1%};"
    )
    print(f"  {dict(verdicts)}; by its own chances {doubt:.1f} of them wrong")
    report_bad(bad)
    report_times(times, [])


def strangers(invented, tries):
    rng = random.Random(9)
    recorded = {ring.inscription for ring in invented.flock.rings.values()}
    for what in ("strangers' rings", "our series, not on record"):
        verdicts = {"one photo": Counter(), "all photos": Counter()}
        for n in range(tries):
            layout = stranger(rng) if what[0] == "s" else unrecorded(rng, invented)
            if layout.inscription in recorded:
                continue
            show = all_views if n % 2 else view
            seen = show(rng, layout, rng.choice(COLOURS))
            if seen.evidence.lines:
                found = rank(invented.flock, seen.evidence)
                verdicts["all photos" if n % 2 else "one photo"][found.verdict] += 1
        print(f"{what}: " + "; ".join(f"{k} {dict(v)}" for k, v in verdicts.items()))
    print()


def stranger(rng):
    letters = "ABCDEFGHJKLMNPRSTUVWXYZ"
    code = "".join(rng.choice(letters) for _ in range(rng.choice([2, 3, 3, 4])))
    country = rng.choice(["IE", "IE", "GB", "DE", "NL", ""])
    serial = f"{rng.randint(1, 400):0{rng.choice([2, 3, 4])}d}"
    fields = [f for f in [country, code, f"{rng.randint(9, 25):02d}", serial] if f]
    if rng.random() < 0.3:
        rng.shuffle(fields)
    return layout_of(fields, rng.choice(["around1", "around2", "axial"]), 300)


def unrecorded(rng, invented):
    """A ring of one of our series with a serial that is not on record."""
    layout = invented.layouts[rng.choice(list(invented.layouts))]
    fields = " ".join(line.text for line in layout.lines).split()
    serial = max((f for f in fields if f.isdigit() and f[:2] != "20"), key=len)
    fields[fields.index(serial)] = f"{rng.randint(130, 400):0{len(serial)}d}"
    return layout_of(fields, layout.kind, layout.span_deg)


def typed(invented):
    rng = random.Random(10)
    texts = [ring.inscription for ring in invented.flock.rings.values()]
    times, peers = [], []
    for _ in range(10):
        text = rng.choice(texts).replace(" / ", " ")
        for end in range(1, len(text) + 1):
            lines = parse_fragment(text[:end])
            if lines:
                evidence = Evidence(lines, typed=True)
                times.append(timed(rank, invented.flock, evidence)[1])
                peers.append(peer(text[:end], texts))
    print("typed, letter by letter:")
    report_times(times, peers)


def fitting(invented, pieces):
    return {i for i, joined in invented.joined.items() if fits_view(joined, pieces)}


def timed(function, *arguments):
    begun = time.perf_counter()
    result = function(*arguments)
    return result, time.perf_counter() - begun


def peer(text, texts):
    _, seconds = timed(
        lambda: process.extract(text, texts, scorer=fuzz.partial_ratio, limit=10)
    )
    return seconds


def report_bad(bad):
    print(f"  sure and wrong, or sure while the view leaves two: {len(bad)}")
    for line in bad[:10]:
        print("   ", *line)


def report_times(times, peers):
    middle = statistics.median(times) * 1000
    worst = sorted(times)[int(len(times) * 0.95)] * 1000
    print(f"  a ranking takes {middle:.0f} ms, 95 % are under {worst:.0f} ms", end="")
    if peers:
        other = statistics.median(peers) * 1000
        print(f"; rapidfuzz over the same texts {other:.0f} ms, ratio ", end="")
        print(f"{middle / other:.1f}", end="")
    print("\n")


if __name__ == "__main__":
    main()
