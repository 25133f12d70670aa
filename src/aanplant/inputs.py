"""What was read from files for one block, as plain arrays and geometry.

``files.read_inputs`` makes it; the stages see nothing else of the outside world.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.pits import DrawnZone, Pit

Treatment = Literal["avoid", "skip"]
OutlineKind = Literal["polygon", "track", "corners"]
KINDS = (
    "dam",
    "rock",
    "tree",
    "building",
    "power line",
    "road",
    "watercourse",
    "drain",
    "pipe",
    "cable",
    "fence",
    "other",
)
LINE_KINDS = ("drain", "pipe", "cable", "fence")
"""Lines in or on the ground: nothing is planted or driven within their clearance."""


@dataclass(frozen=True, slots=True)
class Outline:
    """The outline of a field as a file gives it, not yet cleaned.

    Parameters
    ----------
    where : str
        File name (and layer or feature), for messages.
    kind : {"polygon", "track", "corners"}
        A drawn polygon, a walked track (dense, jittery, perhaps not closed) or
        single corner points in order.
    rings : tuple of ndarray, shape (n, 2)
        Outer ring first, then holes; longitude, latitude on WGS 84. [deg]
    grid : str
        Reference system the file or the brief stated, such as ``EPSG:2048``.
    """

    where: str
    kind: OutlineKind
    rings: tuple[NDArray[np.float64], ...]
    grid: str = "EPSG:4326"


@dataclass(frozen=True, slots=True)
class Exclusion:
    """A thing in the field and how rows meet it.

    Parameters
    ----------
    name : str
        As the user calls it.
    kind : str
        One of ``KINDS``.
    treatment : {"avoid", "skip"}
        ``avoid``: rows stop before it, with turning room. ``skip``: the row runs
        on, but no vine, post, peg or anchor stands there.
    geometry : shapely geometry
        Point, line or polygon; longitude/latitude as read, metres in the frame once surveyed.
    clearance_m : float
        Distance kept from the geometry (from the corridor's edge where it has a width). [m]
    corridor_width_m : float
        Full width of the strip along a line geometry, 0 for none. [m]
    """

    name: str
    kind: str
    treatment: Treatment
    geometry: BaseGeometry
    clearance_m: float = 0.0
    corridor_width_m: float = 0.0

    @property
    def reach_m(self) -> float:
        """Distance from the geometry within which nothing may stand. [m]."""
        return self.clearance_m + self.corridor_width_m / 2.0


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of ``prices.csv``.

    Parameters
    ----------
    item : str
        Item code, as the tables and the order list use it.
    unit : str
        What the price is for: a vine, a metre, a coil, a kilogram.
    price : Decimal or None
        Price of one unit in the estate's currency; None when left empty.
    pack_size : Decimal or None
        Units in a pack that can't be split; None when sold singly.
    note : str
        Free text.
    """

    item: str
    unit: str
    price: Decimal | None
    pack_size: Decimal | None
    note: str = ""


@dataclass(frozen=True)
class Inputs:
    """Everything read from files for one block.

    Parameters
    ----------
    outline : Outline
        The field's outline.
    exclusions : tuple of Exclusion
        In longitude and latitude.
    estate : str
        Name of the estate, "" outside an estate folder.
    set_out_grid : str
        Grid for the set-out files, "" for the UTM zone of the block.
    currency : str
        ISO 4217 code of the prices, "" when not known.
    prices : tuple of PriceLine
        Empty when there is no ``prices.csv``.
    pits : tuple of Pit
        Soil pits, in the file's order.
    zones : tuple of DrawnZone
        Soil zones as the user drew them; empty when they follow the nearest pit.
    files : mapping of str to str
        SHA-256 of each file read, by its name relative to the brief.
    """

    outline: Outline
    exclusions: tuple[Exclusion, ...] = ()
    estate: str = ""
    set_out_grid: str = ""
    currency: str = ""
    prices: tuple[PriceLine, ...] = ()
    pits: tuple[Pit, ...] = ()
    zones: tuple[DrawnZone, ...] = ()
    files: Mapping[str, str] = field(default_factory=dict)
