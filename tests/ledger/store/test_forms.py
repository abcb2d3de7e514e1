"""Files that every version of the program ever wrote; all of them still open.

Each was written by that version and is never changed. `form-2` lies there as a
killed program leaves it: its last three acts are in the journal.
"""

import json
import shutil
from pathlib import Path

import pytest
from tinydb import TinyDB, where
from tinydb.table import Table

from ledger.domain import Kind, PartialDate, Put, Sex
from ledger.store import CHANGES, FILE_NAME, open_store
from ledger.store.ledger_file import LedgerFile
from ledger.store.schema import SCHEMA
from ledger.store.tables import LedgerDb

FORMS = Path(__file__).parent / "forms"
EVERY = list(range(1, SCHEMA + 1))


def laid_out(form, folder):
    folder.mkdir(exist_ok=True)
    shutil.copyfile(FORMS / f"form-{form}.json", folder / FILE_NAME)
    journal = FORMS / f"form-{form}.journal"
    if journal.exists():
        shutil.copyfile(journal, folder / "ledger.journal")
    return folder


@pytest.mark.parametrize("form", EVERY)
def test_form__says_so_in_its_file(form):
    tables = json.loads((FORMS / f"form-{form}.json").read_bytes())
    assert tables["meta"]["ledger"]["schema"] == form


@pytest.mark.parametrize("form", EVERY)
@pytest.mark.parametrize("read_only", [True, False])
def test_form__opens_with_all_that_was_in_it(tmp_path, form, read_only):
    with open_store(laid_out(form, tmp_path), read_only=read_only) as store:
        flock = store.flock
        assert store.notices == ()
    assert [bird.name for bird in flock.birds.values()] == [
        "Bran",
        "Mebh the First",
        "Pip “the Ó”",
    ]
    assert flock.birds["b0001"].extra == {"moult": "late"}
    assert flock.birds["b0002"].hatched == PartialDate.parse("spring 2012")
    assert flock.birds["b0003"].sex is Sex.COCK
    assert [b.id for b in flock.young_of("b0001")] == ["b0003"]
    assert flock.rings_of("b0003")[0].inscription == "IE TWK / 19 0007"
    assert flock.chips_of("b0003")[0].code == "372098100000001"
    assert flock.clutches_of("p0001")[0].eggs[0].chick == "b0003"
    assert flock.events_of("b0003")[0].weight_g == 412.5
    assert flock.last_sightings() == []
    assert list(flock.events) == ["e0001"]
    assert flock.next_id(Kind.EVENT) == "e0010"
    assert flock.placements_of("b0003")[0].person == "h0001"
    assert flock.photos_of("b0003")[0].file_name == "pip.jpg"
    assert flock.settings.flock_code == "TWK"


@pytest.mark.parametrize("form", EVERY)
def test_form__goes_on_in_todays(tmp_path, form):
    folder = laid_out(form, tmp_path)
    with open_store(folder) as store:
        bird = store.flock.birds["b0001"]
        flock = store.commit([Put(bird)], author="Nora", what="goes on")
    with open_store(folder) as store:
        assert store.flock == flock
    tables = json.loads((folder / FILE_NAME).read_bytes())
    assert tables["meta"]["ledger"]["schema"] == SCHEMA
    assert [act["what"] for act in tables[CHANGES].values()][-2:] == [
        "a slip taken back",
        "goes on",
    ]


# --- TinyDB is the way in ---


class _OwnKeys(Table):
    document_id_class = str


def test_file__tinydb_itself_opens_it(tmp_path):
    folder = laid_out(SCHEMA, tmp_path)
    with TinyDB(folder / FILE_NAME, access_mode="r") as db:
        db.table_class = _OwnKeys
        assert db.table("birds").get(where("name") == "Bran")["sex"] == "cock"


def test_file__tinydbs_own_verbs_go_through_the_journal(tmp_path):
    folder = laid_out(SCHEMA, tmp_path)
    db = LedgerDb(folder / FILE_NAME, storage=LedgerFile)
    birds = db.table("birds")
    before = (folder / FILE_NAME).read_bytes()
    birds.update({"location": "Aviary 1"}, where("sex") == "cock")
    birds.remove(doc_ids=["b0002"])
    db.table("feeds").upsert({"seed": "millet"}, where("seed") == "millet")
    assert (folder / FILE_NAME).read_bytes() == before
    assert birds.get(doc_id="b0001")["location"] == "Aviary 1"
    db.drop_table("chips")
    with open_store(folder, read_only=True) as store:
        assert list(store.flock.birds) == ["b0001", "b0003"]
        assert store.flock.birds["b0003"].location == "Aviary 1"
        assert not store.flock.chips
    db.close()
    again = LedgerDb(folder / FILE_NAME, storage=LedgerFile)
    assert [dict(feed) for feed in again.table("feeds")] == [{"seed": "millet"}]
    assert "changes" in again.tables()
