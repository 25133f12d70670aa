"""Read what things cost from the estate's own list, ``prices.csv``."""

from decimal import Decimal
from pathlib import Path

from aanplant.errors import InputError
from aanplant.files.delimited import Line, plain_number, read_known_table
from aanplant.inputs import PriceLine

COLUMNS = ("item", "unit", "price", "pack size", "note", "supplier", "lead time")
REQUIRED = ("item", "unit", "price")
LARGEST_PRICE = Decimal(10) ** 12
LONGEST_LEAD_WEEKS = 260


def read_prices(path: Path) -> tuple[PriceLine, ...]:
    """Read a list of prices.

    Parameters
    ----------
    path : Path
        Table with the columns item, unit, price, pack size, note, supplier and lead time
        (weeks); those after the price may be missing. Lines that start with ``#`` are
        comments. An empty price is a gap to be filled later.

    Returns
    -------
    tuple of PriceLine
        In the file's order, in the estate's currency.

    Raises
    ------
    InputError
        With the line number: if a price or pack size is no number or negative, an item
        stands there twice or without a name, or a column is not known.
    """
    table = read_known_table(path, COLUMNS, REQUIRED)
    seen: dict[str, str] = {}
    prices = []
    for line in table.lines:
        price = _price_line(line, table.separator)
        key = price.item.casefold()
        if key in seen:
            raise InputError(
                line.where, f"{price.item!r} again, as in {seen[key]}", "every item once"
            )
        seen[key] = line.where
        prices.append(price)
    return tuple(prices)


def _price_line(line: Line, separator: str) -> PriceLine:
    item, unit = line.cells["item"], line.cells["unit"]
    if not item:
        raise InputError(line.where, "no item", "the item's code")
    if not unit:
        raise InputError(line.where, f"no unit for {item!r}", "what the price is for: m, vine, kg")
    pack_size = _amount(line, "pack size", separator)
    if pack_size == 0:
        raise InputError(line.where, "a pack size of 0", "units in a pack, or nothing")
    price = _amount(line, "price", separator)
    note, supplier = line.cells.get("note", ""), line.cells.get("supplier", "")
    return PriceLine(item, unit, price, pack_size, note, supplier, _weeks(line, separator))


def _amount(line: Line, column: str, separator: str) -> Decimal | None:
    text = line.cells.get(column, "")
    if not text:
        return None
    where = f"{line.where}: {column}"
    amount = Decimal(plain_number(text, where, separator=separator))
    if not 0 <= amount <= LARGEST_PRICE:
        raise InputError(where, repr(text), f"a number from 0 to {LARGEST_PRICE:.0e}")
    return amount


def _weeks(line: Line, separator: str) -> float | None:
    text = line.cells.get("lead time", "")
    if not text:
        return None
    where = f"{line.where}: lead time"
    weeks = float(plain_number(text, where, separator=separator))
    if not 0 <= weeks <= LONGEST_LEAD_WEEKS:
        raise InputError(where, repr(text), f"weeks, from 0 to {LONGEST_LEAD_WEEKS}")
    return weeks
