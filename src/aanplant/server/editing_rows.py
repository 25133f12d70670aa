"""Other rows for a list or a table of a brief, with the comments beside those that stay."""

from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, Item, Table


def replace_rows(held: AoT, rows: Sequence[Mapping[str, Any]]) -> None:
    """Let an array of tables hold other rows.

    A row that is there word for word keeps its table with its comments, wherever it moves; of
    the others each takes the table that it shares most values with, so that a changed row
    keeps its own.
    """
    old = list(held)
    plain = [table.unwrap() for table in old]
    taken: list[Table | None] = [None] * len(rows)
    for at, row in enumerate(rows):
        same = next((n for n, one in enumerate(plain) if one == row and old[n] is not None), None)
        if same is not None:
            taken[at], old[same] = old[same], None
    left = [table for table in old if table is not None]
    for at, row in enumerate(rows):
        if taken[at] is None:
            likeness = [_alike(table, row) for table in left]
            if any(likeness):
                taken[at] = left.pop(likeness.index(max(likeness)))
        taken[at] = _filled(taken[at] or tomlkit.table(), row)
    while len(held):
        del held[0]
    for table in taken:
        held.append(table)


def _alike(table: Table, row: Mapping[str, Any]) -> int:
    """How many values of a row stand in a table."""
    return sum(table.get(name) == value for name, value in row.items())


def _filled(table: Table, row: Mapping[str, Any]) -> Table:
    for name in [name for name in table if name not in row]:
        table.remove(name)
    for name, value in row.items():
        old = table.get(name)
        if old is not None and old.unwrap() == value:
            continue
        new = tomlkit.item(value)
        if isinstance(old, AoT) and isinstance(new, AoT):
            replace_rows(old, value)
            continue
        if isinstance(old, Item) and not isinstance(new, AoT):
            new.trivia.comment_ws = old.trivia.comment_ws
            new.trivia.comment = old.trivia.comment
        table[name] = new
    return table


def replace_items(held: Array, items: Sequence[Any]) -> None:
    """Let an array hold other items; comments stay with the items before them."""
    for at, item in enumerate(items):
        if at < len(held):
            if held[at] != item:
                held[at] = item
        else:
            held.append(item)
    while len(held) > len(items):
        del held[len(held) - 1]
