"""What a wire holds: area, mass, break load, stiffness, and the pull it may be strained to."""

import math

from aanplant import tables
from aanplant.trellis.wires import Role, WireLine

STEEL_DENSITY_G_PER_CM3 = 7.85
"""Of plain carbon steel, zinc ignored (source id ``wire-density``)."""
STEEL_MODULUS_MPA = 200_000.0
"""From memory; 190 to 205 GPa are in use."""
STEEL_EXPANSION_PER_K = 12e-6
"""From memory."""
STANDARD_GRAVITY = 9.80665
INSTALLED_SHARE = {"mild": 1.0 / 3.0, "high strain": 1.0 / 2.0}
"""Most of the break load a wire is strained to, by grade; from memory."""
SAFE_SHARE = 0.6
"""Most of the break load under crop or on the coldest night; a judgement."""


def area_mm2(diameter_mm: float) -> float:
    """Area of a round strand, A = pi d^2 / 4. [mm2].

    Raises
    ------
    ValueError
        If the diameter is not above 0.
    """
    if not diameter_mm > 0.0:
        raise ValueError(f"diameter_mm must be above 0, got {diameter_mm}")
    return math.pi * diameter_mm**2 / 4.0


def mass_g_per_m(diameter_mm: float) -> float:
    """Mass of a steel wire, its zinc ignored: 7.85 A with A in mm2. [g/m]."""
    return STEEL_DENSITY_G_PER_CM3 * area_mm2(diameter_mm)


def weight_n_per_m(diameter_mm: float) -> float:
    """Weight of a steel wire, its zinc ignored. [N/m]."""
    return mass_g_per_m(diameter_mm) / 1000.0 * STANDARD_GRAVITY


def coil_length_m(diameter_mm: float, coil_kg: float) -> float:
    """Length of wire in a coil of a given mass. [m]."""
    return coil_kg * 1000.0 / mass_g_per_m(diameter_mm)


def axial_stiffness_n(diameter_mm: float) -> float:
    """Modulus by area, EA with E = 200 GPa. [N]."""
    return STEEL_MODULUS_MPA * area_mm2(diameter_mm)


def is_known_grade(diameter_mm: float, grade: str) -> bool:
    """Whether the table knows the strength of this grade at this diameter."""
    return bool(_strengths_mpa(diameter_mm, grade))


def least_strength_mpa(diameter_mm: float, grade: str) -> float:
    """Strength at the weak end of the grade's range; of the weakest grade where not known. [MPa].

    Strength hangs on diameter and grade together: a thick wire sold for trellises is mostly
    mild, a thin one high strain.
    """
    known = _strengths_mpa(diameter_mm, grade)
    every = [float(row["least_strength_mpa"]) for row in tables.rows("wire_grades.csv")]
    return min(known or every)


def break_load_n(diameter_mm: float, grade: str) -> float:
    """Pull at which the weakest wire sold as this grade breaks, F = A Rm. [N].

    Parameters
    ----------
    diameter_mm : float
        Of the strand, above 0. [mm]
    grade : str
        ``mild`` or ``high strain``; any other counts as the weakest.
    """
    return area_mm2(diameter_mm) * least_strength_mpa(diameter_mm, grade)


def tension_limit_n(diameter_mm: float, grade: str) -> float:
    """Most a wire is strained to: F/3 for mild wire and unknown ones, F/2 for high strain. [N]."""
    share = INSTALLED_SHARE["mild"]
    if is_known_grade(diameter_mm, grade):
        share = INSTALLED_SHARE.get(grade, share)
    return break_load_n(diameter_mm, grade) * share


def usual_tension_n(role: Role) -> float:
    """Pull a wire of this role is usually strained to, whatever the wire holds. [N]."""
    return next(
        float(row["usual_n"]) for row in tables.rows("wire_tensions.csv") if row["role"] == role
    )


def default_tension_n(role: Role, diameter_mm: float, grade: str) -> float:
    """Pull to strain a wire to when nothing is asked: the usual one or the limit, if lower. [N]."""
    return min(usual_tension_n(role), tension_limit_n(diameter_mm, grade))


def installed_tension_n(wire: WireLine) -> float:
    """Pull in each strand of a line when it is strained: as asked, or the default. [N]."""
    if wire.tension_n is not None:
        return wire.tension_n
    return default_tension_n(wire.role, wire.diameter_mm, wire.grade)


def _strengths_mpa(diameter_mm: float, grade: str) -> list[float]:
    return [
        float(row["least_strength_mpa"])
        for row in tables.rows("wire_grades.csv")
        if row["grade"] == grade
        and float(row["least_diameter_mm"]) <= diameter_mm <= float(row["greatest_diameter_mm"])
    ]
