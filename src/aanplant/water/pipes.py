"""The pipes a system may be built of: bore, wall and the pressure they stand."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from aanplant import tables

WATER_KG_M3 = 998.2
"""At 20 degrees."""
GRAVITY_M_S2 = 9.80665
MM_PER_M = 1000.0
PA_PER_KPA, PA_PER_MPA, PA_PER_GPA = 1e3, 1e6, 1e9


@dataclass(frozen=True, slots=True)
class Pipe:
    """One size of one class of pipe.

    Parameters
    ----------
    material : str
        PE100, PVC-U or LDPE, as the table names it.
    series : str
        Class as the trade names it: ``SDR 17``, ``class 6``, ``PN 3``.
    outside_m, wall_m, bore_m : float
        Outside diameter, wall and the bore that carries water. [m]
    rated_pa : float
        Pressure it is rated for at 20 degrees. [Pa]
    density_kg_m3 : float
        Of the plastic. [kg/m3]
    elasticity_pa : float
        Of the plastic under short loads. [Pa]
    source : str
        Source id of the bore.
    """

    material: str
    series: str
    outside_m: float
    wall_m: float
    bore_m: float
    rated_pa: float
    density_kg_m3: float
    elasticity_pa: float
    source: str

    @property
    def item(self) -> str:
        """Code of the pipe in orders and prices, such as ``pipe-pvc-u-class-6-110``.

        Pipe for laterals is told by its bore, the rest by the diameter outside.
        """
        size = self.bore_m if self.material == "LDPE" else self.outside_m
        series = self.series.replace(" ", "-")
        return f"pipe-{self.material}-{series}-{size * MM_PER_M:g}".casefold()

    @property
    def rated_head_m(self) -> float:
        """Head of water it is rated for. [m]."""
        return self.rated_pa / (WATER_KG_M3 * GRAVITY_M_S2)

    @property
    def weight_kg_m(self) -> float:
        """Plastic in a metre of it. [kg/m]."""
        ring_m2 = math.pi * self.wall_m * (self.outside_m - self.wall_m)
        return ring_m2 * self.density_kg_m3

    def flow_at(self, velocity_m_s: float) -> float:
        """Flow it carries at a velocity. [m3/s]."""
        return math.pi / 4.0 * self.bore_m**2 * velocity_m_s


def pipes_of(material: str, series: str = "") -> tuple[Pipe, ...]:
    """Return the pipes of a material that the table knows, the smallest bore first.

    Parameters
    ----------
    material : str
        PE100, PVC-U or LDPE.
    series : str
        One class of it; all when left out.

    Raises
    ------
    KeyError
        If the table knows no such pipe.
    """
    found = [
        _pipe(row)
        for row in tables.rows("pipes.csv")
        if row["material"] == material and series in {"", row["series"]}
    ]
    if not found:
        raise KeyError(f"{material} {series}".strip())
    return tuple(sorted(found, key=lambda pipe: (pipe.bore_m, pipe.rated_pa)))


def rating_pa(outside_over_wall: float, stress_mpa: float) -> float:
    """Pressure that polyethylene pipe is rated for, 20 stress / (SDR - 1) in bar. [Pa].

    Parameters
    ----------
    outside_over_wall : float
        Outside diameter over wall, the SDR. [-]
    stress_mpa : float
        Hoop stress to design for; 8.0 for PE100, 6.3 for PE80. [MPa]
    """
    return 2.0 * stress_mpa * PA_PER_MPA / (outside_over_wall - 1.0)


def wall_m(outside_m: float, rated_pa: float, stress_mpa: float) -> float:
    """Wall that a pressure asks of a pipe, P D / (2 stress + P), up to a tenth of a mm. [m].

    Parameters
    ----------
    outside_m : float
        Outside diameter. [m]
    rated_pa : float
        Pressure. [Pa]
    stress_mpa : float
        Hoop stress to design for; 10 for PVC-U. [MPa]
    """
    wall = rated_pa * outside_m / (2.0 * stress_mpa * PA_PER_MPA + rated_pa)
    tenths = round(wall * MM_PER_M * 10.0, 6)  # what is a tenth but for the last bits stays one
    return math.ceil(tenths) / 10.0 / MM_PER_M


def rating_stress_mpa(material: str) -> float:
    """Hoop stress that a material's classes are reckoned with. [MPa].

    Raises
    ------
    KeyError
        If the table gives none.
    """
    return _property(material, "rating_stress")


def _pipe(row: Mapping[str, str]) -> Pipe:
    return Pipe(
        row["material"],
        row["series"],
        float(row["outside_mm"]) / MM_PER_M,
        float(row["wall_mm"]) / MM_PER_M,
        float(row["bore_mm"]) / MM_PER_M,
        float(row["rated_kpa"]) * PA_PER_KPA,
        _property(row["material"], "density"),
        _property(row["material"], "elasticity") * PA_PER_GPA,
        row["source"],
    )


@cache
def _property(material: str, name: str) -> float:
    for row in tables.rows("pipe_materials.csv"):
        if (row["material"], row["property"]) == (material, name):
            return float(row["value"])
    raise KeyError(f"{name} of {material}")
