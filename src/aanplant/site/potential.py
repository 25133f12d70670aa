"""What a soil can carry: low, medium or high potential, and why. A judgement, not a measurement."""

from collections.abc import Iterator
from dataclasses import dataclass

from aanplant.site.profile import Profile
from aanplant.site.salinity import SALINITY_ORDER, SODICITY_ORDER
from aanplant.site.soil_classes import rated

TABLE = "soil_potential.csv"
GRADES = ("low", "medium", "high", "unknown")
DECISIVE = ("depth", "available water")
"""While these are unknown the potential is."""
_SALT_GRADES = {"not saline": "high", "doubtful": "medium", "harmful": "low", "saline": "low"}
_SODIUM_GRADES = {"not sodic": "high", "doubtful": "medium", "sodic": "low"}


@dataclass(frozen=True, slots=True)
class Aspect:
    """One side of a soil and how it speaks.

    Parameters
    ----------
    name : str
        Such as ``depth`` or ``stones``.
    grade : str
        ``low``, ``medium``, ``high`` or ``unknown``.
    value : float or None
        The number it was judged by.
    unit : str
        Of the value.
    """

    name: str
    grade: str
    value: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Potential:
    """What a soil can carry.

    Parameters
    ----------
    name : str
        ``low``, ``medium``, ``high`` or ``unknown``.
    aspects : tuple of Aspect
        What it was judged by.
    """

    name: str
    aspects: tuple[Aspect, ...]

    def named(self, *grades: str) -> tuple[str, ...]:
        """Return the names of the aspects that have one of the grades."""
        return tuple(aspect.name for aspect in self.aspects if aspect.grade in grades)


def judge(profile: Profile) -> Potential:
    """Judge a soil by its weakest side.

    One low aspect makes it low, one medium aspect at most medium. Depth and available
    water must be known; other aspects that are not known are left out and named.
    """
    aspects = tuple(_aspects(profile))
    grades = {aspect.name: aspect.grade for aspect in aspects}
    if "low" in grades.values():
        name = "low"
    elif any(grades[aspect] == "unknown" for aspect in DECISIVE):
        name = "unknown"
    else:
        name = "medium" if "medium" in grades.values() else "high"
    return Potential(name, aspects)


def _aspects(profile: Profile) -> Iterator[Aspect]:
    yield _graded("depth", "depth", profile.depth_m)
    yield _graded("available water", "available water", profile.available_water_mm)
    yield _graded("texture", "clay", profile.mean("clay_pct"))
    yield _graded("stones", "stones", profile.mean("stones_volume_pct"))
    yield _worst("salinity", profile, SALINITY_ORDER, _SALT_GRADES)
    yield _worst("sodicity", profile, SODICITY_ORDER, _SODIUM_GRADES)
    yield _drainage(profile)


def _graded(name: str, aspect: str, value: float | None) -> Aspect:
    if value is None:
        return Aspect(name, "unknown")
    found = rated(aspect, value, table=TABLE)
    return Aspect(name, found.name, value, found.unit)


def _worst(name: str, profile: Profile, order: tuple[str, ...], grades: dict[str, str]) -> Aspect:
    """Judge by the gravest layer that roots reach; one that is unknown can't be called good."""
    found = [getattr(layer, name) for layer, _ in profile.counted]
    known = [one for one in found if one is not None]
    if not known:
        return Aspect(name, "unknown")
    gravest = max(known, key=lambda one: order.index(one.name))
    grade = grades[gravest.name]
    if len(known) < len(found) and grade == "high":
        return Aspect(name, "unknown")
    return Aspect(name, grade, gravest.value, gravest.unit)


def _drainage(profile: Profile) -> Aspect:
    """Judge by the water table and by the slowest layer, the graver of the two."""
    pit = profile.pit
    found = []
    if pit.water_table_m is not None:
        found.append(_graded("drainage", "water table", pit.water_table_m))
    speeds = [layer.conductivity_mm_h for layer, _ in profile.counted]
    known = [speed for speed in speeds if speed is not None]
    if known and len(known) == len(speeds):
        found.append(_graded("drainage", "conductivity", min(known)))
    worst = min(found, key=lambda one: GRADES.index(one.grade), default=None)
    is_complete = (pit.is_dry or pit.water_table_m is not None) and len(known) == len(speeds)
    if worst is None or (worst.grade == "high" and not is_complete):
        return Aspect("drainage", "unknown")
    return worst
