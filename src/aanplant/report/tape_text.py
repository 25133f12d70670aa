"""The tape-and-pegs sheet as plain text that any screen or printer shows."""

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

WIDTH = 96


def as_text(data: Mapping[str, Any]) -> str:
    """Write the sheet's data, see ``tape_tables.sheet_data``, in aligned columns."""
    words = data["words"]
    lines = [data["title"], words["title"], f"{words['standing']}, {data['date']}", ""]
    if data["stop"]:
        lines += [*wrap(data["stop"], WIDTH), ""]
    width = max(len(name) for name, _ in data["facts"])
    lines += [f"{name:<{width}}  {value}" for name, value in data["facts"]]
    lines += _part(words["lines"], table(data["peg_heads"], data["pegs"]))
    steps = [
        line
        for number, step in enumerate(data["steps"], start=1)
        for line in wrap(step, WIDTH, initial_indent=f"{number}. ", subsequent_indent="   ")
    ]
    lines += _part(words["how"], steps)
    lines += _part(words["checks"], table(data["bay_heads"], data["bays"]))
    lines += ["", *table(data["triangle_heads"], data["triangles"])]
    lines += wrap(data["triangle_note"], WIDTH)
    for caution in data["cautions"]:
        lines += ["", *wrap(caution, WIDTH)]
    lines += _part(words["rows"], wrap(data["rows_note"], WIDTH))
    lines += ["", *table(data["row_heads"], data["rows"], left=(0, 6, 7))]
    lines += _part(words["offsets"], wrap(data["offsets_note"], WIDTH))
    lines += ["", *table(data["offset_heads"], data["offsets"])]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], left: Sequence[int] = (0,)
) -> list[str]:
    """Lines of a table; columns in ``left`` begin at the left, the others end at the right."""
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    return [
        "  ".join(
            f"{cell:<{width}}" if index in left else f"{cell:>{width}}"
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        for row in (heads, *rows)
    ]


def _part(heading: str, lines: Sequence[str]) -> list[str]:
    return ["", heading, "-" * len(heading), *lines]
