"""Sunlight on the rows of a block: how much they take, and how much the fruit gets."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.site import Site
from aanplant.site.light import LEVEL, Hedge, RowLight, row_light
from aanplant.site.sun import day_length_h
from aanplant.site.sunlight import DAYS_IN_MONTH, MID_MONTH_DAYS, Sunlight, survey_sunlight
from aanplant.site.terrain import Terrain
from aanplant.stock import Stock

Numbers = NDArray[np.float64]

RIPENING_STEP_DAYS = 5
"""From one day looked at to the next while fruit ripens: the sun moves a degree or two."""
YEAR_STRETCHES = 24
"""Whole hours."""
RIPENING_STRETCHES = 48
"""Half hours, as a neighbour's shade comes over the fruit at one moment."""
SAMPLES = 2_000
"""About as many places of a field are asked for their slope."""
KEPT = 6
"""Answers remembered: a changed weight asks for the same ones again."""
DAYS_A_YEAR = 365
TROPIC_DEG = 23.5
"""Nearer to the equator vines ripen in any month."""
HALF_A_SEASON = 100
"""Days to either side of the usual ripening in which berries soften anywhere (judgement)."""
LONGEST_RIPENING_DAYS = 150
"""Late harvests hang no longer than this after the berries soften (judgement)."""
_SOUTH = {"growing_from": 244, "growing_to": 90, "ripening": 15, "harvest": 69}
_NORTH = {"growing_from": 60, "growing_to": 273, "ripening": 206, "harvest": 263}
"""1 September to 31 March and 15 January to 10 March; in the north 1 March to 30 September
and 25 July to 20 September (judgement)."""


@dataclass(frozen=True)
class RowSunlight:
    """Sunlight on the rows of a block at some bearings.

    Parameters
    ----------
    year : RowLight
        A day in the middle of each month.
    ripening : RowLight
        Days from ripening to harvest.
    growing_days : ndarray, shape (12,)
        Days of the growing season in each month.
    ripening_days : ndarray, shape (n_days,)
        How many days each day of ``ripening`` stands for.
    """

    year: RowLight
    ripening: RowLight
    growing_days: Numbers
    ripening_days: Numbers

    @property
    def season_share(self) -> Numbers:
        """Share of the growing season's light that the rows take, shape (n_bearings,). [-]."""
        return self.year.share(self.growing_days)

    @property
    def afternoon_load_mj_m2(self) -> Numbers:
        """Direct afternoon sun on the fruit, ripening to harvest, shape (n_bearings,). [MJ/m2].

        On the side that gets more of it: the west-looking one, but for rows near east and west.
        """
        return np.asarray(self._on_fruit("afternoon").max(axis=1))

    @property
    def morning_load_mj_m2(self) -> Numbers:
        """Direct morning sun on the fruit of the side that gets more of it. [MJ/m2]."""
        return np.asarray(self._on_fruit("morning").max(axis=1))

    @property
    def afternoon_side_deg(self) -> Numbers:
        """Azimuth that the side with more afternoon sun looks to, shape (n_bearings,). [deg]."""
        wall = self._on_fruit("afternoon").argmax(axis=1)
        return np.asarray(self.ripening.wall_facing_deg[np.arange(len(wall)), wall])

    def table(self) -> list[dict[str, float | int]]:
        """One line a month for the first bearing: light of a day in its middle, by wall."""
        year, sky = self.year, self.year.sky
        lines: list[dict[str, float | int]] = []
        for month in range(len(MID_MONTH_DAYS)):
            day = np.zeros(len(MID_MONTH_DAYS))
            day[month] = 1.0
            line: dict[str, float | int] = {
                "month": month + 1,
                "day_length_h": float(day_length_h(MID_MONTH_DAYS[month], sky.latitude_deg)),
                "light_mj_m2": float((year.beam_mj_m2 + year.sky_mj_m2)[month].sum()),
                "taken_pct": float(np.nan_to_num(year.share(day)[0])) * 100.0,
                "taken_of_direct_pct": float(np.nan_to_num(year.share(day, of="beam")[0])) * 100.0,
            }
            for when in ("morning", "afternoon"):
                walls = year.on_walls(day, when=when)[0]
                for wall, facing in enumerate(("right", "left")):
                    line[f"{facing}_wall_{when}_mj_m2"] = float(walls[wall])
            lines.append(line)
        return lines

    def _on_fruit(self, when: str) -> Numbers:
        return self.ripening.on_walls(self.ripening_days, when=when, at="fruit")


def rows_in_sun(brief: Brief, site: Site, stock: Stock, bearing_deg: ArrayLike) -> RowSunlight:
    """Reckon the sunlight on rows of these bearings at this site, its mean slope with it.

    Raises
    ------
    InputError
        If the brief's canopy does not fit its rows.
    """
    gradient = mean_gradient(slopes_over(site.terrain, site.field))
    sunlight = site.sunlight or survey_sunlight(None, site.frame)
    return row_sunlight(brief, sunlight, hedge_of(brief, stock), bearing_deg, gradient)


def row_sunlight(
    brief: Brief, sunlight: Sunlight, hedge: Hedge, bearing_deg: ArrayLike,
    gradient: tuple[float, float] = LEVEL,
) -> RowSunlight:  # fmt: skip
    """Reckon the sunlight on a block's rows, shape of each result by bearing.

    Parameters
    ----------
    brief : Brief
        Whose growing season and ripening count.
    sunlight : Sunlight
        Of the block.
    hedge : Hedge
        See ``hedge_of``.
    bearing_deg : array_like, shape (n_bearings,)
        Of the rows. [deg]
    gradient : tuple of float
        Mean rise of the ground to the east and to the north. [-]
    """
    days, standing_for = _ripening(brief, sunlight.latitude_deg)
    measured = sunlight.monthly_mj_m2
    monthly = None if measured is None else tuple(measured.tolist())
    bearings = tuple(np.atleast_1d(np.asarray(bearing_deg, dtype=np.float64)).tolist())

    def light(on_days: Numbers, stretches: int) -> RowLight:
        return _light(
            latitude_deg=sunlight.latitude_deg,
            monthly_mj_m2=monthly,
            days=tuple(on_days.tolist()),
            stretches=stretches,
            hedge=hedge,
            bearings_deg=bearings,
            gradient=gradient,
        )

    return RowSunlight(
        year=light(MID_MONTH_DAYS, YEAR_STRETCHES),
        ripening=light(days, RIPENING_STRETCHES),
        growing_days=_growing(brief, sunlight.latitude_deg),
        ripening_days=standing_for,
    )


@lru_cache(KEPT)
def _light(
    *,
    latitude_deg: float,
    monthly_mj_m2: tuple[float, ...] | None,
    days: tuple[float, ...],
    stretches: int,
    hedge: Hedge,
    bearings_deg: tuple[float, ...],
    gradient: tuple[float, float],
) -> RowLight:
    """Light on rows over some days of the year."""
    monthly = None if monthly_mj_m2 is None else np.array(monthly_mj_m2)
    sky = Sunlight(latitude_deg, monthly).sky(days, stretches)
    return row_light(sky, hedge, bearings_deg, gradient=gradient)


def hedge_of(brief: Brief, stock: Stock) -> Hedge:
    """Return the brief's grown row.

    Raises
    ------
    InputError
        If it is wider than the rows are apart, or its fruit hangs above its top.
    """
    canopy = brief.canopy
    if canopy.width > stock.row_width_m:
        raise InputError(
            "brief.toml: canopy.width",
            f"{canopy.width:g} m of foliage in rows {stock.row_width_m:g} m apart",
            "foliage no wider than vines.row_width",
        )
    if canopy.fruit_height > canopy.height:
        raise InputError(
            "brief.toml: canopy.fruit_height",
            f"fruit {canopy.fruit_height:g} m above the foot of foliage {canopy.height:g} m high",
            "fruit within the foliage: at most canopy.height",
        )
    return Hedge(
        stock.row_width_m,
        canopy.height,
        canopy.width,
        canopy.leaf_area_index or None,
        canopy.fruit_height,
    )


@lru_cache(KEPT)
def slopes_over(terrain: Terrain | None, field: BaseGeometry) -> Numbers:
    """Rise to the east and north at places spread over a field, shape (n, 2); (0, 2) unknown. [-].

    Places without heights are left out.
    """
    if terrain is None:
        return np.zeros((0, 2))
    west, south, east, north = field.bounds
    step = max(np.sqrt(field.area / SAMPLES), 0.5)
    x, y = np.meshgrid(np.arange(west + step / 2, east, step),
                       np.arange(south + step / 2, north, step))  # fmt: skip
    inside = shapely.contains_xy(field, x.ravel(), y.ravel())
    slopes = terrain.gradient(np.column_stack([x.ravel(), y.ravel()])[inside])
    return np.asarray(slopes[np.isfinite(slopes).all(axis=1)])


def mean_gradient(slopes: Numbers) -> tuple[float, float]:
    """Mean rise of the ground to the east and north; level where it is not known. [-]."""
    if not len(slopes):
        return LEVEL
    east, north = slopes.mean(axis=0)
    return float(east), float(north)


def day_number(brief: Brief, key: str, latitude_deg: float) -> int:
    """Day of the year of a key of ``[canopy]``, or of its default on this side of the equator."""
    text = brief.setting(f"canopy.{key}")
    if not text:
        return (_SOUTH if latitude_deg < 0.0 else _NORTH)[key]
    month, day = int(text[:2]), int(text[3:])
    return int(DAYS_IN_MONTH[: month - 1].sum()) + day


def _ripening(brief: Brief, latitude_deg: float) -> tuple[Numbers, Numbers]:
    """Days from ripening to harvest, and how many each stands for."""
    first = day_number(brief, "ripening", latitude_deg)
    length = _length(first, day_number(brief, "harvest", latitude_deg))
    _refuse_odd_ripening(brief, first, length, latitude_deg)
    starts = np.arange(0, length, RIPENING_STEP_DAYS)
    standing_for = np.minimum(RIPENING_STEP_DAYS, length - starts).astype(np.float64)
    days = first + starts + (standing_for - 1.0) / 2.0
    return (days - 1.0) % DAYS_A_YEAR + 1.0, standing_for


def _refuse_odd_ripening(brief: Brief, first: int, length: int, latitude_deg: float) -> None:
    """Refuse dates of the other side of the equator, and a harvest before the ripening."""
    told = f"ripening {brief.setting('canopy.ripening') or 'by default'}"
    far = abs((first - (_SOUTH if latitude_deg < 0.0 else _NORTH)["ripening"] + 182) % 365 - 182)
    if abs(latitude_deg) > TROPIC_DEG and far > HALF_A_SEASON:
        side = "south" if latitude_deg < 0.0 else "north"
        raise InputError(
            "brief.toml: canopy.ripening", told, f"a day in the warm half of the year of the {side}"
        )
    if length > LONGEST_RIPENING_DAYS:
        harvest = brief.setting("canopy.harvest") or "by default"
        raise InputError(
            "brief.toml: canopy.harvest",
            f"{told} and harvest {harvest}, {length} days apart",
            f"a harvest after the ripening, within {LONGEST_RIPENING_DAYS} days",
        )


def _growing(brief: Brief, latitude_deg: float) -> Numbers:
    """Days of the growing season in each month, shape (12,)."""
    first = day_number(brief, "growing_from", latitude_deg)
    length = _length(first, day_number(brief, "growing_to", latitude_deg))
    days = (first - 1 + np.arange(length)) % DAYS_A_YEAR
    month = np.searchsorted(np.cumsum(DAYS_IN_MONTH), days, side="right")
    return np.bincount(month, minlength=12).astype(np.float64)


def _length(first: int, last: int) -> int:
    """Days from the first to the last, both counted, over the turn of the year where need be."""
    return (last - first) % DAYS_A_YEAR + 1
