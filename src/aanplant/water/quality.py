"""What the water does to soil, vines and drippers, by the limits of published tables."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief.water_analysis import WaterAnalysis
from aanplant.site.salinity import relative_yield_pct, sodium_adsorption_ratio
from aanplant.site.soil_classes import Rated, rated
from aanplant.tables import rows

Values = NDArray[np.float64]

RESTRICTIONS, CLOGGING = "water_restrictions.csv", "clogging.csv"
EQUIVALENT_MG: Mapping[str, float] = {
    "sodium": 22.990,
    "calcium": 20.039,
    "magnesium": 12.153,
    "chloride": 35.453,
    "bicarbonate": 61.016,
}
"""Milligrams in a milliequivalent: atomic or molecular weight by charge."""
HARDNESS_PER_ME_L = 50.043
"""Calcium carbonate in a milliequivalent. [mg]"""
SALTS_MG_L_PER_DS_M = 640.0
"""Dissolved salts for a unit of conductivity, up to 5 dS/m (recalled)."""
EXTRACT_PER_WATER = 1.5
"""Conductivity of the soil's extract for that of the water, leached by 15 to 20 % (recalled)."""
GRAPE_NO_YIELD_DS_M = 12.0
"""Conductivity of the extract at which vines bear nothing (recalled)."""
ELEMENTS = (
    "boron", "iron", "manganese", "copper", "zinc", "fluoride", "aluminium", "cadmium", "lead",
)  # fmt: skip
CLOGS = ("suspended solids", "pH", "dissolved salts", "manganese", "iron", "sulphide", "hardness",
         "bacteria")  # fmt: skip
RESTRICTS = ("conductivity", "dissolved salts", "SAR", "chloride", "boron", "nitrate nitrogen",
             "pH")  # fmt: skip
HAZARDS = ("slight", "moderate", "severe")


def milliequivalents(ion: str, mg_l: ArrayLike) -> Values:
    """Turn milligrams of an ion into milliequivalents. [mg/L to me/L]."""
    return np.asarray(np.asarray(mg_l, np.float64) / EQUIVALENT_MG[ion])


def leaching_requirement(water_ds_m: ArrayLike, extract_ds_m: ArrayLike) -> Values:
    """Return the share of the water that must drain to keep the soil's salt, surface watering. [-].

    LR = ECw/(5 ECe - ECw)

    Parameters
    ----------
    water_ds_m : array_like
        Conductivity of the water. [dS/m]
    extract_ds_m : array_like
        Of the soil's saturated extract that is wanted. [dS/m]

    Raises
    ------
    ValueError
        If no amount of water keeps the soil at that.

    References
    ----------
    .. [1] Ayers, Westcot (1985), Water quality for agriculture, FAO Irrigation and Drainage
       Paper 29 rev. 1, from memory.
    """
    water, extract = np.asarray(water_ds_m, np.float64), np.asarray(extract_ds_m, np.float64)
    if np.any(2.0 * water >= 5.0 * extract + water):
        raise ValueError("no leaching keeps the soil so fresh with a water so salty")
    return np.asarray(water / (5.0 * extract - water))


def drip_leaching_requirement(
    water_ds_m: ArrayLike, no_yield_ds_m: float = GRAPE_NO_YIELD_DS_M
) -> Values:
    """Return the share that must drain under frequent drip watering, ECw/(2 max ECe). [-].

    References
    ----------
    .. [1] Keller, Bliesner (1990), Sprinkle and trickle irrigation, from memory.
    """
    return np.asarray(np.asarray(water_ds_m, np.float64) / (2.0 * no_yield_ds_m))


def water_with_leaching(water: ArrayLike, requirement: ArrayLike) -> Values:
    """Return the water to give so that a share drains, ET/(1 - LR), in the unit given."""
    share = np.asarray(requirement, np.float64)
    if np.any(share < 0.0) or np.any(share >= 1.0):
        raise ValueError("a leaching requirement must be from 0 to below 1")
    return np.asarray(np.asarray(water, np.float64) / (1.0 - share))


def extract_of_water_ds_m(water_ds_m: ArrayLike) -> Values:
    """Return the conductivity of the soil's extract that a water leads to in time. [dS/m]."""
    return np.asarray(EXTRACT_PER_WATER * np.asarray(water_ds_m, np.float64))


def infiltration_class(ratio: float, water_ds_m: float) -> Rated:
    """Rate how far sodium and little salt together slow the soaking-in of water.

    Parameters
    ----------
    ratio : float
        Sodium adsorption ratio of the water; above 40 as at 40. [-]
    water_ds_m : float
        Its conductivity. [dS/m]
    """
    table = rows("infiltration_limits.csv")
    row = next((row for row in table if ratio <= float(row["sar_to"])), table[-1])
    none, severe = float(row["none_above_ds_m"]), float(row["severe_below_ds_m"])
    name = (
        "none" if water_ds_m > none else "severe" if water_ds_m < severe else "slight to moderate"
    )
    return Rated("infiltration", water_ds_m, "dS/m", name, row["source"])


@dataclass(frozen=True, slots=True)
class OverLimit:
    """An element above a limit.

    Parameters
    ----------
    element : str
        As the brief calls it.
    found_mg_l, limit_mg_l : float
        [mg/L]
    note : str
        What the limit is for.
    source : str
        Source id.
    """

    element: str
    found_mg_l: float
    limit_mg_l: float
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class WaterQuality:
    """What an analysis says.

    Parameters
    ----------
    restrictions : tuple of Rated
        Degree of restriction on use, by measure.
    infiltration : Rated or None
        Sodium against salt; None when either isn't known.
    clogging : tuple of Rated
        Hazard to drippers, by measure.
    over_limit : tuple of OverLimit
        Elements above a limit for continuous use.
    sodium_adsorption_ratio : float or None
        [-]
    extract_ds_m : float or None
        Conductivity the soil's extract will come to. [dS/m]
    leaching : float or None
        Leaching requirement under drip. [-]
    unknown : tuple of str
        What wasn't measured and some class would need.
    """

    restrictions: tuple[Rated, ...]
    infiltration: Rated | None
    clogging: tuple[Rated, ...]
    over_limit: tuple[OverLimit, ...]
    sodium_adsorption_ratio: float | None
    extract_ds_m: float | None
    leaching: float | None
    unknown: tuple[str, ...]

    @property
    def yield_pct(self) -> float | None:
        """Yield of grapes that the soil's salt leaves in time; None when it isn't known. [%]."""
        return None if self.extract_ds_m is None else float(relative_yield_pct(self.extract_ds_m))

    @property
    def worst_clogging(self) -> str:
        """Gravest hazard to drippers; "unknown" when nothing was measured."""
        found = [HAZARDS.index(one.name) for one in self.clogging]
        return HAZARDS[max(found)] if found else "unknown"


def judge(analysis: WaterAnalysis) -> WaterQuality:
    """Put an analysis beside the published limits; what isn't measured stays unknown.

    Salts that weren't measured are worked out from the conductivity, and hardness from
    calcium and magnesium.
    """
    measured = _measured(analysis)
    ratio, salt = measured.get("SAR"), measured.get("conductivity")
    over = tuple(
        OverLimit(row["element"], found, float(row["most_mg_l"]), row["note"], row["source"])
        for row in rows("element_limits.csv")
        if (found := measured.get(row["element"])) is not None and found > float(row["most_mg_l"])
    )
    wanted = dict.fromkeys((*RESTRICTS, *CLOGS, *ELEMENTS))
    return WaterQuality(
        tuple(
            rated(name, measured[name], table=RESTRICTIONS)
            for name in RESTRICTS
            if name in measured
        ),
        infiltration_class(ratio, salt) if ratio is not None and salt is not None else None,
        tuple(rated(name, measured[name], table=CLOGGING) for name in CLOGS if name in measured),
        over,
        ratio,
        float(extract_of_water_ds_m(salt)) if salt is not None else None,
        float(drip_leaching_requirement(salt)) if salt is not None else None,
        tuple(name for name in wanted if name not in measured),
    )


def chloride_limit_me_l(vine: str) -> tuple[float, str] | None:
    """Return the most chloride in the water for a rootstock or cultivar, with its source id.

    None where no source known here has one. [me/L]
    """
    for row in rows("chloride_limits.csv"):
        if row["vine"].casefold() == vine.casefold():
            return float(row["water_me_l"]), row["source"]
    return None


def _measured(analysis: WaterAnalysis) -> dict[str, float]:
    """Return what is known, by the name of its measure and in the unit of its table."""
    plain = {
        "conductivity": analysis.conductivity,
        "dissolved salts": analysis.dissolved_salts,
        "pH": analysis.ph,
        "nitrate nitrogen": analysis.nitrate_nitrogen,
        "sulphide": analysis.sulphide,
        "suspended solids": analysis.suspended_solids,
        "hardness": analysis.hardness,
        "bacteria": analysis.bacteria,
        "chloride": _me_l("chloride", analysis.chloride),
        **{name: getattr(analysis, name) for name in ELEMENTS},
    }
    known = {name: float(value) for name, value in plain.items() if value is not None}
    if "conductivity" in known and "dissolved salts" not in known:
        known["dissolved salts"] = SALTS_MG_L_PER_DS_M * known["conductivity"]
    calcium = _me_l("calcium", analysis.calcium)
    magnesium = _me_l("magnesium", analysis.magnesium)
    if calcium is not None and magnesium is not None:
        known.setdefault("hardness", HARDNESS_PER_ME_L * (calcium + magnesium))
        sodium = _me_l("sodium", analysis.sodium)
        if sodium is not None and calcium + magnesium > 0.0:
            known["SAR"] = float(sodium_adsorption_ratio(sodium, calcium, magnesium))
    return known


def _me_l(ion: str, mg_l: float | None) -> float | None:
    return None if mg_l is None else float(milliequivalents(ion, mg_l))
