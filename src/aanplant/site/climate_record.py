"""All that the recorded weather of one place holds for planning a block."""

from dataclasses import dataclass

from aanplant.site.climate_years import YearTable
from aanplant.site.evapotranspiration import DailyDemand
from aanplant.site.frost import FEWEST_YEARS, SpringFrost, day_of_spring
from aanplant.site.planting_time import PlantingTime
from aanplant.site.protection import FrostDamage, Windbreak
from aanplant.site.trend import Trend
from aanplant.site.weather_quality import CheckedWeather

FROST_THRESHOLDS_C = (-1.0, 0.0, 2.0)
"""In the screen; at 2 °C there is often frost on the ground (common proxy)."""


@dataclass(frozen=True)
class ClimateRecord:
    """Weather, seasons, frost, planting time and protection of one place.

    Parameters
    ----------
    latitude_deg, height_m : float
        Where the weather was measured, or the block's where the file doesn't say. [deg, m]
    checked : CheckedWeather
        The weather and its faults.
    demand : DailyDemand
        Reference evapotranspiration.
    table : YearTable
        Every season.
    frost : SpringFrost
        Last frosts by the brief's threshold.
    trend : Trend or None
        Of the heat sum, October to April; None with too few seasons.
    planting : PlantingTime
        When to plant.
    damage : FrostDamage
        Frost after bud-break, and ways to have less.
    windbreak : Windbreak or None
        None where none is asked about.
    """

    latitude_deg: float
    height_m: float
    checked: CheckedWeather
    demand: DailyDemand
    table: YearTable
    frost: SpringFrost
    trend: Trend | None
    planting: PlantingTime
    damage: FrostDamage
    windbreak: Windbreak | None

    @property
    def is_south(self) -> bool:
        """Whether the place lies south of the equator."""
        return self.latitude_deg < 0.0

    @property
    def frost_after_bud_break(self) -> float | None:
        """Fraction of springs with frost from bud-break on; None with too few springs."""
        if self.frost.years < FEWEST_YEARS:
            return None
        day = day_of_spring(self.planting.bud_break, is_south=self.is_south)
        return self.frost.probability_from(day)
