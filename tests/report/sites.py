"""Invented sites with heights, pits and weather in either hemisphere, planned whole."""

from functools import cache

import numpy as np

from aanplant.brief import parse_brief
from aanplant.heights import Heights
from aanplant.inputs import Inputs, Outline
from aanplant.pits import Pit, PitLayer
from aanplant.plan import Plan, make_plan
from aanplant.site.frame import Frame
from tests.report import blocks
from tests.site.open_weather import made_up

ALL = ("heights", "pits", "weather")
SLOPE_EAST, SLOPE_NORTH = -0.06, 0.09


def weather_at(frame: Frame, years: int = 12):
    """Warm summers, cool winters, a frost late in every third winter or so."""
    noise = np.random.default_rng(3)
    warmest = 20 if frame.latitude_deg < 0 else 202

    def season(day):
        of_year = (day - day.astype("datetime64[Y]")).astype(int)
        return np.cos(2.0 * np.pi * (of_year - warmest) / 365.25)

    return made_up(
        "2010-01-01", f"{2010 + years}-01-01",
        lambda day: 8.0 + 6.0 * season(day) + noise.normal(0, 2.0, len(day)),
        lambda day: 22.0 + 7.0 * season(day) + noise.normal(0, 2.0, len(day)),
        rain_mm=lambda day: np.where(noise.random(len(day)) < 0.2, 9.0, 0.0),
    )  # fmt: skip


def heights_at(frame: Frame) -> Heights:
    """A plane that falls to the south-east, with a bowl two metres deep."""
    x, y = (
        part.ravel() for part in np.meshgrid(np.arange(-160, 161, 10.0), np.arange(-160, 161, 10.0))
    )
    bowl = 6.0 * np.exp(-((x - 40.0) ** 2 + (y + 20.0) ** 2) / 400.0)
    z = 300.0 + SLOPE_EAST * x + SLOPE_NORTH * y - bowl
    return Heights("heights.csv", "spot heights", frame.to_lonlat(np.column_stack([x, y])), z)


def pits_at(frame: Frame, name: str = "P") -> tuple[Pit, ...]:
    """Two pits, one stony over rock, one sandy and open."""
    at = frame.to_lonlat(np.array([[-50.0, 10.0], [50.0, 40.0]]))
    made = []
    for number, (longitude, latitude) in enumerate(at.tolist(), start=1):
        layers = tuple(
            PitLayer(
                top, bottom, sand_pct=70.0, silt_pct=15.0, clay_pct=15.0, ph=4.6, ph_method="KCl",
                stones_volume_pct=30.0 if number == 1 else 4.0, organic_matter_pct=1.2,
                acidity_cmol_kg=0.6, calcium_cmol_kg=2.0, magnesium_cmol_kg=0.6,
                sodium_cmol_kg=0.1, potassium_mg_kg=60.0, where="pits.csv: 2",
            )
            for top, bottom in ((0.0, 0.3), (0.3, 0.7))
        )  # fmt: skip
        limit = (0.7, "rock") if number == 1 else (None, "none")
        made.append(
            Pit(f"{name}{number}", longitude, latitude, layers, *limit, where="pits.csv: 2")
        )
    return tuple(made)


def planned(
    frame: Frame = blocks.SOUTH,
    known: tuple[str, ...] = ALL,
    *,
    name: str = "Kiepersol",
    pit: str = "P",
    years: int = 12,
    until: str | None = None,
) -> Plan:
    """Plan a site with the files that are ``known``."""
    brief = parse_brief(
        '[block]\nname = "?"\nboundary = "b.geojson"\nheights = "heights.csv"\n'
        "[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n[rows]\nbearing = 30\n",
        "brief.toml",
    )
    brief = brief.model_copy(update={"block": brief.block.model_copy(update={"name": name})})
    corners = blocks.rectangle(190.0, 150.0, 8.0)
    outline = Outline("b.geojson", "polygon", (frame.to_lonlat(np.vstack([corners, corners[:1]])),))
    inputs = Inputs(
        outline,
        estate=name if name != "Kiepersol" else "Lowquince",
        pits=pits_at(frame, pit) if "pits" in known else (),
        heights=heights_at(frame) if "heights" in known else None,
        weather=weather_at(frame, years) if "weather" in known else None,
    )
    return make_plan(brief, inputs, until=until)


@cache
def southern() -> Plan:
    """All files, in the south."""
    return planned(blocks.SOUTH)


@cache
def northern() -> Plan:
    """All files, in the north."""
    return planned(blocks.NORTH)
