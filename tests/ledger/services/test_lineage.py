"""Lineage of a flock: figures, mates, the season's pairs, and entering a pair."""

import json

import pytest
from builders import TODAY, a_bird, a_chip, a_flock, a_ring

from ledger.__main__ import main
from ledger.domain.breeding import Clutch, Egg, Pair
from ledger.domain.change import Put
from ledger.errors import LineageError, LoopError, NotFoundError, RuleError
from ledger.services import book, demo, lineage
from ledger.services.lineage_kin import of_two
from ledger.services.lineage_limits import Limits
from ledger.services.lineage_mates import mates_of
from ledger.services.lineage_pairing import enter_pair
from ledger.services.lineage_season import season_plan
from ledger.store import open_store

GREY = "Grey Parrot"


def a_grey(bird_id, name, sex, **fields):
    fields = {"species": GREY, "hatched": "2015", **fields}
    return a_bird(bird_id, name, sex=sex, **fields)


FAMILY = (
    a_grey("b0001", "Rook", "cock", hatched="2005"),
    a_grey("b0002", "Wren", "hen", hatched="2005", status="dead"),
    a_grey("b0003", "Fern", "hen", hatched="2006", status="dead"),
    a_grey("b0010", "Ash", "cock", sire="b0001", dam="b0002"),
    a_grey("b0011", "Bryony", "hen", sire="b0001", dam="b0002"),
    a_grey("b0012", "Clover", "hen", sire="b0001", dam="b0003"),
    a_grey("b0013", "Dove", "hen"),
    a_grey("b0014", "Chick", "hen", hatched="2025"),
    a_grey("b0015", "Elder", "unknown"),
    a_grey("b0016", "Finch", "hen", status="placed"),
    a_bird("b0020", "Gull", sex="hen", species="Galah", hatched="2015"),
)


def test_figures__of_one_bird():
    flock = a_flock(*FAMILY, a_grey("b0030", "Ivy", "hen", sire="b0010", dam="b0011"))
    found = lineage.of_bird(flock, "b0030")
    assert found.inbreeding == 0.25
    assert found.generations_known == 2
    assert found.completeness == (1, 1, 0, 0, 0)
    assert found.unknown_parents == 0
    assert lineage.lineage_of(flock) is lineage.lineage_of(flock)


def test_figures__of_all_and_of_each_species():
    everyone, greys, galahs = lineage.of_groups(a_flock(*FAMILY))
    assert (everyone.living, greys.living, galahs.living) == (8, 7, 1)
    assert greys.species == GREY
    assert galahs.gene_diversity == 0.5
    assert everyone.gene_diversity > greys.gene_diversity
    assert lineage.of_living(a_flock(*FAMILY))[0].bird == "b0020"


def test_species__is_one_under_its_other_name():
    flock = a_flock(
        a_bird("b0001", species=GREY), a_bird("b0002", species="Psittacus erithacus")
    )
    assert len(lineage.of_groups(flock)) == 2


def test_of_two__tells_kin_in_words_and_numbers():
    kin = of_two(a_flock(*FAMILY), "b0012", "b0010")
    assert kin.kinship == 0.125
    assert kin.words == "half sister through her sire"
    assert kin.common_ancestors == ("b0001",)
    assert kin.expected is None


def test_of_two__with_a_parent_in_doubt():
    doubt = (("b0001", 0.5), ("b0010", 0.5))
    flock = a_flock(
        *FAMILY,
        a_grey("b0030", "Ivy", "hen", dam="b0013", sire_may_be=doubt),
        a_grey("b0031", "Jay", "cock", dam="b0013", sire_may_be=doubt),
        Clutch("k0001", eggs=(Egg(1, chick="b0030"), Egg(2, chick="b0031"))),
    )
    kin = of_two(flock, "b0030", "b0031")
    # Clutch mates: full siblings whoever the sire is.
    assert kin.kinship == pytest.approx(0.25)
    assert kin.expected is None
    assert kin.said[0] == "In doubt, the sire of Ivy, Jay: Rook 50%, Ash 50%."
    kin = of_two(flock, "b0030", "b0001")
    # Young of b0001 (.25) or of its son (.125).
    assert kin.expected.mean == pytest.approx(0.1875)
    assert (kin.expected.least, kin.expected.most) == (0.125, 0.25)
    assert of_two(flock, "b0010", "b0011").expected is None


@pytest.mark.parametrize(
    ("birds", "error"),
    [
        ((a_bird("b0001", sire="b0002"), a_bird("b0002", sire="b0001")), LoopError),
        ((a_bird("b0001", sire="b0001"),), LoopError),
        ((a_bird("b0001", sire="b0002"), a_bird("b0002", sex="hen")), LineageError),
    ],
)
def test_contradictions__are_named(birds, error):
    with pytest.raises(error, match="b0001") as refused:
        lineage.of_groups(a_flock(*birds))
    assert refused.value.hint


def test_parent_that_is_not_entered__counts_as_a_founder():
    flock = a_flock(a_bird("b0001", sire="b0099"), a_bird("b0002", sire="b0099"))
    assert of_two(flock, "b0001", "b0002").kinship == 0.125


# --- mates ---


def test_mates__are_living_free_grown_of_the_other_sex_and_species():
    found = mates_of(a_flock(*FAMILY), "b0010", TODAY)
    assert [mate.bird for mate in found.mates] == ["b0013", "b0012", "b0011"]
    assert any("Chick is not grown" in why for why in found.left_out)
    best, half, full = found.mates
    assert (best.inbreeding, half.inbreeding, full.inbreeding) == (0, 0.125, 0.25)
    assert not best.over_limit
    assert "0.2500" in full.over_limit[0]
    assert full.common_ancestors == ("b0001", "b0002")
    assert any("full sister" in warning for warning in full.warnings)


def test_mates__diversity_change_is_that_of_one_young_more():
    # The long way: enter the young, and compare gene diversity.
    before = lineage.of_species(a_flock(*FAMILY), FAMILY[0]).gene_diversity
    for mate in mates_of(a_flock(*FAMILY), "b0010", TODAY).mates:
        young = a_grey("b0099", "New", "unknown", sire="b0010", dam=mate.bird)
        after = lineage.of_species(a_flock(*FAMILY, young), young).gene_diversity
        assert mate.diversity_change == pytest.approx(after - before, abs=1e-14)


def test_mates__leave_out_the_paired_unless_asked():
    pair = Pair("p0001", cock="b0001", hen="b0013")
    found = mates_of(a_flock(*FAMILY, pair), "b0010", TODAY)
    assert "b0013" not in [mate.bird for mate in found.mates]
    assert "Dove is paired with Rook." in found.left_out
    found = mates_of(a_flock(*FAMILY, pair), "b0010", TODAY, paired_too=True)
    (dove,) = (mate for mate in found.mates if mate.bird == "b0013")
    assert dove.over_limit == ("Dove is paired with Rook.",)


def test_mates__limit_is_the_keepers():
    found = mates_of(a_flock(*FAMILY), "b0010", TODAY, Limits(0.2, 0.5))
    assert "b0014" in [mate.bird for mate in found.mates]
    assert {m.bird for m in found.mates if m.over_limit} == {"b0011"}


def test_mates__warn_of_health_age_and_proof():
    flock = a_flock(
        a_grey("b0001", "Rook", "cock", health_flags=("Gout",)),
        a_grey("b0002", "Wren", "hen", hatched="1960", health_flags=("gout",)),
        a_grey("b0003", "Fern", "hen", hatched=None),
        a_ring(bird="b0002"),
        a_chip(bird="b0003"),
    )
    by_name = {
        mate.name: " ".join(mate.warnings)
        for mate in mates_of(flock, "b0001", TODAY).mates
    }
    assert "In both families: Gout" in by_name["Wren"]
    assert "Wren is old" in by_name["Wren"]
    assert "no closed ring" not in by_name["Wren"]
    assert "age is not known" in by_name["Fern"]
    assert "In both" not in by_name["Fern"]


@pytest.mark.parametrize(
    ("bird", "error"),
    [("b0002", RuleError), ("b0015", RuleError), ("b9999", NotFoundError)],
)
def test_mates__of_a_bird_that_cannot_pair(bird, error):
    with pytest.raises(error) as refused:
        mates_of(a_flock(*FAMILY), bird, TODAY)
    assert refused.value.hint


# --- the season ---


def test_season__pairs_within_the_limit():
    (greys,) = season_plan(a_flock(*FAMILY), TODAY)
    pairs = {(pair.cock, pair.hen) for pair in greys.pairs}
    assert len(pairs) == 1
    assert all(pair.inbreeding <= 0.03125 for pair in greys.pairs)
    assert greys.is_best
    assert any("sex is not known" in why for why in greys.left_out)


@pytest.mark.parametrize("paired_too", [False, True])
def test_season__of_the_demo_flock_is_never_worse_than_simpler_ways(paired_too):
    with book.open_ledger(demo.demo_folder(), read_only=True) as ledger:
        plans = season_plan(ledger.flock, TODAY, paired_too=paired_too)
    assert any(len(plan.pairs) > 2 for plan in plans)
    for plan in plans:
        assert plan.is_best
        assert all(pair.inbreeding <= 0.03125 for pair in plan.pairs)
        for other in plan.others:
            assert plan.mean_kinship <= other.mean_kinship + 1e-12
        for other in plan.alternatives:
            assert other.mean_kinship_more >= -1e-12


# --- entering a pair ---


@pytest.fixture
def ledger(tmp_path):
    with open_store(tmp_path, create=True) as store:
        store.commit([Put(bird) for bird in FAMILY], author="test", what="set up")
    with book.open_ledger(tmp_path) as opened:
        yield opened


def test_pair__within_the_limits_is_stored(ledger):
    pair = enter_pair(ledger, "b0010", "b0013", TODAY, "Nora")
    assert ledger.flock.pairs[pair.id] == pair
    with pytest.raises(RuleError, match="already"):
        enter_pair(ledger, "b0010", "b0013", TODAY, "Nora")


def test_pair__over_the_limit_needs_a_reason_and_keeps_it(ledger):
    with pytest.raises(RuleError, match=r"F 0\.2500; your limit"):
        enter_pair(ledger, "b0010", "b0011", TODAY, "Nora", reason="  ")
    assert not ledger.flock.pairs
    pair = enter_pair(
        ledger, "b0010", "b0011", TODAY, "Nora", reason="Last of the line."
    )
    assert "Last of the line." in ledger.flock.pairs[pair.id].notes
    assert "0.2500" in ledger.flock.pairs[pair.id].notes


@pytest.mark.parametrize(
    ("cock", "hen", "said"),
    [
        ("b0010", "b0001", "not a cock and a hen"),
        ("b0010", "b0015", "not a cock and a hen"),
        ("b0010", "b0002", "dead"),
        ("b0010", "b0020", "different species"),
    ],
)
def test_pair__that_cannot_be_is_refused(ledger, cock, hen, said):
    with pytest.raises(RuleError, match=said):
        enter_pair(ledger, cock, hen, TODAY, "Nora")
    assert not ledger.flock.pairs


def test_pair__of_a_paired_bird_needs_a_reason(ledger):
    enter_pair(ledger, "b0010", "b0013", TODAY, "Nora")
    with pytest.raises(RuleError, match="Dove is paired with Ash"):
        enter_pair(ledger, "b0001", "b0013", TODAY, "Nora")


# --- the commands ---


def asked(capsys, *words):
    code = main([*words, "--json"])
    return code, json.loads(capsys.readouterr().out)


@pytest.fixture
def store(ledger):
    ledger.close()
    return ["--store", str(ledger.folder)]


def test_command_lineage__of_all(capsys, store):
    code, said = asked(capsys, "lineage", *store)
    assert code == 0
    assert list(said) == [
        "birds",
        "gene_diversity",
        "founder_equivalents",
        "founder_genome_equivalents",
    ]
    assert {tuple(bird) for bird in said["birds"]} == {
        ("bird", "inbreeding", "mean_kinship", "generations_known")
    }
    assert main(["lineage", *store]) == 0
    assert "unrelated founder" in capsys.readouterr().out


def test_command_lineage__in_detail(capsys, store):
    code, said = asked(capsys, "lineage", "--details", *store)
    assert code == 0
    assert "Lacy" in said["formulas"]["founder_genome_equivalents"]
    assert [it["species"] for it in said["species"]] == [GREY, "Galah"]
    assert said["half_known_count_as"] == "founder"


def test_command_lineage__says_what_half_known_parents_count_as(capsys, tmp_path):
    half = a_grey("b0030", "Ivy", "hen", sire="b0010")
    with open_store(tmp_path / "half", create=True) as store:
        store.commit([Put(it) for it in (*FAMILY, half)], author="t", what="set up")
    words = ["lineage", "--store", str(tmp_path / "half")]
    assert main(words) == 0
    assert "b0030. The unknown one counts as a founder" in capsys.readouterr().out
    assert main([*words, "--half-known", "left out"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "b0030. The unknown one is left out of the founders" in told
    assert main([*words, "--half-known", "refuse"]) == 1
    assert "b0030" in capsys.readouterr().err
    _, as_founder = asked(capsys, *words)
    _, left_out = asked(capsys, *words, "--half-known", "left out")
    assert as_founder["gene_diversity"] == left_out["gene_diversity"]
    assert as_founder["founder_equivalents"] != left_out["founder_equivalents"]


def test_command_lineage__of_one_bird(capsys, store):
    code, said = asked(capsys, "lineage", "Ash", *store)
    assert code == 0
    (bird,) = said["birds"]
    assert (bird["bird"], bird["generations_known"]) == ("b0010", 1)
    assert main(["lineage", "Ash", *store]) == 0
    assert "Rook (b0001)" in capsys.readouterr().out


def test_command_kinship(capsys, store):
    code, said = asked(capsys, "kinship", "Ash", "Bryony", *store)
    assert code == 0
    assert said["kinship"] == 0.25
    assert said["relationship"] == "full brother"
    assert main(["kinship", "Ash", "Gull", *store]) == 0
    assert "no kin that is known" in capsys.readouterr().out


def test_command_mates(capsys, store):
    code, said = asked(capsys, "mates", "Ash", *store)
    assert code == 0
    assert said["mates"][0]["bird"] == "b0013"
    code, said = asked(capsys, "mates", "Gull", *store)
    assert (code, said["mates"]) == (1, [])
    assert main(["mates", "Ash", *store]) == 0
    assert "OVER THE LIMIT" in capsys.readouterr().out


def test_command_season(capsys, store):
    code, said = asked(capsys, "season", *store)
    assert code == 0
    assert said["species"][0]["pairs"]
    code, said = asked(capsys, "season", "--species", "Galah", *store)
    assert (code, said["species"]) == (1, [])
    assert main(["season", *store]) == 0
    assert "proved" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words",
    [
        ["mates", "Ash", "--limit", "2"],
        ["mates", "Ash", "--youngest", "-1"],
        ["season", "--pairs", "0"],
        ["season", "--young", "0"],
        ["kinship", "Ash"],
    ],
)
def test_command__with_wrong_words(capsys, store, words):
    code, said = asked(capsys, *words, *store)
    assert code == 2
    assert said["error"]
    assert said["hint"]


def test_command__of_a_bird_that_is_not_there(capsys, store):
    code, said = asked(capsys, "kinship", "Ash", "Nobody", *store)
    assert code == 1
    assert "Nobody" in said["error"]


def test_command_lineage__prints_the_tree(capsys, store, tmp_path):
    path = tmp_path / "tree.pdf"
    words = ["lineage", "Ash", "--pdf", str(path), "--generations", "5", *store]
    assert main(words) == 0
    assert "family tree is written" in capsys.readouterr().out
    assert path.read_bytes().startswith(b"%PDF")
    code, _ = asked(capsys, "lineage", "--pdf", str(path), *store)
    assert code == 2
