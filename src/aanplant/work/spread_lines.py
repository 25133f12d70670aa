"""A product on a zone, and what is ordered of it for the block."""

from collections.abc import Sequence
from dataclasses import dataclass

from aanplant.working import Working

TO_CONFIRM = "to confirm by an adviser"
TO_SPREAD = "to spread"
NEEDS_DRAINAGE = "not before the land drains"


@dataclass(frozen=True, slots=True)
class SpreadLine:
    """One product on one zone.

    Parameters
    ----------
    number : int
        Of the zone, 0 for a field without pits.
    zone : str
        Name of the zone.
    area_ha : float
        [ha]
    item : str
        Code of the order line.
    product : str
        In words, with its strength.
    rate : float
        As delivered. [rate_unit]
    rate_unit : str
        t/ha or kg/ha.
    amount : float
        For the zone. [unit]
    unit : str
        t or kg.
    depth_m : float
        To which it is mixed. [m]
    how : str
        How it is worked in.
    status : str
        Whether it may be spread.
    reasons : str
        What must be confirmed, "" for nothing.
    """

    number: int
    zone: str
    area_ha: float
    item: str
    product: str
    rate: float
    rate_unit: str
    amount: float
    unit: str
    depth_m: float
    how: str
    status: str
    reasons: str = ""


@dataclass(frozen=True, slots=True)
class Amount:
    """What is ordered of one product.

    Parameters
    ----------
    item : str
        Code, as in materials.csv.
    name : str
        In words.
    needed : Working
        Sum over the zones.
    status : str
        "" or what stands in the way.
    """

    item: str
    name: str
    needed: Working
    status: str


def amounts(lines: Sequence[SpreadLine], figures: Sequence[Working]) -> tuple[Amount, ...]:
    """Add the products of all zones."""
    found: dict[str, list[tuple[SpreadLine, Working]]] = {}
    for line, figure in zip(lines, figures, strict=True):
        found.setdefault(line.item, []).append((line, figure))
    made = []
    for item, parts in found.items():
        first = parts[0][0]
        needed = Working(
            f"work.amount.{item}",
            sum(line.amount for line, _ in parts),
            first.unit,
            tuple(figure.as_input(f"zone_{n}") for n, (_, figure) in enumerate(parts, start=1)),
            "arithmetic",
            about=first.product,
            message="work.amount",
        )
        waiting = [line.status for line, _ in parts if line.status != TO_SPREAD]
        made.append(Amount(item, first.product, needed, waiting[0] if waiting else ""))
    return tuple(made)
