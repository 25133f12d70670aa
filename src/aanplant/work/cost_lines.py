"""What the materials cost: each order line by its price, to the cent."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from aanplant.errors import InputError
from aanplant.inputs import PriceLine
from aanplant.work.quantities import OrderLine

_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class CostLine:
    """What one order line costs.

    Parameters
    ----------
    item : str
        Code of the order line.
    quantity : Decimal
        In the unit of the price.
    unit : str
        What the price is for.
    price : Decimal
        Of one unit, in the estate's currency.
    cost : Decimal
        Rounded to the cent.
    """

    item: str
    quantity: Decimal
    unit: str
    price: Decimal
    cost: Decimal


def cost_lines(
    orders: Sequence[OrderLine], prices: Sequence[PriceLine]
) -> tuple[tuple[CostLine, ...], tuple[str, ...]]:
    """Price the order.

    Returns
    -------
    tuple of CostLine, tuple of str
        The lines that have a price, and the codes of those that have none.

    Raises
    ------
    InputError
        If a price is for a unit the item isn't sold in.
    """
    by_item = {line.item: line for line in prices if line.price is not None}
    priced, missing = [], []
    for order in orders:
        price = by_item.get(order.item)
        if price is None or price.price is None:
            missing.append(order.item)
            continue
        quantity = _in_unit(order, price.unit)
        cost = (quantity * price.price).quantize(_CENT, ROUND_HALF_UP)
        priced.append(CostLine(order.item, quantity, price.unit, price.price, cost))
    return tuple(priced), tuple(missing)


def _in_unit(order: OrderLine, unit: str) -> Decimal:
    # Where a pack and its unit share a name, the price is for the unit.
    sold: Mapping[str, Decimal] = {
        order.pack: Decimal(order.packs),
        **({"kg": _decimal(order.order * order.kg_per_unit)} if order.kg_per_unit else {}),
        order.unit: _decimal(order.order),
    }
    if unit not in sold:
        raise InputError(
            f"prices.csv: {order.item}: unit", repr(unit), " or ".join(f'"{name}"' for name in sold)
        )
    return sold[unit]


def _decimal(number: float) -> Decimal:
    return Decimal(repr(round(number, 6)))
