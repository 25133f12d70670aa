"""Defaults that hang on other keys: what a system, an anchor or a soil asks for by itself."""

from collections.abc import Mapping
from typing import Any, TypeVar

from pydantic import BaseModel

from aanplant import tables
from aanplant.brief.model import Brief

Part = TypeVar("Part", bound=BaseModel)
TABLE = "linked_defaults.csv"
SHARED = ("cohesion", "friction_angle", "unit_weight")
"""Keys of the soil under [posts] and [ends] alike: given in one, they count for both."""
SANDY = ("sand, silty or clayey sand", "sandy gravel")
"""Soils of the posts in which an anchor is held by friction too."""


def linked(brief: Brief) -> Brief:
    """Return the brief with the defaults that its own choices ask for.

    What the user wrote always stands, and none of the keys filled in counts as given.
    """
    found: dict[str, dict[str, Any]] = {}
    for row in tables.rows(TABLE):
        if str(brief.setting(row["where"])) == row["is"]:
            _add(found, brief, row["key"], row["value"])
    for name in SHARED:
        for giving, taking in (("posts", "ends"), ("ends", "posts")):
            if brief.is_given(f"{giving}.{name}"):
                _add(found, brief, f"{taking}.{name}", brief.setting(f"{giving}.{name}"))
    if brief.posts.soil in SANDY:
        _add(found, brief, "ends.ground", "sand")
    sections = {name: _with(getattr(brief, name), values) for name, values in found.items()}
    return _with(brief, sections) if sections else brief


def _add(found: dict[str, dict[str, Any]], brief: Brief, key: str, value: object) -> None:
    if brief.is_given(key):
        return
    section, name = key.split(".")
    number = isinstance(brief.setting(key), (int, float))
    whole = isinstance(brief.setting(key), int)
    found.setdefault(section, {})[name] = (int if whole else float)(str(value)) if number else value


def _with(part: Part, values: Mapping[str, object]) -> Part:
    """Copy with other values; the keys given stay the same ones."""
    fields: dict[str, Any] = {name: getattr(part, name) for name in type(part).model_fields}
    return type(part).model_construct(part.model_fields_set, **(fields | dict(values)))
