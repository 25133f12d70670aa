"""Read what was caught at drippers of an installed system: set, row, vine, volume, seconds."""

from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.delimited import Line, plain_number, read_known_table
from aanplant.inputs import CaughtVolume

COLUMNS = ("set", "row", "vine", "volume", "seconds", "note")
REQUIRED = COLUMNS[:5]
MOST_ML, MOST_SECONDS, MOST_NUMBER = 100_000.0, 86_400.0, 1_000_000


def read_delivery_volumes(path: Path) -> tuple[CaughtVolume, ...]:
    """Read the volumes of a delivery test.

    Parameters
    ----------
    path : Path
        Table with the columns set, row, vine (the vine nearest to the dripper), volume in mL,
        seconds and, where wanted, note. Lines that start with ``#`` are comments.

    Raises
    ------
    InputError
        With the line number: if a number makes no sense, a place stands there twice, or a
        column is not known.
    """
    table = read_known_table(path, COLUMNS, REQUIRED)
    seen: dict[tuple[int, int], str] = {}
    found = []
    for line in table.lines:
        one = _volume(line, table.separator)
        place = one.row, one.vine
        if place in seen:
            raise InputError(
                line.where,
                f"row {one.row}, vine {one.vine} again, as in {seen[place]}",
                "every place once",
            )
        seen[place] = line.where
        found.append(one)
    return tuple(found)


def _volume(line: Line, separator: str) -> CaughtVolume:
    set_number, row, vine = (_whole(line, name, separator) for name in ("set", "row", "vine"))
    volume = _number(line, "volume", separator)
    seconds = _number(line, "seconds", separator)
    if not 0.0 <= volume <= MOST_ML:
        raise InputError(f"{line.where}: volume", f"{volume:g} mL", f"0 to {MOST_ML:g} mL")
    if not 0.0 < seconds <= MOST_SECONDS:
        raise InputError(f"{line.where}: seconds", f"{seconds:g} s", "above 0 s, at most a day")
    return CaughtVolume(line.where, set_number, row, vine, volume, seconds)


def _number(line: Line, column: str, separator: str) -> float:
    where = f"{line.where}: {column}"
    return float(plain_number(line.cells[column], where, separator=separator))


def _whole(line: Line, column: str, separator: str) -> int:
    number = _number(line, column, separator)
    if number != int(number) or not 1 <= number <= MOST_NUMBER:
        raise InputError(
            f"{line.where}: {column}", repr(line.cells[column]), "a whole number of 1 or more"
        )
    return int(number)
