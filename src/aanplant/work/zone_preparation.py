"""What is done to the soil of one zone: how deep it is loosened, and what is spread on it."""

from dataclasses import dataclass

from aanplant.brief import CHOOSE
from aanplant.brief.preparation import Preparation
from aanplant.site.zones import Zone
from aanplant.work.gypsum import MOST_T_HA
from aanplant.work.gypsum_need import GypsumNeed, gypsum_need
from aanplant.work.layer_slices import NOT_NEEDED, Slice, slices
from aanplant.work.lime_need import LimeNeed, lime_need
from aanplant.work.loosening import Loosening, choose_implement, loosening_at
from aanplant.work.nutrient_needs import NutrientNeed, phosphorus_need, potassium_need

SURFACE_M = 0.3
"""Without deep loosening, amendments are worked into this much of the surface, or to where
something harmful begins. [m]"""
MOST_LIME_IN_ALL_T_HA = 15.0
"""More lime than this over all layers is for an adviser to confirm. [t/ha]"""

_ROUNDING_M = 1e-9

Lime = tuple[Slice, LimeNeed]
Gypsum = tuple[Slice, GypsumNeed]
Nutrient = tuple[Slice, NutrientNeed]


@dataclass(frozen=True)
class ZonePreparation:
    """One zone.

    Parameters
    ----------
    number : int
        From 1, as in the figures of the soil.
    zone : Zone
        Part of the field with one soil.
    loosening : Loosening or None
        None without a pit.
    implement : str
        What loosens it; "" without a pit.
    mix_m : float
        Depth to which lime and gypsum are mixed, 0 without a pit. [m]
    lime, gypsum, phosphorus, potassium
        Needs of each slice, from the surface down.
    gypsum_most_t_ha : float
        Pure gypsum in the most that is spread at once. [t/ha]
    """

    number: int
    zone: Zone
    loosening: Loosening | None = None
    implement: str = ""
    mix_m: float = 0.0
    lime: tuple[Lime, ...] = ()
    gypsum: tuple[Gypsum, ...] = ()
    phosphorus: tuple[Nutrient, ...] = ()
    potassium: tuple[Nutrient, ...] = ()
    gypsum_most_t_ha: float = MOST_T_HA

    @property
    def lime_t_ha(self) -> float:
        """Pure carbonate over all slices that have a rate. [t/ha]."""
        return sum(need.rate_t_ha or 0.0 for _, need in self.lime)

    @property
    def lime_doubts(self) -> tuple[str, ...]:
        """What an adviser must confirm before lime is ordered."""
        found = [f"{part.name}: {doubt}" for part, need in self.lime for doubt in need.doubts]
        found.extend(
            f"{part.name}: no rate without {need.why_none}"
            for part, need in self.lime
            if need.rate_t_ha is None
        )
        if self.lime_t_ha > MOST_LIME_IN_ALL_T_HA:
            found.append(f"more than {MOST_LIME_IN_ALL_T_HA:g} t/ha in all")
        return tuple(found)

    @property
    def is_dolomitic(self) -> bool:
        """Whether any slice wants magnesium; one product is spread on a zone."""
        return any(need.is_dolomitic for _, need in self.lime)

    @property
    def gypsum_full_t_ha(self) -> float:
        """Pure gypsum over all slices, before the cap. [t/ha]."""
        return sum(need.rate_t_ha or 0.0 for _, need in self.gypsum)

    @property
    def gypsum_t_ha(self) -> float:
        """Pure gypsum, at most what ten tonnes as delivered hold. [t/ha]."""
        return min(self.gypsum_most_t_ha, self.gypsum_full_t_ha)

    @property
    def gypsum_doubts(self) -> tuple[str, ...]:
        """What an adviser must confirm before gypsum is ordered."""
        return tuple(
            f"{part.name}: sodic, and not loosened through: mixed in or left to water?"
            for part, need in self.gypsum
            if need.rate_t_ha and part.top_m + part.thickness_m > self.mix_m + _ROUNDING_M
        )

    @property
    def phosphorus_kg_ha(self) -> float:
        """Phosphorus over all slices, none where any slice holds too much. [kg/ha]."""
        if any(need.why_none == "too high" for _, need in self.phosphorus):
            return 0.0
        return sum(need.rate_kg_ha or 0.0 for _, need in self.phosphorus)

    @property
    def potassium_kg_ha(self) -> float:
        """Potassium over all slices. [kg/ha]."""
        return sum(need.rate_kg_ha or 0.0 for _, need in self.potassium)

    @property
    def unknown(self) -> tuple[str, ...]:
        """What was not measured and left gypsum, phosphorus or potassium without a rate."""
        needs = (
            *((part, need.why_none) for part, need in self.gypsum),
            *((part, need.why_none) for part, need in self.phosphorus),
            *((part, need.why_none) for part, need in self.potassium),
        )
        return tuple(
            dict.fromkeys(
                f"{part.name}: {why}" for part, why in needs if why and why not in NOT_NEEDED
            )
        )


def prepare_zone(number: int, zone: Zone, rules: Preparation) -> ZonePreparation:
    """Work out one zone.

    Parameters
    ----------
    number : int
        From 1.
    zone : Zone
        Part of the field; without a pit nothing is reckoned for it.
    rules : Preparation
        Settings of the brief.
    """
    if zone.profile is None:
        return ZonePreparation(number, zone)
    asked = None if rules.loosening_depth == CHOOSE else float(rules.loosening_depth)
    allowed = bool(rules.depth_confirmed_by)
    loosening, surface = (
        loosening_at(
            zone.profile,
            wanted_m,
            gypsum_trigger_pct=rules.gypsum_trigger,
            adviser_allows=allowed,
        )
        for wanted_m in (asked, SURFACE_M)
    )
    worked_m = max(surface.depth_m, loosening.depth_m)
    mix_m = min(rules.amend_depth, worked_m)
    layers, density = zone.profile.layers, rules.bulk_density
    parts = slices(layers, mix_m, density)
    shallow = slices(layers, min(rules.phosphorus_depth, worked_m), density)
    lime = tuple((part, lime_need(part, rules)) for part in parts)
    deep_lime = any((need.rate_t_ha or 0.0) > 0 for part, need in lime if part.top_m >= SURFACE_M)
    return ZonePreparation(
        number,
        zone,
        loosening,
        choose_implement(loosening.depth_m, is_acid=deep_lime)
        if rules.implement == CHOOSE
        else rules.implement,
        mix_m,
        lime,
        # Gypsum also moves down with water, so sodic layers below the loosening count too.
        tuple(
            (part, gypsum_need(part, rules)) for part in slices(layers, rules.amend_depth, density)
        ),
        tuple((part, phosphorus_need(part)) for part in shallow),
        tuple((part, potassium_need(part)) for part in shallow),
        MOST_T_HA * rules.gypsum_purity * (1.0 - rules.gypsum_moisture),
    )
