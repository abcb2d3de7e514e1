"""A whole ledger out to JSON and back in: equal, history and all."""

import json
import shutil
from pathlib import Path

import jsonschema
import pytest
from builders import a_bird

from ledger.domain import Kind, Put
from ledger.errors import ImportFailedError, NotFoundError, RuleError
from ledger.services import book, history
from ledger.services.whole import export_json, import_json
from ledger.store import FILE_NAME, whole

ROOT = Path(__file__).parents[3]
SCHEMA = ROOT / "ledger" / "store" / "ledger.schema.json"
FORMS = ROOT / "tests" / "ledger" / "store" / "forms"


@pytest.fixture
def ledger(tmp_path):
    """One of every kind, in a file of the first form."""
    folder = tmp_path / "ledger"
    folder.mkdir()
    shutil.copyfile(FORMS / "form-1.json", folder / FILE_NAME)
    with book.open_ledger(folder) as ledger:
        yield ledger


@pytest.fixture
def empty(tmp_path):
    with book.open_ledger(tmp_path / "empty", create=True) as ledger:
        yield ledger


def test_schema__published_is_the_one_of_the_fields():
    assert json.loads(SCHEMA.read_text(encoding="utf-8")) == whole.schema()


def test_schema__is_one_by_the_standard():
    # The metaschema of https://json-schema.org/draft/2020-12, as jsonschema has it.
    jsonschema.Draft202012Validator.check_schema(whole.schema())


@pytest.mark.parametrize("which", ["small", "demo"])
def test_export__is_valid_by_the_schema_and_comes_back_equal(
    ledger, empty, tmp_path, which
):
    if which == "demo":
        ledger.close()
        ledger = book.open_ledger(ROOT / "demo_db", read_only=True)
    path = tmp_path / "whole.json"
    assert export_json(ledger, path) == len(ledger.flock.birds)
    plain = json.loads(path.read_bytes())
    jsonschema.Draft202012Validator(whole.schema()).validate(plain)
    assert import_json(empty, path) == len(ledger.flock.birds)
    assert empty.flock == ledger.flock
    assert list(empty.flock.birds) == list(ledger.flock.birds)
    for kind in Kind:
        if kind is not Kind.SETTINGS:
            assert empty.flock.next_id(kind) == ledger.flock.next_id(kind)
    assert history.latest(empty, 999)[1:] == history.latest(ledger, 999)
    empty.close()
    with book.open_ledger(empty.folder) as again:
        assert again.flock == ledger.flock
        assert history.latest(again, 999)[1:] == history.latest(ledger, 999)


def test_import__unknown_fields_survive(ledger, empty, tmp_path):
    export_json(ledger, tmp_path / "whole.json")
    import_json(empty, tmp_path / "whole.json")
    assert empty.flock.birds["b0001"].extra == {"moult": "late"}


def test_import__dry_run_stores_nothing(ledger, empty, tmp_path):
    export_json(ledger, tmp_path / "whole.json")
    assert import_json(empty, tmp_path / "whole.json", dry_run=True) == 3
    assert not len(empty.flock)


def test_import__into_one_that_is_not_empty_is_refused(ledger, empty, tmp_path):
    export_json(ledger, tmp_path / "whole.json")
    empty.commit([Put(a_bird())], author="Nora", what="a bird")
    before = empty.flock
    with pytest.raises(RuleError, match="something in it"):
        import_json(empty, tmp_path / "whole.json")
    assert empty.flock is before


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda plain: [], "does not say"),
        (lambda plain: {**plain, "form": "herd"}, "does not say"),
        (lambda plain: {**plain, "version": 2}, "version 2"),
        (lambda plain: {**plain, "birds": {}}, "“birds” is no list"),
        (lambda plain: {**plain, "birds": [7]}, "entry 1 of “birds”"),
        (lambda plain: {**plain, "birds": [{"name": "Pip"}]}, "has no id"),
        (lambda plain: {**plain, "birds": plain["birds"] * 2}, "b0001 twice"),
        (lambda plain: {**plain, "birds": [{"id": "b1", "sex": "x"}]}, "“sex”"),
        (lambda plain: {**plain, "events": [{"id": "e1"}]}, "lacks a field"),
        (lambda plain: {**plain, "changes": plain["changes"][1:]}, "count up"),
        (lambda plain: {**plain, "last_numbers": []}, "no object"),
    ],
)
def test_import__what_is_wrong_is_told_and_nothing_stored(
    ledger, empty, tmp_path, change, why
):
    path = tmp_path / "whole.json"
    export_json(ledger, path)
    path.write_text(json.dumps(change(json.loads(path.read_bytes()))))
    with pytest.raises(ImportFailedError, match=why) as refused:
        import_json(empty, path)
    assert refused.value.hint
    assert not len(empty.flock)


def test_import__no_file_or_no_json(empty, tmp_path):
    with pytest.raises(NotFoundError, match="cannot be read"):
        import_json(empty, tmp_path / "none.json")
    (tmp_path / "half.json").write_text('{"form": ')
    with pytest.raises(ImportFailedError):
        import_json(empty, tmp_path / "half.json")
