"""The wires of a trellis: which, how many, how long and how heavy."""

import difflib
import math
from dataclasses import dataclass

from aanplant import tables
from aanplant.brief import Brief
from aanplant.errors import InputError

STEEL_DENSITY_G_PER_CM3 = 7.85


@dataclass(frozen=True, slots=True)
class WireLine:
    """One kind of wire along every row.

    Parameters
    ----------
    name : str
        What it carries.
    height_m : float
        Above the ground. [m]
    diameter_mm : float
        Of a strand. [mm]
    grade : str
        ``mild`` or ``high strain``.
    strands : int
        Wires side by side; a movable pair counts two.
    origin, source : str
        Where the line comes from: ``brief:trellis.wires`` or the table, and its source id.
    """

    name: str
    height_m: float
    diameter_mm: float
    grade: str
    strands: int
    origin: str
    source: str

    @property
    def item(self) -> str:
        """Code of the wire in orders and prices, such as ``wire-2.24-high-strain``."""
        return f"wire-{self.diameter_mm:g}-{self.grade.replace(' ', '-')}"


def mass_g_per_m(diameter_mm: float) -> float:
    """Mass of a steel wire, its zinc ignored: 7.85 A with A in mm2. [g/m]."""
    return STEEL_DENSITY_G_PER_CM3 * math.pi * diameter_mm**2 / 4.0


def wire_lines(brief: Brief) -> tuple[WireLine, ...]:
    """Return the brief's own wires, or those of its system.

    Raises
    ------
    InputError
        If the system is not known; names the nearest.
    """
    if brief.trellis.wires:
        return tuple(
            WireLine(
                wire.name,
                wire.height,
                wire.diameter,
                wire.grade,
                wire.strands,
                "brief:trellis.wires",
                "brief",
            )
            for wire in brief.trellis.wires
        )
    rows = tables.rows("trellis_systems.csv")
    known = sorted({row["system"] for row in rows})
    system = brief.trellis.system
    if system not in known:
        near = difflib.get_close_matches(system, known, n=1, cutoff=0.5)
        expected = (
            f'"{near[0]}"' if near else f"one of {', '.join(known)}, or your own [[trellis.wires]]"
        )
        raise InputError("brief.toml: trellis.system", repr(system), expected)
    return tuple(
        WireLine(
            row["name"],
            float(row["height_m"]),
            float(row["diameter_mm"]),
            row["grade"],
            int(row["strands"]),
            "table:trellis_systems.csv",
            row["source"],
        )
        for row in rows
        if row["system"] == system and int(row["strands"])
    )
