"""Change single keys of a brief and leave all else as its owner wrote it, comments too."""

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, Item, Table

from aanplant.brief import parse_toml
from aanplant.brief.model import field_of
from aanplant.errors import InputError
from aanplant.server.editing_rows import replace_items, replace_rows

BRIEF_FILE = "brief.toml"


def changed(text: str, changes: Mapping[str, Any]) -> str:
    """Return a brief with some keys set anew.

    Parameters
    ----------
    text : str
        The brief.
    changes : mapping of str to value
        New value by dotted key, such as ``rows.bearing``; None takes the key out, so that
        its default stands again.

    Raises
    ------
    InputError
        If the text is no TOML, a key is not known, or it stands below what is no section.
    """
    parse_toml(text, BRIEF_FILE)
    document = tomlkit.parse(text)
    for key, value in changes.items():
        _known(key)
        *path, last = key.split(".")
        table = _table(document, path, key, make=value is not None)
        if table is None:
            continue
        if value is None:
            table.pop(last, None)
        else:
            _set(table, last, value, key)
    return tomlkit.dumps(document)


def applied(text: str, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a brief says with some keys set anew; quicker than ``changed``, but no text.

    Raises
    ------
    InputError
        As ``changed``.
    """
    data = parse_toml(text, BRIEF_FILE)
    for key, value in changes.items():
        _known(key)
        table: Any = data
        *path, last = key.split(".")
        for name in path:
            table = table.setdefault(name, {})
            if not isinstance(table, dict):
                raise InputError(
                    f"{BRIEF_FILE}: {key}", f"{name!r}, which is no section", "a section"
                )
        if value is None:
            table.pop(last, None)
        else:
            table[last] = value
    return data


def _known(key: str) -> None:
    try:
        field_of(key)
    except (KeyError, TypeError, AttributeError):
        raise InputError(f"{BRIEF_FILE}: {key}", "an unknown key", "a key of the brief") from None


def _table(document: Any, path: list[str], key: str, *, make: bool) -> Any:  # noqa: ANN401
    table = document
    for name in path:
        if name not in table:
            if not make:
                return None
            table[name] = tomlkit.table()
        table = table[name]
        if not isinstance(table, dict):
            raise InputError(f"{BRIEF_FILE}: {key}", f"{name!r}, which is no section", "a section")
    return table


def _set(table: Any, name: str, value: Any, key: str) -> None:  # noqa: ANN401
    """Set a value; what is said beside the old one stays, as far as it still has a place."""
    try:
        new = tomlkit.item(value)
    except (TOMLKitError, TypeError, ValueError):
        raise InputError(
            f"{BRIEF_FILE}: {key}", repr(value), "a value that TOML can hold"
        ) from None
    old = table.get(name)
    if isinstance(old, AoT) and isinstance(new, AoT):
        replace_rows(old, value)
    elif isinstance(old, Array) and isinstance(value, list):
        replace_items(old, value)
    else:
        _keep_comment(old, new)
        table[name] = new


def _keep_comment(old: object, new: Item) -> None:
    if isinstance(old, Item) and not isinstance(new, Table | AoT):
        new.trivia.comment_ws = old.trivia.comment_ws
        new.trivia.comment = old.trivia.comment
        new.trivia.trail = old.trivia.trail
