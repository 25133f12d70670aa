"""How much bending a line post carries at the ground line: round timber and steel sections."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant import tables
from aanplant.brief import Brief
from aanplant.errors import InputError

Values = NDArray[np.float64]
Kind = Literal["round", "open section"]

CM3_PER_M3 = 1e6
PA_PER_MPA = 1e6
MM_PER_M = 1000.0
FIVE_OF_HUNDRED = 1.645
"""Standard deviations under the mean below which five of a hundred lie, normal law."""


@dataclass(frozen=True, slots=True)
class Post:
    """One kind of line post.

    Parameters
    ----------
    name : str
        Timber and size, or the kind of steel post.
    group, size : str
        As the tables name them; ``size`` is "" for steel and for a diameter of one's own.
    kind : {"round", "open section"}
        Round timber, or a thin section of steel.
    width_m : float
        Face that presses on the soil: the diameter, or the section's width. [m]
    modulus_cm3 : float
        Section modulus. [cm3]
    strength_mpa : float
        Strength in bending that 95 posts of 100 reach, or the yield of the steel. [MPa]
    elasticity_mpa : float
        Modulus of elasticity. [MPa]
    buckling : float
        Share of the full strength that a thin open section keeps, 1 for the rest. [-]
    source : str
        Source id of the strength.
    """

    name: str
    group: str
    size: str
    kind: Kind
    width_m: float
    modulus_cm3: float
    strength_mpa: float
    elasticity_mpa: float
    buckling: float
    source: str

    @property
    def item(self) -> str:
        """Code of the post in orders and prices, such as ``line-post-softwood-75-100``."""
        return f"line-post-{self.name.replace(' ', '-')}"

    @property
    def ultimate_moment_nm(self) -> float:
        """Bending at which it breaks or folds. [N m]."""
        return float(ultimate_moment_nm(self.modulus_cm3, self.strength_mpa) * self.buckling)

    def working_moment_nm(self, factor: float) -> float:
        """Bending to plan for, the ultimate by the working factor. [N m]."""
        return float(working_moment_nm(self.ultimate_moment_nm, factor))


def section_modulus_cm3(diameter_mm: ArrayLike) -> Values:
    """Section modulus of a round post, pi d3 / 32. [cm3].

    Parameters
    ----------
    diameter_mm : array_like
        At the ground line. [mm]
    """
    diameter_cm = np.asarray(diameter_mm, np.float64) / 10.0
    return np.asarray(math.pi * diameter_cm**3 / 32.0)


def ultimate_moment_nm(modulus_cm3: ArrayLike, strength_mpa: ArrayLike) -> Values:
    """Bending at which a post breaks, Z times strength. [N m].

    Parameters
    ----------
    modulus_cm3 : array_like
        Section modulus. [cm3]
    strength_mpa : array_like
        Strength in bending. [MPa]
    """
    modulus_m3 = np.asarray(modulus_cm3, np.float64) / CM3_PER_M3
    return np.asarray(modulus_m3 * np.asarray(strength_mpa, np.float64) * PA_PER_MPA)


def working_moment_nm(ultimate_nm: ArrayLike, factor: ArrayLike) -> Values:
    """Bending to plan for: the ultimate divided by a factor for wet wood, time and safety. [N m].

    Raises
    ------
    ValueError
        If a factor is under 1.
    """
    by = np.asarray(factor, np.float64)
    if np.any(by < 1.0):
        raise ValueError(f"factor must be at least 1, got {by.min()}")
    return np.asarray(np.asarray(ultimate_nm, np.float64) / by)


def five_of_hundred_mpa(mean_mpa: ArrayLike, variation: ArrayLike) -> Values:
    """Strength that 95 posts of 100 reach, mean (1 - 1.645 variation). [MPa].

    Parameters
    ----------
    mean_mpa : array_like
        Mean strength. [MPa]
    variation : array_like
        Standard deviation over mean. [-]
    """
    share = 1.0 - FIVE_OF_HUNDRED * np.asarray(variation, np.float64)
    return np.asarray(np.asarray(mean_mpa, np.float64) * share)


def post_of(brief: Brief) -> Post:
    """Return the line post a brief asks for; what it measured stands before the tables.

    Raises
    ------
    InputError
        If a diameter is given for a steel section.
    """
    rules = brief.posts
    if rules.diameter is not None and _strengths(rules.group)["kind"] != "round":
        found = f"a diameter for posts of {rules.group}"
        raise InputError("brief.toml: posts.diameter", found, "a diameter for round timber only")
    return _post(rules.group, rules.size, rules.diameter, rules.strength)


def posts_of(group: str) -> tuple[Post, ...]:
    """Return every size of a group that the tables know, the thinnest first.

    Raises
    ------
    KeyError
        If the tables do not know the group.
    """
    if _strengths(group)["kind"] != "round":
        return (_post(group, ""),)
    return tuple(_post(group, row["size"]) for row in tables.rows("post_sizes.csv"))


def _post(
    group: str, size: str, diameter_mm: float | None = None, strength_mpa: float | None = None
) -> Post:
    known = _strengths(group)
    strength = strength_mpa or float(known["strength"])
    source = "brief" if strength_mpa else known["source"]
    elasticity = float(known["elasticity"])
    if known["kind"] != "round":
        width_m = float(known["width"]) / MM_PER_M
        modulus = float(known["section_modulus"])
        buckling = float(known["buckling"])
        return Post(
            group, group, "", "open section", width_m, modulus, strength, elasticity, buckling,
            source,
        )  # fmt: skip
    if diameter_mm is None:
        diameter, name = _thin_end_mm(size), f"{group} {size}"
    else:
        diameter, name, size = diameter_mm, f"{group} {diameter_mm:g}", ""
    modulus = float(section_modulus_cm3(diameter))
    return Post(
        name, group, size, "round", diameter / MM_PER_M, modulus, strength, elasticity, 1.0, source
    )


@cache
def _strengths(group: str) -> Mapping[str, str]:
    """Properties of a group by name, with its kind and the source of its strength."""
    rows = [row for row in tables.rows("post_strengths.csv") if row["group"] == group]
    if not rows:
        raise KeyError(group)
    found = {row["property"]: row["value"] for row in rows}
    source = next(row["source"] for row in rows if row["property"] == "strength")
    return found | {"kind": rows[0]["kind"], "source": source}


def _thin_end_mm(size: str) -> float:
    return next(
        float(row["low_mm"]) for row in tables.rows("post_sizes.csv") if row["size"] == size
    )
