"""How salty and how sodic a soil is, with the limits of several sources kept apart."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.pits import PitLayer
from aanplant.site.soil_classes import Rated, rated

GRAPE_THRESHOLD_DS_M = 1.5
GRAPE_SLOPE_PCT = 9.6
"""Threshold and loss per dS/m of grapes (Maas and Hoffman 1977, from memory)."""
LOWEST_THRESHOLD_DS_M = 0.7
"""Lowest threshold of the Breede River trials (Myburgh and Howell 2014)."""
SALINITY_ORDER = ("not saline", "doubtful", "harmful", "saline")
SODICITY_ORDER = ("not sodic", "doubtful", "sodic")


def relative_yield_pct(
    ece_ds_m: ArrayLike,
    *,
    threshold_ds_m: float = GRAPE_THRESHOLD_DS_M,
    slope_pct: float = GRAPE_SLOPE_PCT,
) -> NDArray[np.float64]:
    """Return the yield that salt leaves, of the yield without it.

    Parameters
    ----------
    ece_ds_m : array_like
        Conductivity of the saturated extract, mean of the root zone. [dS/m]
    threshold_ds_m : float
        Conductivity up to which nothing is lost. [dS/m]
    slope_pct : float
        Loss for each dS/m above it. [%]

    References
    ----------
    .. [1] Maas, Hoffman (1977), Crop salt tolerance, J. Irrig. Drain. Div. ASCE 103: 115-134.
    """
    excess = np.asarray(ece_ds_m, dtype=np.float64) - threshold_ds_m
    return np.clip(100.0 - slope_pct * excess, 0.0, 100.0)


def sodium_adsorption_ratio(
    sodium_me_l: ArrayLike, calcium_me_l: ArrayLike, magnesium_me_l: ArrayLike
) -> NDArray[np.float64]:
    """Return SAR = Na / sqrt((Ca + Mg) / 2) of a soil extract or a water. [me/L -> -]."""
    sodium, calcium, magnesium = (
        np.asarray(value, dtype=np.float64) for value in (sodium_me_l, calcium_me_l, magnesium_me_l)
    )
    return np.asarray(sodium / np.sqrt((calcium + magnesium) / 2.0))


def exchange_capacity_cmol_kg(layer: PitLayer) -> float | None:
    """Return the cation exchange capacity: as measured, else the sum of all exchangeable ions.

    The sum needs calcium, magnesium, potassium, sodium and acidity; None when one is
    missing, but for the acidity of a soil without acid: pH 5.5 or more in KCl.
    """
    if layer.cec_cmol_kg is not None:
        return layer.cec_cmol_kg
    acidity = layer.acidity_cmol_kg
    if acidity is None and layer.ph is not None and _is_without_acid(layer):
        acidity = 0.0
    ions = (
        layer.calcium_cmol_kg,
        layer.magnesium_cmol_kg,
        layer.potassium_cmol_kg,
        layer.sodium_cmol_kg,
        acidity,
    )
    if any(ion is None for ion in ions):
        return None
    return float(sum(ion for ion in ions if ion is not None))


def exchangeable_sodium_pct(layer: PitLayer) -> float | None:
    """Return ESP, sodium's share of the exchange capacity; None when it can't be known. [%]."""
    capacity = exchange_capacity_cmol_kg(layer)
    if layer.sodium_cmol_kg is None or not capacity:
        return None
    return min(100.0, 100.0 * layer.sodium_cmol_kg / capacity)


def salinity(layer: PitLayer) -> Rated | None:
    """Rate a layer by its ECe and paste resistance, the graver of the two.

    A conductivity of another extract, or of one not named, gives no class: turning it
    into ECe needs a calibration for the soil.
    """
    found = []
    if layer.conductivity_ds_m is not None and layer.conductivity_method == "ECe":
        found.append(rated("ECe", layer.conductivity_ds_m))
    if layer.resistance_ohm is not None:
        found.append(rated("resistance", layer.resistance_ohm))
    return _gravest(found, SALINITY_ORDER)


def sodicity(layer: PitLayer) -> Rated | None:
    """Rate a layer by its exchangeable sodium and its SAR, the graver of the two."""
    found = []
    share = exchangeable_sodium_pct(layer)
    if share is not None:
        found.append(rated("ESP", share))
    if layer.sodium_adsorption_ratio is not None:
        found.append(rated("SAR", layer.sodium_adsorption_ratio))
    return _gravest(found, SODICITY_ORDER)


NO_ACID_PH_KCL = 5.5
"""From this pH in KCl exchangeable acidity is next to nothing, and no lime is due."""


def _is_without_acid(layer: PitLayer) -> bool:
    return layer.ph_method == "KCl" and (layer.ph or 0.0) >= NO_ACID_PH_KCL


def _gravest(found: list[Rated], order: tuple[str, ...]) -> Rated | None:
    return max(found, key=lambda one: order.index(one.name), default=None)
