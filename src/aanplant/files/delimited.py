"""Read tables in text: commas, semicolons or tabs, decimal points or decimal commas.

A number is read right or refused; it is never guessed at.
"""

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.reading import decode_text, one_of, read_bytes_checked

_SEPARATORS = ";\t,"
_PLAIN = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d{1,2})?")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:[ \u00a0\u202f]\d{3})+(?:[.,]\d+)?")
_DECIMAL_POINT = re.compile(r"[+-]?\d+\.\d+")
_THREE_BEHIND = re.compile(r"[+-]?\d{1,3}[.,]\d{3}")
_LONGEST_SHOWN = 40


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a table.

    Parameters
    ----------
    where : str
        File and line number, for messages.
    cells : mapping
        Trimmed text by column name.
    """

    where: str
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class TextTable:
    """A table as text.

    Parameters
    ----------
    columns : tuple of str
        Names from the header, small letters, words one space apart.
    lines : tuple of Line
        Without comments and empty lines.
    separator : str
        What stands between cells.
    """

    columns: tuple[str, ...]
    lines: tuple[Line, ...]
    separator: str


def read_table(path: Path) -> TextTable:
    """Read a table with a header line; lines that start with ``#`` are comments.

    Raises
    ------
    InputError
        If the file can't be read, has no header, names a column twice, or a line has
        more or fewer cells than the header, or a number could be read in two ways.
    """
    return table_in(decode_text(read_bytes_checked(path), path.name), path.name)


def read_known_table(path: Path, columns: Sequence[str], required: Sequence[str]) -> TextTable:
    """Read a table that may hold some columns and must hold others.

    Raises
    ------
    InputError
        As ``read_table``, and if a column is not known or a required one is missing.
    """
    table = read_table(path)
    for column in table.columns:
        if column not in columns:
            raise InputError(path.name, f"the column {column!r}", one_of(column, columns))
    missing = [column for column in required if column not in table.columns]
    if missing:
        raise InputError(path.name, f"no column {missing[0]!r}", f"columns {', '.join(columns)}")
    return table


def table_in(text: str, where: str) -> TextTable:
    """Read a table from text, see ``read_table``.

    Parameters
    ----------
    text : str
        The whole file.
    where : str
        Its name, for messages.

    Raises
    ------
    InputError
        As ``read_table``.
    """
    kept = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not kept:
        raise InputError(where, "comments only", "a header line and lines below it")
    header = kept[0][1]
    separator = max(_SEPARATORS, key=header.count)
    rows = [(number, _cells(line, separator, where, number)) for number, line in kept]
    columns = tuple(re.sub(r"[\s_]+", " ", cell).lower() for cell in rows[0][1])
    for column in columns:
        if columns.count(column) > 1:
            raise InputError(
                f"{where}: line {rows[0][0]}",
                f"the column {column!r} twice",
                "every column once",
            )
    if separator != ",":
        _check_one_decimal_mark(rows[1:], where)
    return TextTable(
        columns,
        tuple(_line(row, columns, f"{where}: line {number}") for number, row in rows[1:]),
        separator,
    )


def _check_one_decimal_mark(rows: list[tuple[int, list[str]]], where: str) -> None:
    """Refuse 1.450 among decimal commas, or 1,450 among decimal points."""
    kinds = (_DECIMAL_COMMA, _DECIMAL_POINT)
    found = [
        [(number, cell) for number, row in rows for cell in row if kind.fullmatch(cell)]
        for kind in kinds
    ]
    if not all(found):
        return
    fewest = min(map(len, found))
    rare = [entry for entries in found if len(entries) == fewest for entry in entries]
    for number, cell in rare:
        if _THREE_BEHIND.fullmatch(cell):
            mark, other = ("commas", "point") if "." in cell else ("points", "comma")
            raise InputError(
                f"{where}: line {number}",
                f"{cell!r} in a table with decimal {mark}: the {other} may set thousands apart",
                "one decimal mark in a file, and no mark between thousands",
            )


def _cells(line: str, separator: str, where: str, number: int) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, strict=True))]
    except csv.Error as error:
        raise InputError(
            f"{where}: line {number}", f"quotes that don't match ({error})", "matching quotes"
        ) from None


def _line(row: list[str], columns: tuple[str, ...], where: str) -> Line:
    while len(row) > len(columns) and not row[-1]:
        row = row[:-1]
    if len(row) != len(columns):
        raise InputError(
            where,
            f"{len(row)} cells under {len(columns)} columns",
            "as many cells as columns; write decimal commas with semicolons between cells",
        )
    return Line(where, dict(zip(columns, row, strict=True)))


def plain_number(text: str, where: str, *, separator: str) -> str:
    """Write the number in a cell the way Python reads it.

    Parameters
    ----------
    text : str
        Such as ``3756138.66``, ``3756138,66`` or ``3 756 138,66``. A decimal comma is
        understood unless commas stand between the cells.
    where : str
        File and line, for messages.
    separator : str
        What stands between the cells of the table.

    Raises
    ------
    InputError
        If it is no number, or could be read in two ways.
    """
    number = text.strip()
    if _GROUPED.fullmatch(number):
        number = re.sub(r"[ \u00a0\u202f]", "", number)
    if _DECIMAL_COMMA.fullmatch(number) and separator != ",":
        number = number.replace(",", ".")
    if not _PLAIN.fullmatch(number):
        shown = text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}…"
        raise InputError(where, repr(shown), "a plain number, such as 3756138.66")
    return number
