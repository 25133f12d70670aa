"""One thing to buy, before its waste and packs are known."""

from dataclasses import dataclass

from aanplant.working import Working


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to buy.

    Parameters
    ----------
    code : str
        As in prices.csv.
    name : str
        What it is, with its size.
    needed : Working
        What stands in the field.
    with_waste : Working, optional
        With its spares, where these are a figure of their own.
    kg_per_unit : float
        Mass of one unit where the item is sold by mass, else 0. [kg]
    status : str
        What stands in the way of ordering it, "" for nothing.
    family : str
        Line of the table of materials, the code itself when left out.
    """

    code: str
    name: str
    needed: Working
    with_waste: Working | None = None
    kg_per_unit: float = 0.0
    status: str = ""
    family: str = ""
