"""One soil pit worked out: what each layer holds, how deep roots go, what is not known."""

from dataclasses import dataclass
from functools import cached_property

from aanplant.pits import LIMITS, NO_LIMIT, Pit, PitLayer
from aanplant.site import salinity, soil
from aanplant.site.soil_classes import Rated, rated
from aanplant.site.texture import WHOLE_PCT, middles, texture_class

MM_PER_M = 1000.0


@dataclass(frozen=True)
class SoilLayer:
    """A layer of a pit with what follows from its analysis.

    Parameters
    ----------
    measured : PitLayer
        As the pit gives it.
    matter_per_carbon : float
        Organic matter for one part of organic carbon. [-]
    """

    measured: PitLayer
    matter_per_carbon: float

    @property
    def is_by_name(self) -> bool:
        """Whether only the name of its texture is known, and the middle of that class is used."""
        measured = self.measured
        has_analysis = measured.sand_pct is not None and measured.clay_pct is not None
        return not has_analysis and bool(measured.texture)

    @property
    def sand_clay_pct(self) -> tuple[float, float] | None:
        """Sand and clay, by analysis or the middle of the class it is named after. [%]."""
        if self.is_by_name:
            return middles()[self.measured.texture]
        if self.measured.sand_pct is None or self.measured.clay_pct is None:
            return None
        return self.measured.sand_pct, self.measured.clay_pct

    @property
    def clay_pct(self) -> float | None:
        """Clay, also where sand is not known. [%]."""
        return self.sand_clay_pct[1] if self.sand_clay_pct else self.measured.clay_pct

    @property
    def texture(self) -> str:
        """Texture class; "" when it is not known."""
        return texture_class(*self.sand_clay_pct) if self.sand_clay_pct else ""

    @property
    def organic_matter_pct(self) -> float | None:
        """Organic matter as measured, or from organic carbon. [%]."""
        measured = self.measured
        if measured.organic_matter_pct is None and measured.carbon_pct is not None:
            return min(WHOLE_PCT, measured.carbon_pct * self.matter_per_carbon)
        return measured.organic_matter_pct

    @cached_property
    def water(self) -> soil.WaterContents | None:
        """Water contents of the fine earth; None when they can't be known."""
        matter = self.organic_matter_pct
        if self.sand_clay_pct is None or matter is None:
            return None
        natural = soil.water_contents(*self.sand_clay_pct, matter)
        density = self.measured.bulk_density_t_m3
        return natural if density is None else soil.at_density(natural, density)

    @property
    def bulk_density_t_m3(self) -> float | None:
        """Bulk density of the fine earth: as measured, else by texture. [t/m3]."""
        if self.measured.bulk_density_t_m3 is not None:
            return self.measured.bulk_density_t_m3
        return float(self.water.bulk_density_t_m3) if self.water is not None else None

    @property
    def stones_volume_pct(self) -> float | None:
        """Stones by volume of the whole soil, also where they were weighed. [%]."""
        weight, density = self.measured.stones_weight_pct, self.bulk_density_t_m3
        if self.measured.stones_volume_pct is not None or weight is None or density is None:
            return self.measured.stones_volume_pct
        return float(soil.stones_by_volume_pct(weight, density))

    @property
    def available_mm_m(self) -> float | None:
        """Available water in a metre of the whole soil, stones included. [mm/m]."""
        if self.missing or self.water is None or self.stones_volume_pct is None:
            return None
        share = soil.available_with_stones(self.water.available, self.stones_volume_pct)
        return float(share) * MM_PER_M

    @property
    def conductivity_mm_h(self) -> float | None:
        """Saturated conductivity of the whole soil; None when it can't be known. [mm/h]."""
        if self.missing or self.water is None or self.stones_volume_pct is None:
            return None
        stony = soil.conductivity_with_stones(self.stones_volume_pct)
        return float(self.water.conductivity_mm_h * stony)

    @property
    def missing(self) -> tuple[str, ...]:
        """What must be measured before its water is known."""
        wanted = []
        if self.sand_clay_pct is None:
            wanted.append("sand and clay")
        if self.organic_matter_pct is None:
            wanted.append("organic matter")
        measured = self.measured
        if measured.stones_volume_pct is None and measured.stones_weight_pct is None:
            wanted.append("stones")
        if self.water is not None and not self.water.is_in_range:
            wanted.append("a soil within the range of the equations")
        return tuple(wanted)

    @property
    def salinity(self) -> Rated | None:
        """How salty it is."""
        return salinity.salinity(self.measured)

    @property
    def sodicity(self) -> Rated | None:
        """How sodic it is."""
        return salinity.sodicity(self.measured)


@dataclass(frozen=True)
class Profile:
    """A pit worked out.

    Parameters
    ----------
    pit : Pit
        As dug.
    layers : tuple of SoilLayer
        From the surface down.
    rooting_depth_m : float
        Depth to which water is counted where nothing stops the roots. [m]
    """

    pit: Pit
    layers: tuple[SoilLayer, ...]
    rooting_depth_m: float

    @property
    def depth_m(self) -> float | None:
        """Effective depth: to the limiting layer or the water table. [m].

        None when the pit does not say whether it met a limiting layer.
        """
        pit = self.pit
        if not pit.limiting_kind:
            return None
        stops = [pit.depth_m, pit.limiting_depth_m, pit.water_table_m]
        return min(stop for stop in stops if stop is not None)

    @property
    def is_deeper(self) -> bool:
        """Whether the pit ended before the depth did: it is at least ``depth_m``."""
        pit = self.pit
        is_open = pit.limiting_kind == NO_LIMIT and pit.limiting_depth_m is None
        return is_open and (pit.water_table_m is None or pit.water_table_m > pit.depth_m)

    @property
    def depth_class(self) -> Rated | None:
        """Class of the effective depth."""
        return None if self.depth_m is None else rated("depth", self.depth_m)

    @property
    def water_depth_m(self) -> float | None:
        """Depth to which available water is counted. [m]."""
        return None if self.depth_m is None else min(self.rooting_depth_m, self.depth_m)

    @property
    def counted(self) -> tuple[tuple[SoilLayer, float], ...]:
        """Layers within the depth that is counted, with their thickness in it. [m]."""
        bottom_m = self.water_depth_m
        if bottom_m is None:
            return ()
        parts = (
            (layer, min(layer.measured.bottom_m, bottom_m) - layer.measured.top_m)
            for layer in self.layers
        )
        return tuple((layer, thickness_m) for layer, thickness_m in parts if thickness_m > 0)

    @property
    def available_water_mm(self) -> float | None:
        """Available water to ``water_depth_m``; None when a layer's is not known. [mm]."""
        return self.summed("available_mm_m")

    def summed(self, name: str) -> float | None:
        """Add a number of the layers, times their thickness, over the counted depth."""
        total = 0.0
        for layer, thickness_m in self.counted:
            value = getattr(layer, name)
            if value is None:
                return None
            total += value * thickness_m
        return total if self.counted else None

    def mean(self, name: str) -> float | None:
        """Return the mean of a number of the layers over the counted depth."""
        total = self.summed(name)
        return None if total is None or not self.water_depth_m else total / self.water_depth_m

    @property
    def missing(self) -> tuple[str, ...]:
        """What must be measured before its available water is known, each thing once."""
        if self.pit.limiting_kind not in (*LIMITS, NO_LIMIT):
            return ("whether a limiting layer was met",)
        return tuple(dict.fromkeys(word for layer, _ in self.counted for word in layer.missing))


def work_out(pit: Pit, *, rooting_depth_m: float, matter_per_carbon: float) -> Profile:
    """Work out a pit.

    Parameters
    ----------
    pit : Pit
        As dug.
    rooting_depth_m : float
        Depth to which water is counted where nothing stops the roots. [m]
    matter_per_carbon : float
        Organic matter for one part of organic carbon. [-]
    """
    layers = tuple(SoilLayer(layer, matter_per_carbon) for layer in pit.layers)
    return Profile(pit, layers, rooting_depth_m)
