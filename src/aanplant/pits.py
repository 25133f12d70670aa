"""Soil pits as they were dug and analysed: one layer a sample, with the methods beside the numbers.

What a pit does not say is None or "", never a default. Depths run down from the surface.
"""

from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

PhMethod = Literal["KCl", "water", "CaCl2"]
PH_METHODS: tuple[PhMethod, ...] = ("KCl", "water", "CaCl2")
PHOSPHORUS_TESTS = ("Bray I", "Bray II", "citric acid", "Olsen", "Mehlich III")
SalinityMethod = Literal["ECe", "EC 1:2.5", "EC 1:5"]
SALINITY_METHODS: tuple[SalinityMethod, ...] = ("ECe", "EC 1:2.5", "EC 1:5")
"""Conductivity of the saturated extract (ECe), or of soil in 2.5 or 5 parts of water."""
LIMITS = (
    "rock",
    "hard pan",
    "compaction",
    "dense clay",
    "sodic",
    "dispersive",
    "waterlogged",
    "saline",
    "acid",
    "gravel",
    "other",
)
"""What stops roots at a limiting layer."""
NO_LIMIT = "none"
"""The pit says that no limiting layer was met down to its bottom; "" says nothing."""

POTASSIUM_MG_PER_CMOL = 391.0
SODIUM_MG_PER_CMOL = 229.9
CALCIUM_MG_PER_CMOL = 200.4
MAGNESIUM_MG_PER_CMOL = 121.5
"""Milligrams a kilogram in one cmol(+)/kg: molar mass / charge × 10 (arithmetic)."""


@dataclass(frozen=True, slots=True)
class PitLayer:
    """One layer of a pit; None and "" mean it was not measured.

    Parameters
    ----------
    top_m, bottom_m : float
        Depth of its upper and lower face. [m]
    sand_pct, silt_pct, clay_pct : float or None
        Of the fine earth, by weight; they add to 100 when all are known. [%]
    texture : str
        Texture class as the pit names it, one of ``site.texture.CLASSES``.
    stones_volume_pct, stones_weight_pct : float or None
        Stones and gravel over 2 mm as a share of the whole soil; one of the two. [%]
    bulk_density_t_m3 : float or None
        Of the fine earth, dry. [t/m3]
    organic_matter_pct, carbon_pct : float or None
        By weight; ``carbon_pct`` is organic carbon. Either may be derived from the other. [%]
    ph : float or None
        With its ``ph_method``.
    ph_method : {"KCl", "water", "CaCl2", ""}
        What the soil was shaken in; "" when the pit does not say.
    acidity_cmol_kg : float or None
        Exchangeable acidity (H + Al). [cmol(+)/kg]
    calcium_cmol_kg, magnesium_cmol_kg, sodium_cmol_kg : float or None
        Exchangeable. [cmol(+)/kg]
    potassium_mg_kg : float or None
        Exchangeable. [mg/kg]
    phosphorus_mg_kg : float or None
        With its ``phosphorus_test``. [mg/kg]
    phosphorus_test : str
        One of ``PHOSPHORUS_TESTS``, "" when the pit does not say.
    cec_cmol_kg : float or None
        Cation exchange capacity as measured. [cmol(+)/kg]
    conductivity_ds_m : float or None
        With its ``conductivity_method``. [dS/m]
    conductivity_method : {"ECe", "EC 1:2.5", "EC 1:5", ""}
        "" when the pit does not say.
    resistance_ohm : float or None
        Of the saturated paste. [ohm]
    sodium_adsorption_ratio : float or None
        SAR of the saturated extract. [-]
    active_lime_pct, iron_mg_kg : float or None
        Active CaCO3 [%] and iron extracted with ammonium oxalate [mg/kg].
    buffer_ph : float or None
        pH in a lime buffer, with its ``buffer_method``.
    buffer_method : str
        Such as "SMP", "Mehlich" or "Adams-Evans"; "" when the pit does not say.
    where : str
        File and line, for messages.
    """

    top_m: float
    bottom_m: float
    sand_pct: float | None = None
    silt_pct: float | None = None
    clay_pct: float | None = None
    texture: str = ""
    stones_volume_pct: float | None = None
    stones_weight_pct: float | None = None
    bulk_density_t_m3: float | None = None
    organic_matter_pct: float | None = None
    carbon_pct: float | None = None
    ph: float | None = None
    ph_method: str = ""
    acidity_cmol_kg: float | None = None
    calcium_cmol_kg: float | None = None
    magnesium_cmol_kg: float | None = None
    sodium_cmol_kg: float | None = None
    potassium_mg_kg: float | None = None
    phosphorus_mg_kg: float | None = None
    phosphorus_test: str = ""
    cec_cmol_kg: float | None = None
    conductivity_ds_m: float | None = None
    conductivity_method: str = ""
    resistance_ohm: float | None = None
    sodium_adsorption_ratio: float | None = None
    active_lime_pct: float | None = None
    iron_mg_kg: float | None = None
    buffer_ph: float | None = None
    buffer_method: str = ""
    where: str = ""

    @property
    def thickness_m(self) -> float:
        """Depth from face to face. [m]."""
        return self.bottom_m - self.top_m

    @property
    def potassium_cmol_kg(self) -> float | None:
        """Exchangeable potassium by charge. [cmol(+)/kg]."""
        if self.potassium_mg_kg is None:
            return None
        return self.potassium_mg_kg / POTASSIUM_MG_PER_CMOL


@dataclass(frozen=True, slots=True)
class Pit:
    """One soil pit.

    Parameters
    ----------
    name : str
        As the user numbers it.
    longitude_deg, latitude_deg : float
        Its place on WGS 84. [deg]
    layers : tuple of PitLayer
        From the surface down, without gaps or overlaps.
    limiting_depth_m : float or None
        Depth of the top of the layer that stops roots; None when none was met or noted. [m]
    limiting_kind : str
        One of ``LIMITS``, ``NO_LIMIT`` when the pit met none, "" when it does not say.
    water_table_m : float or None
        Depth of the highest water table seen or marked by mottles; None when there is none
        or it was not noted. [m]
    is_dry : bool
        Whether the pit says that no water table was met; False also when it does not say.
    where : str
        File and line, for messages.
    """

    name: str
    longitude_deg: float
    latitude_deg: float
    layers: tuple[PitLayer, ...]
    limiting_depth_m: float | None = None
    limiting_kind: str = ""
    water_table_m: float | None = None
    is_dry: bool = False
    where: str = ""

    @property
    def depth_m(self) -> float:
        """Depth of the pit, to the bottom of its lowest layer. [m]."""
        return self.layers[-1].bottom_m


@dataclass(frozen=True, slots=True)
class DrawnZone:
    """A soil zone as the user drew it.

    Parameters
    ----------
    name : str
        As the drawing calls it.
    pit : str
        Name of the pit that stands for it; "" when it is to be found by place.
    geometry : shapely geometry
        Polygon in longitude and latitude. [deg]
    where : str
        File and feature, for messages.
    """

    name: str
    pit: str
    geometry: BaseGeometry
    where: str = ""
