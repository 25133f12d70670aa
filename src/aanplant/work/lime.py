"""How much lime an acid layer needs, by three methods that are never mixed.

The exchangeable-acid method of the South African vine handbooks, plain chemistry, and the
buffer methods. All give tonnes of pure calcium carbonate a hectare for the whole soil of
the layer without stones; ``stone_factor`` takes the stones off, ``work.product_amounts``
turns carbonate into a product.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

TARGET_RATIO = 10.0
"""(Ca + Mg) / acidity that goes with a pH in KCl of about 5.5 (Fertiliser guidelines, wine)."""
TONNES_PER_STEP = 0.727
"""t/ha of lime a 300 mm layer for each cmol(+)/kg of ``R·H - bases``, as the handbook prints it."""
SAMPLE_M = 0.3
"""Thickness of the layer the exchangeable-acid method speaks of. [m]"""
RATIO_SWITCH = 6.0
"""Ca : Mg from which the handbook credits all magnesium; below it, a quarter of the calcium."""
CARBONATE_KG_PER_CMOL = 0.50043
"""CaCO3 that neutralises one cmol(+)/kg in a tonne of soil: half a molar mass. [kg/t]"""
ORGANIC_STEPS = ((1.0, 1.0), (2.0, 0.8), (3.0, 0.6), (4.0, 0.4))
"""Organic matter up to so many per cent, and what the rate is multiplied with (Conradie 1994)."""
ORGANIC_CMOL = 0.202
"""Acidity held by organic carbon, per pH unit below 7 and per cent carbon (Smuts 2001)."""


def exchangeable_acid_lime(
    acidity_cmol_kg: ArrayLike,
    calcium_cmol_kg: ArrayLike,
    magnesium_cmol_kg: ArrayLike,
    *,
    ratio: float = TARGET_RATIO,
    credit: str = "switched",
) -> NDArray[np.float64]:
    """Lime that brings (Ca + Mg) / acidity to ``ratio``, for a layer of 300 mm.

    The factor already holds a large allowance for slow reaction: plain chemistry needs
    less than a third of it. It is never multiplied by an efficiency again.

    Parameters
    ----------
    acidity_cmol_kg, calcium_cmol_kg, magnesium_cmol_kg : array_like
        Exchangeable; broadcast together. [cmol(+)/kg]
    ratio : float
        10 for a pH in KCl of about 5.5, 5 for about 5. [-]
    credit : {"switched", "continuous"}
        How magnesium counts. ``switched``, as printed: all of it when Ca:Mg >= 6, else a
        quarter of the calcium. ``continuous``: all of it up to a quarter of the calcium,
        so that a trace of calcium more or less makes no step.

    Returns
    -------
    ndarray
        Tonnes of lime a hectare for 300 mm, never negative. [t/ha]

    Raises
    ------
    ValueError
        If ``credit`` is not known.

    References
    ----------
    .. [1] Saayman, Conradie, Fertiliser guidelines for the wine industry (South Africa).
    """
    acidity, calcium, magnesium = np.broadcast_arrays(
        *(
            np.asarray(item, dtype=float)
            for item in (acidity_cmol_kg, calcium_cmol_kg, magnesium_cmol_kg)
        )
    )
    if credit == "switched":
        bases = np.where(calcium >= RATIO_SWITCH * magnesium, calcium + magnesium, 1.25 * calcium)
    elif credit == "continuous":
        bases = calcium + np.minimum(magnesium, calcium / 4.0)
    else:
        raise ValueError(f'credit must be "switched" or "continuous", got {credit!r}')
    lime: NDArray[np.float64] = np.maximum(0.0, (ratio * acidity - bases) * TONNES_PER_STEP)
    return lime


def stoichiometric_lime(
    acidity_cmol_kg: ArrayLike, thickness_m: float, bulk_density_t_m3: float
) -> NDArray[np.float64]:
    """Calcium carbonate that neutralises all exchangeable acidity, by charge alone.

    Parameters
    ----------
    acidity_cmol_kg : array_like
        Exchangeable acidity. [cmol(+)/kg]
    thickness_m, bulk_density_t_m3 : float
        Of the layer. [m], [t/m3]

    Returns
    -------
    ndarray
        Tonnes of CaCO3 a hectare. [t/ha]
    """
    soil_t_ha = 1e4 * thickness_m * bulk_density_t_m3
    lime: NDArray[np.float64] = (
        np.asarray(acidity_cmol_kg, dtype=float) * CARBONATE_KG_PER_CMOL * soil_t_ha / 1000.0
    )
    return lime


def stone_factor(stones_volume_pct: ArrayLike) -> NDArray[np.float64]:
    """Share of a layer that is soil: 1 less the stones by volume. [-]."""
    share: NDArray[np.float64] = 1.0 - np.asarray(stones_volume_pct, dtype=float) / 100.0
    return np.clip(share, 0.0, 1.0)


def organic_factor(organic_matter_pct: float) -> float | None:
    """Return what the exchangeable-acid rate is multiplied with on humus-rich soil.

    Parameters
    ----------
    organic_matter_pct : float
        By weight. [%]

    Returns
    -------
    float or None
        Multiplier; None above 4 %, where the table ends.

    References
    ----------
    .. [1] Conradie (1994), as the South African fertiliser guidelines print it.
    """
    return next((factor for top, factor in ORGANIC_STEPS if organic_matter_pct <= top), None)


def mineral_acidity(acidity_cmol_kg: float, ph_kcl: float, organic_carbon_pct: float) -> float:
    """Acidity less what organic matter holds harmlessly, never negative. [cmol(+)/kg].

    Parameters
    ----------
    acidity_cmol_kg : float
        Exchangeable. [cmol(+)/kg]
    ph_kcl : float
        pH in KCl.
    organic_carbon_pct : float
        By weight. [%]

    References
    ----------
    .. [1] Smuts (2001), as the South African fertiliser guidelines print it.
    """
    return max(0.0, acidity_cmol_kg - (7.0 - ph_kcl) * organic_carbon_pct * ORGANIC_CMOL)


def wants_dolomite(
    calcium_cmol_kg: float,
    magnesium_cmol_kg: float,
    clay_pct: float | None,
    *,
    rule: str = "ratio",
    least_magnesium_cmol_kg: float = 40.0 / 122.0,
) -> bool:
    """Whether the lime should bring magnesium.

    Parameters
    ----------
    calcium_cmol_kg, magnesium_cmol_kg : float
        Exchangeable. [cmol(+)/kg]
    clay_pct : float or None
        Clay. [%]
    rule : {"ratio", "clay"}
        ``ratio``: when Ca:Mg is above 6 or magnesium below its least. ``clay``: the same,
        and always below 15 % clay. Two South African handbooks disagree.
    least_magnesium_cmol_kg : float
        [cmol(+)/kg]
    """
    if rule not in {"ratio", "clay"}:
        raise ValueError(f'rule must be "ratio" or "clay", got {rule!r}')
    light = clay_pct is not None and clay_pct < 15.0  # noqa: PLR2004 - as printed
    return (
        calcium_cmol_kg > RATIO_SWITCH * magnesium_cmol_kg
        or magnesium_cmol_kg < least_magnesium_cmol_kg
        or (rule == "clay" and light)
    )
