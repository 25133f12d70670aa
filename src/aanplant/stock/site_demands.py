"""What the ground of a block asks of a rootstock, zone by zone; what nobody measured is None."""

from collections.abc import Callable
from dataclasses import dataclass

from aanplant import tables
from aanplant.pits import PitLayer
from aanplant.site import Site
from aanplant.site.profile import Profile
from aanplant.site.zones import Zone
from aanplant.stock.chlorosis import chlorosis_index

TABLE = "rootstock_demands.csv"
LIMEY_PH = {"KCl": 6.5, "CaCl2": 6.5, "water": 7.0, "": 6.5}
"""Below this pH no free lime lasts in a soil (memory)."""
LEAST_LIME_PCT = 1.0
"""Less active lime than this may be an error of the analysis (judgement)."""
CALCAREOUS_PCT = 5.0
"""The chlorosis index speaks only of soil with clearly some lime; from here it is asked
(judgement)."""
PERCHING = ("dense clay", "hard pan", "sodic", "dispersive")
"""Layers on which water stands after rain."""


@dataclass(frozen=True, slots=True)
class LimeReading:
    """The layer of a pit that asks the most for its lime.

    Parameters
    ----------
    active_lime_pct : float
        Active calcium carbonate. [%]
    iron_mg_kg : float or None
        Iron by oxalate. [mg/kg]
    where : str
        File and line.
    """

    active_lime_pct: float
    iron_mg_kg: float | None
    where: str


@dataclass(frozen=True, slots=True)
class ZoneDemands:
    """What one zone asks of a rootstock; None is not known.

    Parameters
    ----------
    name : str
        Of the zone.
    area_ha : float
        Its area. [ha]
    pit : str
        The pit that stands for it; "" for none.
    where : str
        File and line of the pit.
    lime : LimeReading or None
        Most active lime of the layers that roots reach; 0 where pH rules lime out.
    is_lime_by_ph : bool
        Whether lime was not measured but ruled out by pH.
    index : LimeReading or None
        The layer with the highest chlorosis index; None where it is not asked or not known.
    lacks_iron : bool
        Whether the soil is calcareous and iron was not measured, so the index is not known.
    ece_ds_m : float or None
        Mean conductivity of the saturated extract over the depth of roots. [dS/m]
    wet_rating : float or None
        Least rating for waterlogging; 1 where the soil drains.
    wet_cause : str
        Id of what keeps it wet: a row of the table, "" where it drains or isn't known.
    potential : str
        low, medium, high or unknown.
    ph_kcl : float or None
        Mean pH in KCl (or CaCl2) over the depth of roots.
    contradiction : LimeReading or None
        A layer with lime whose pH says there can be none.
    contradicting_ph : float or None
        The pH of that layer.
    """

    name: str
    area_ha: float
    pit: str = ""
    where: str = ""
    lime: LimeReading | None = None
    is_lime_by_ph: bool = False
    index: LimeReading | None = None
    lacks_iron: bool = False
    ece_ds_m: float | None = None
    wet_rating: float | None = None
    wet_cause: str = ""
    potential: str = "unknown"
    ph_kcl: float | None = None
    contradiction: LimeReading | None = None
    contradicting_ph: float | None = None

    @property
    def chlorosis_index(self) -> float | None:
        """Chlorosis power index of the layer that asks the most."""
        if self.index is None or self.index.iron_mg_kg is None:
            return None
        return float(chlorosis_index(self.index.active_lime_pct, self.index.iron_mg_kg))


def demands_of(site: Site) -> tuple[ZoneDemands, ...]:
    """Return what each soil zone asks, or the block as one that nothing is known of."""
    if site.soil is None:
        return (ZoneDemands(site.name or "the block", float(site.field.area) / 1e4),)
    return tuple(_of_zone(zone) for zone in site.soil.zones)


def table_value(measure: str, when: str) -> float:
    """Return a number of ``rootstock_demands.csv``.

    Raises
    ------
    KeyError
        If there is no such row.
    """
    for row in tables.rows(TABLE):
        if (row["measure"], row["when"]) == (measure, when):
            return float(row["value"])
    raise KeyError((measure, when))


def _of_zone(zone: Zone) -> ZoneDemands:
    profile = zone.profile
    if profile is None:
        return ZoneDemands(zone.name, zone.area_ha)
    layers = [layer for layer, _ in profile.counted] or list(profile.layers)
    measured = [layer.measured for layer in layers]
    lime, by_ph = _lime(measured)
    index, lacks_iron = _index(measured)
    wet_rating, wet_cause = _wetness(zone, profile)
    odd = next((layer for layer in measured if _contradicts(layer)), None)
    return ZoneDemands(
        name=zone.name,
        area_ha=zone.area_ha,
        pit=profile.pit.name,
        where=profile.pit.where,
        lime=lime,
        is_lime_by_ph=by_ph,
        index=index,
        lacks_iron=lacks_iron,
        ece_ds_m=_mean(profile, _ece),
        wet_rating=wet_rating,
        wet_cause=wet_cause,
        potential=zone.potential.name,
        ph_kcl=_mean(profile, _ph_kcl),
        contradiction=None if odd is None else _reading(odd),
        contradicting_ph=None if odd is None else odd.ph,
    )


def _lime(layers: list[PitLayer]) -> tuple[LimeReading | None, bool]:
    """Return the most lime that was measured; 0 by pH; None where a layer may hold more."""
    known = [layer for layer in layers if layer.active_lime_pct is not None]
    others = [layer for layer in layers if layer.active_lime_pct is None]
    if not all(_is_without_lime(layer) for layer in others):
        return None, False
    if not known:
        return LimeReading(0.0, None, layers[0].where), True
    return _reading(max(known, key=lambda layer: layer.active_lime_pct or 0.0)), False


def _is_without_lime(layer: PitLayer) -> bool:
    return layer.ph is not None and layer.ph < LIMEY_PH[layer.ph_method]


def _contradicts(layer: PitLayer) -> bool:
    return (layer.active_lime_pct or 0.0) >= LEAST_LIME_PCT and _is_without_lime(layer)


def _reading(layer: PitLayer) -> LimeReading:
    return LimeReading(layer.active_lime_pct or 0.0, layer.iron_mg_kg, layer.where)


def _index(layers: list[PitLayer]) -> tuple[LimeReading | None, bool]:
    limey = [layer for layer in layers if (layer.active_lime_pct or 0.0) >= CALCAREOUS_PCT]
    known = [_reading(layer) for layer in limey if layer.iron_mg_kg]
    most = max(
        known,
        key=lambda one: float(chlorosis_index(one.active_lime_pct, one.iron_mg_kg or 1.0)),
        default=None,
    )
    return most, len(known) < len(limey)


def _wetness(zone: Zone, profile: Profile) -> tuple[float | None, str]:
    grade = next(
        (aspect.grade for aspect in zone.potential.aspects if aspect.name == "drainage"), "unknown"
    )
    pit = profile.pit
    causes = []
    if pit.limiting_kind == "waterlogged":
        causes.append("waterlogged")
    if pit.limiting_kind in PERCHING:
        causes.append("perched")
    if grade in {"low", "medium"}:
        causes.append(f"drainage {grade}")
    if causes:
        cause = max(causes, key=lambda name: table_value("waterlogging", name))
        return table_value("waterlogging", cause), cause
    return (None, "") if grade == "unknown" else (1.0, "")


def _ece(layer: PitLayer) -> float | None:
    return layer.conductivity_ds_m if layer.conductivity_method == "ECe" else None


def _ph_kcl(layer: PitLayer) -> float | None:
    return layer.ph if layer.ph_method in {"KCl", "CaCl2"} else None


def _mean(profile: Profile, of: Callable[[PitLayer], float | None]) -> float | None:
    """Mean by thickness over the depth of roots; None when a layer's is not known. [as given]."""
    parts = profile.counted or tuple((one, one.measured.thickness_m) for one in profile.layers)
    values = [of(layer.measured) for layer, _ in parts]
    if any(value is None for value in values):
        return None
    depth_m = sum(thickness_m for _, thickness_m in parts)
    known = [value for value in values if value is not None]
    return sum(v * t for v, (_, t) in zip(known, parts, strict=True)) / depth_m
