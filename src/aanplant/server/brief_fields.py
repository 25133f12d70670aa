"""What may stand in each blank of the brief: kind, unit, range, words, default and its source."""

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal, TypeVar, get_args, get_origin

from annotated_types import Ge, Le
from pydantic import BaseModel, StringConstraints
from pydantic.fields import FieldInfo
from pydantic_core import to_jsonable_python

from aanplant import tables
from aanplant.brief import Brief, meanings
from aanplant.brief.fields import Default, NamesFile, NumberRange, Quantity
from aanplant.catalogues import FIRST_LANGUAGE, catalogue, term
from aanplant.server.shapes import FieldShape, FieldsShape, SectionShape
from aanplant.server.telling import told_source
from aanplant.units import UnitSystem, shown_in

NAMED_IN: Mapping[str, tuple[str, str]] = {
    "vines.cultivar": ("cultivars.csv", "cultivar"),
    "vines.rootstock": ("rootstocks.csv", "rootstock"),
    "trellis.system": ("trellis_systems.csv", "system"),
    "posts.group": ("post_strengths.csv", "group"),
    "posts.size": ("post_sizes.csv", "size"),
    "posts.exposed_size": ("post_sizes.csv", "size"),
    "preparation.cover_crop": ("cover_crops.csv", "crop"),
}
"""Keys that take a name out of a table, and where it stands there."""
CHOSEN_KEYS = frozenset({"vines.rootstock"})
"""Names that may be left to the program by the word ``choose``."""
T = TypeVar("T")


@cache
def told_fields(system: UnitSystem, language: str = FIRST_LANGUAGE) -> FieldsShape:
    """Describe every blank of a brief to a reader of some units and a language."""
    return FieldsShape(
        sections=[
            SectionShape(
                name=name,
                help=_in_words(name, _help(info), language),
                fields=[
                    _in_language(f"{name}.", field, language)
                    for field in _fields(f"{name}.", _model(info), system)
                ],
            )
            for name, info in Brief.model_fields.items()
        ]
    )


def _in_language(prefix: str, field: FieldShape, language: str) -> FieldShape:
    """Give a blank, and those of its rows, its words in the reader's language."""
    key = field.key if field.key.startswith(prefix) else f"{prefix}{field.key}"
    plain = key.rpartition(".")[2].replace("_", " ")
    return field.model_copy(
        update={
            "name": str(catalogue(language)["name"].get(plain, plain)),
            "help": _in_words(key, field.help, language),
            "option_words": [term(option, language) for option in field.options],
            "of": [_in_language(f"{key}.", one, language) for one in field.of],
        }
    )


def _in_words(key: str, english: str, language: str) -> str:
    """Tell what a key means; English stands in the code, below the key."""
    return str(catalogue(language)["help"].get(key, english))


def _model(info: FieldInfo) -> type[BaseModel]:
    model = info.annotation
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        raise TypeError(f"{model} is no section of a brief")
    return model


def _help(info: FieldInfo) -> str:
    return " ".join((_model(info).__doc__ or "").split())


def _fields(prefix: str, model: type[BaseModel], system: UnitSystem) -> Iterator[FieldShape]:
    """Yield the blanks of a section in order, those of its parts by dotted key."""
    for name, info in model.model_fields.items():
        below = info.annotation
        if isinstance(below, type) and issubclass(below, BaseModel):
            yield from _fields(f"{prefix}{name}.", below, system)
        else:
            yield _field(f"{prefix}{name}", info, meanings(model).get(name, ""), system)


def _field(key: str, info: FieldInfo, meaning: str, system: UnitSystem) -> FieldShape:
    told = _described(info.annotation, info.metadata, system)
    source = _first(info.metadata, Default)
    told["options"] = told.get("options", []) + (["choose"] if key in CHOSEN_KEYS else [])
    return FieldShape(
        key=key,
        help=meaning,
        default=None if info.is_required() else to_jsonable_python(info.default),
        default_source=told_source(source.source) if source else None,
        is_required=info.is_required(),
        suggestions=_names(*NAMED_IN[key]) if key in NAMED_IN else [],
        **told,
    )


def _described(kind: object, metadata: Iterable[object], system: UnitSystem) -> dict[str, Any]:
    """Tell kind, unit, range and words of a type with what is said about it."""
    marks = [part for mark in metadata for part in _flat(mark)]
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _described(parts[0], [*parts[1:], *marks], system)
    if origin is Literal:
        return {"kind": "choice", "options": [str(word) for word in parts]}
    if origin is tuple:
        return _list(parts, system)
    if parts:
        return _one_of(parts, marks, system)
    return _plain(kind, marks, system)


def _one_of(parts: tuple[object, ...], marks: list[object], system: UnitSystem) -> dict[str, Any]:
    """Tell a value beside which words, or nothing, may stand."""
    words = [str(word) for part in parts if get_origin(part) is Literal for word in get_args(part)]
    values = [part for part in parts if get_origin(part) is not Literal and part is not type(None)]
    told = _described(values[0], marks, system) if values else {"kind": "choice"}
    return {**told, "options": words, "may_be_empty": type(None) in parts}


def _list(parts: tuple[object, ...], system: UnitSystem) -> dict[str, Any]:
    """Tell a list: of one value, of values that stand together, or of lines of a table."""
    item = parts[0]
    if isinstance(item, type) and issubclass(item, BaseModel):
        return {"kind": "table", "of": list(_fields("", item, system))}
    items = get_args(item) if get_origin(item) is tuple else (item,)
    return {
        "kind": "list",
        "of": [FieldShape(key="", help="", **_described(one, (), system)) for one in items],
    }


def _plain(kind: object, marks: list[object], system: UnitSystem) -> dict[str, Any]:
    measured = _first(marks, Quantity) or _first(marks, NumberRange)
    if measured is not None:
        factor, unit = shown_in(1.0, measured.unit, system)
        return {
            "kind": "quantity",
            "unit": measured.unit,
            "shown_unit": unit,
            "shown_factor": factor,
            "low": measured.low,
            "high": measured.high,
        }
    if kind is bool:
        return {"kind": "flag"}
    if kind is int or kind is float:
        least, most = _first(marks, Ge), _first(marks, Le)
        return {
            "kind": "whole number" if kind is int else "number",
            "low": None if least is None else least.ge,
            "high": None if most is None else most.le,
        }
    form = _first(marks, StringConstraints)
    return {
        "kind": "file" if _first(marks, NamesFile) else "text",
        "pattern": str(form.pattern) if form and form.pattern else "",
    }


def _flat(mark: object) -> tuple[object, ...]:
    return tuple(mark.metadata) if isinstance(mark, FieldInfo) else (mark,)


def _first(marks: Iterable[object], kind: type[T]) -> T | None:
    return next((mark for mark in marks if isinstance(mark, kind)), None)


def _names(table: str, column: str) -> list[str]:
    return list(dict.fromkeys(row[column] for row in tables.rows(table)))
