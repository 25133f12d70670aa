"""Read what the estate knows of its rootstocks, ``rootstocks.csv``."""

from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.delimited import Line, plain_number, read_known_table
from aanplant.files.reading import one_of
from aanplant.rootstock_facts import ATTRIBUTES, OWN, RANGES, UNKNOWN, RootstockFact

COLUMNS = ("rootstock", "attribute", "low", "high", "text", "source")
REQUIRED = ("rootstock", "attribute", "source")
_ANSWERS = ("yes", "no", UNKNOWN)


def read_rootstocks(path: Path) -> tuple[RootstockFact, ...]:
    """Read the estate's own facts on rootstocks.

    Parameters
    ----------
    path : Path
        Table with the columns rootstock, attribute, low, high, text, source; one fact a
        line, several lines on one attribute make a range. An attribute of numbers without
        a number and with the text ``unknown`` takes back what the program took as known.

    Returns
    -------
    tuple of RootstockFact
        In the file's order.

    Raises
    ------
    InputError
        With the line number: if a column or an attribute isn't known, a number is missing,
        none, or out of range, or a line has no source.
    """
    table = read_known_table(path, COLUMNS, REQUIRED)
    return tuple(_fact(line, table.separator) for line in table.lines)


def _fact(line: Line, separator: str) -> RootstockFact:
    name, source = line.cells["rootstock"], line.cells["source"]
    attribute = line.cells["attribute"].casefold().replace(" ", "_").replace("-", "_")
    text = line.cells.get("text", "")
    if not name:
        raise InputError(line.where, "no rootstock", "the rootstock's name")
    if attribute not in ATTRIBUTES:
        shown = line.cells["attribute"]
        words = [known.replace("_", " ") for known in ATTRIBUTES]
        raise InputError(
            f"{line.where}: attribute", repr(shown), one_of(attribute.replace("_", " "), words)
        )
    if not source:
        raise InputError(line.where, "no source", "who says so, such as own record 2019-2025")
    if attribute not in RANGES:
        return RootstockFact(name, attribute, None, None, _words(line, attribute), source, OWN)
    low, high = (_end(line, end, attribute, separator) for end in ("low", "high"))
    if low is None and high is None and text.casefold() == UNKNOWN:
        return RootstockFact(name, attribute, None, None, UNKNOWN, source, OWN)
    if low is None:
        shown = attribute.replace("_", " ")
        raise InputError(
            line.where,
            f"no number for {shown}",
            f'a number in the column low, or "{UNKNOWN}" in the column text',
        )
    if high is not None and high < low:
        raise InputError(line.where, f"low {low:g} above high {high:g}", "low before high")
    return RootstockFact(name, attribute, low, low if high is None else high, text, source, OWN)


def _words(line: Line, attribute: str) -> str:
    text, shown = line.cells.get("text", ""), attribute.replace("_", " ")
    if line.cells.get("low") or line.cells.get("high"):
        raise InputError(line.where, f"a number for {shown}", "words in the column text")
    if not text:
        raise InputError(line.where, f"no text on {shown}", "words in the column text")
    if attribute == "vinifera_parent" and text not in _ANSWERS:
        raise InputError(f"{line.where}: text", repr(text), one_of(text, _ANSWERS))
    return text


def _end(line: Line, column: str, attribute: str, separator: str) -> float | None:
    text = line.cells.get(column, "")
    if not text:
        return None
    where = f"{line.where}: {column}"
    value = float(plain_number(text, where, separator=separator))
    least, most = RANGES[attribute]
    if not least <= value <= most:
        shown = attribute.replace("_", " ")
        raise InputError(where, text, f"{shown} between {least:g} and {most:g}")
    return value
