"""Read what the estate knows of its cultivars, ``cultivars.csv``."""

from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.delimited import Line, plain_number, read_known_table
from aanplant.files.reading import one_of
from aanplant.inputs import CultivarFact

COLUMNS = ("cultivar", "attribute", "low", "high", "text", "source")
REQUIRED = ("cultivar", "attribute", "source")
RANGES = {
    "vigour": (1.0, 5.0),
    "bud break": (1.0, 5.0),
    "maturity": (1.0, 5.0),
    "winkler": (1.0, 5.0),
    "season days": (50.0, 300.0),
    "heat to flowering": (100.0, 5000.0),
}
TEXTS = ("training", "synonym", "remark")


def read_cultivars(path: Path) -> tuple[CultivarFact, ...]:
    """Read the estate's own facts on cultivars.

    Parameters
    ----------
    path : Path
        Table with the columns cultivar, attribute, low, high, text, source; one fact a
        line, several lines on one attribute make a range.

    Returns
    -------
    tuple of CultivarFact
        In the file's order.

    Raises
    ------
    InputError
        With the line number: if a column or an attribute isn't known, a number is missing,
        none, or out of range, or a line has no source.
    """
    table = read_known_table(path, COLUMNS, REQUIRED)
    return tuple(_fact(line, table.separator) for line in table.lines)


def _fact(line: Line, separator: str) -> CultivarFact:
    name, source = line.cells["cultivar"], line.cells["source"]
    attribute = line.cells["attribute"].casefold().replace("_", " ")
    if not name:
        raise InputError(line.where, "no cultivar", "the cultivar's name")
    if attribute not in (*RANGES, *TEXTS):
        raise InputError(
            f"{line.where}: attribute", repr(attribute), one_of(attribute, (*RANGES, *TEXTS))
        )
    if not source:
        raise InputError(line.where, "no source", "who says so, such as own record 2019-2025")
    text = line.cells.get("text", "")
    if attribute in TEXTS:
        if not text:
            raise InputError(line.where, f"no text on {attribute}", "words in the column text")
        return CultivarFact(name, attribute, None, None, text, source)
    low = _end(line, "low", attribute, separator)
    high = _end(line, "high", attribute, separator)
    if low is None:
        raise InputError(line.where, f"no number for {attribute}", "a number in the column low")
    if high is not None and high < low:
        raise InputError(line.where, f"low {low:g} above high {high:g}", "low before high")
    return CultivarFact(name, attribute.replace(" ", "_"), low, high, text, source)


def _end(line: Line, column: str, attribute: str, separator: str) -> float | None:
    text = line.cells.get(column, "")
    if not text:
        return None
    where = f"{line.where}: {column}"
    value = float(plain_number(text, where, separator=separator))
    least, most = RANGES[attribute]
    if not least <= value <= most:
        raise InputError(where, text, f"{attribute} between {least:g} and {most:g}")
    return value
