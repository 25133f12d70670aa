"""Gypsum of one layer by every printed rule, where it is sodic."""

from collections.abc import Mapping
from dataclasses import dataclass

from aanplant.brief.preparation import Preparation
from aanplant.site.profile import SoilLayer
from aanplant.site.salinity import exchange_capacity_cmol_kg, exchangeable_sodium_pct
from aanplant.work.gypsum import (
    gypsum_by_charge,
    gypsum_handbook_60,
    gypsum_oster,
    gypsum_south_african,
    sodium_to_replace,
)
from aanplant.work.layer_slices import NOT_NEEDED, Slice
from aanplant.work.lime import stone_factor

GYPSUM_CLAY_PCT = 6.0
"""Sand with less clay is not given gypsum (Soil preparation for wine and table grapes)."""


@dataclass(frozen=True, slots=True)
class GypsumNeed:
    """Gypsum of one layer, pure.

    Parameters
    ----------
    rules : mapping of str to float
        Rate by each printed rule. [t/ha]
    esp_pct : float or None
        Sodium on the exchange complex. [%]
    why_none : str
        Why there is no rate; "" when there is one.
    """

    rules: Mapping[str, float]
    esp_pct: float | None = None
    why_none: str = ""

    @property
    def rate_t_ha(self) -> float | None:
        """By the South African rule, None when nobody can say. [t/ha]."""
        if "South African" in self.rules:
            return self.rules["South African"]
        return 0.0 if self.why_none in NOT_NEEDED else None


def asks_for_gypsum(layer: SoilLayer, trigger_pct: float) -> bool:
    """Whether a layer holds more sodium than the trigger, and clay that sodium can disperse.

    The same layers hold the loosening, see ``loosening.harmful_layer``.

    Parameters
    ----------
    layer : SoilLayer
        Worked out.
    trigger_pct : float
        ESP above which gypsum is reckoned. [%]
    """
    share = exchangeable_sodium_pct(layer.measured)
    return share is not None and share > trigger_pct and not is_too_sandy(layer)


def is_too_sandy(layer: SoilLayer) -> bool:
    """Whether a layer has too little clay for gypsum; unknown clay is not."""
    return layer.clay_pct is not None and layer.clay_pct <= GYPSUM_CLAY_PCT


def gypsum_need(part: Slice, rules: Preparation) -> GypsumNeed:
    """Reckon gypsum by all printed rules where a layer is sodic."""
    measured = part.layer.measured
    share = exchangeable_sodium_pct(measured)
    capacity = exchange_capacity_cmol_kg(measured)
    if share is None or capacity is None or measured.sodium_cmol_kg is None:
        return GypsumNeed({}, why_none="exchangeable sodium and the exchange capacity")
    if share <= rules.gypsum_trigger:
        return GypsumNeed({}, share, "not sodic")
    if is_too_sandy(part.layer):
        return GypsumNeed({}, share, "sandy")
    if measured.conductivity_ds_m is not None and not measured.conductivity_method:
        return GypsumNeed({}, share, "the method of the conductivity")
    stones = float(stone_factor(part.stones_pct))
    excess = sodium_to_replace(capacity, share, rules.gypsum_target)
    depth, density = part.thickness_m, part.density_t_m3
    rates = {
        "South African": gypsum_south_african(measured.sodium_cmol_kg, depth),
        "charge": gypsum_by_charge(excess, depth, density),
        "Handbook 60": gypsum_handbook_60(excess, depth),
        "Oster": gypsum_oster(capacity, share, rules.gypsum_target, depth, density),
    }
    return GypsumNeed({name: rate * stones for name, rate in rates.items()}, share)
