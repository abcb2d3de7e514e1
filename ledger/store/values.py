"""How the values of a field are written and read: text, dates, choices, lists."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ledger.domain.partial_date import PartialDate

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

Document = dict[str, Any]


@dataclass(frozen=True)
class Form:
    """How the values of one field are written and read."""

    write: Callable[[Any], Any]
    read: Callable[[Any], Any]
    name: str | type[StrEnum]
    """What the published schema calls it; an enumeration stands for itself."""


def _must_be(wanted: type | tuple[type, ...]) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if not isinstance(value, wanted) or isinstance(value, bool) is not (
            wanted is bool
        ):
            raise ValueError(f"“{value}”")
        return value

    return read


def _read_texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        raise ValueError(f"“{value}”")
    return tuple(value)


def _read_date(value: Any) -> PartialDate:
    if not isinstance(value, str):
        raise ValueError(f"“{value}”")
    return PartialDate.parse(value)


def one_of(words: type[StrEnum]) -> Form:
    """One word of an enumeration."""
    known = {str(word): word for word in words}

    def read(value: Any) -> StrEnum:
        if not isinstance(value, str) or value not in known:
            raise ValueError(f"“{value}”")
        return known[value]

    return Form(str, read, words)


def _same(value: Any) -> Any:
    return value


TEXT = Form(_same, _must_be(str), "text")
TEXTS = Form(list, _read_texts, "texts")
NUMBER = Form(_same, _must_be((int, float)), "number")
COUNT = Form(_same, _must_be(int), "count")
YES = Form(_same, _must_be(bool), "yes")
DATE = Form(str, _read_date, "date")


def _read_chances(value: Any) -> tuple[tuple[str, float], ...]:
    if not isinstance(value, dict):
        raise ValueError(f"“{value}”")
    read = NUMBER.read
    return tuple((bird, float(read(chance))) for bird, chance in value.items())


CHANCES = Form(dict, _read_chances, "chances")


def list_of(parts: type, forms: Mapping[str, Form], name: str) -> Form:
    """How a tuple of parts, each with fields of its own, is written and read."""

    def write_all(values: tuple[Any, ...]) -> list[Document]:
        return [written(part, forms) for part in values]

    def read_all(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            raise ValueError(f"“{value}”")
        return tuple(parts(**read(document, forms)) for document in value)

    return Form(write_all, read_all, name)


def written(thing: Any, forms: Mapping[str, Form]) -> Document:
    """The document of a thing; fields that are empty are left out."""
    document = {
        name: form.write(value)
        for name, form in forms.items()
        if not _is_empty(value := getattr(thing, name))
    }
    return {**thing.extra, **document}


def _is_empty(value: Any) -> bool:
    return value is None or value is False or value == "" or value == ()


def read(document: Mapping[str, Any], forms: Mapping[str, Form]) -> dict[str, Any]:
    """Values by field; what no form knows lies in `extra`.

    Raises:
        ValueError: a field holds what it cannot hold; the message is the end of
            a sentence.
    """
    fields: dict[str, Any] = {}
    extra: dict[str, Any] = {}
    for name, value in document.items():
        form = forms.get(name)
        if form is None:
            extra[name] = value
            continue
        try:
            fields[name] = form.read(value)
        except ValueError as error:
            raise ValueError(f"“{name}” cannot be {error}") from error
    if extra:
        fields["extra"] = extra
    return fields
