"""Read what became of earlier delivery batches: batch, vines, dead."""

from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.delimited import Line, plain_number, read_known_table
from aanplant.inputs import PastLoss

COLUMNS = ("batch", "vines", "dead", "note")
REQUIRED = COLUMNS[:3]
MOST_VINES = 10_000_000


def read_past_losses(path: Path) -> tuple[PastLoss, ...]:
    """Read past batches.

    Parameters
    ----------
    path : Path
        Table with the columns batch, vines, dead and, where wanted, note. Lines that start
        with ``#`` are comments.

    Returns
    -------
    tuple of PastLoss
        In the file's order.

    Raises
    ------
    InputError
        With the line number: if a count is no whole number, more vines died than were
        planted, a batch has no name or stands there twice, or a column is not known.
    """
    table = read_known_table(path, COLUMNS, REQUIRED)
    seen: dict[str, str] = {}
    batches = []
    for line in table.lines:
        batch = _batch(line, table.separator)
        key = batch.batch.casefold()
        if key in seen:
            raise InputError(
                line.where, f"{batch.batch!r} again, as in {seen[key]}", "every batch once"
            )
        seen[key] = line.where
        batches.append(batch)
    return tuple(batches)


def _batch(line: Line, separator: str) -> PastLoss:
    name = line.cells["batch"]
    if not name:
        raise InputError(line.where, "no batch", "the batch's name")
    vines, dead = _count(line, "vines", separator), _count(line, "dead", separator)
    if vines == 0:
        raise InputError(line.where, f"no vines in {name!r}", "at least one vine")
    if dead > vines:
        raise InputError(
            line.where, f"{dead} dead of {vines} vines", "no more dead than were planted"
        )
    return PastLoss(name, vines, dead)


def _count(line: Line, column: str, separator: str) -> int:
    where = f"{line.where}: {column}"
    number = float(plain_number(line.cells[column], where, separator=separator))
    if number != int(number) or not 0 <= number <= MOST_VINES:
        raise InputError(
            where, repr(line.cells[column]), f"a whole number from 0 to {MOST_VINES:_}"
        )
    return int(number)
