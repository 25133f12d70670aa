"""The soil that line posts stand in, from the brief or from the weakest soil zone."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from aanplant import tables
from aanplant.brief import Brief
from aanplant.brief.posts import FROM_PITS
from aanplant.site.soil_survey import SoilSurvey

Behaviour = Literal["clay", "sand", "rock"]
WEAKEST = "clay or silt"
SANDY = "sand, silty or clayey sand"
SANDY_TEXTURES = ("sand", "loamy sand", "sandy loam", "sandy clay loam")
"""Textures reckoned as sand; all others, loam among them, as clay or silt (a judgement)."""
PA_PER_KPA = 1000.0
NEWTON_PER_KGF = 9.80665


@dataclass(frozen=True, slots=True)
class PostSoil:
    """What holds the posts.

    Parameters
    ----------
    name : str
        Class of the table of lateral bearing.
    behaves_as : {"clay", "sand", "rock"}
        Which of Broms' methods speaks for it; neither does for rock.
    bearing_pa_per_m : float
        Lateral bearing for a metre of depth, with the increases for lone posts and wind.
        [Pa/m]
    cohesion_pa : float
        Undrained strength of clay. [Pa]
    unit_weight_n_m3 : float
        Weight of the soil. [N/m3]
    friction_deg : float
        Angle of friction of sand. [deg]
    zone : str
        Soil zone it was taken from, "" when the brief or the lack of pits decided.
    source : str
        Source id of the bearing.
    """

    name: str
    behaves_as: Behaviour
    bearing_pa_per_m: float
    cohesion_pa: float
    unit_weight_n_m3: float
    friction_deg: float
    zone: str
    source: str


def post_soil(brief: Brief, survey: SoilSurvey | None, depth_m: float) -> PostSoil:
    """Find the soil that line posts stand in.

    Parameters
    ----------
    brief : Brief
        Names a class, or leaves it to the pits.
    survey : SoilSurvey or None
        Pits and zones; a zone without a pit says nothing, and without any pit the weakest
        class is taken.
    depth_m : float
        To which posts reach. [m]
    """
    rules = brief.posts
    zone, name = "", rules.soil
    if name == FROM_PITS:
        zone, name = _weakest_zone(survey, depth_m)
    row = next(row for row in tables.rows("lateral_bearing.csv") if row["soil"] == name)
    printed = (
        float(row["bearing_kpa_per_m"]) if rules.lateral_bearing is None else rules.lateral_bearing
    )
    return PostSoil(
        name,
        row["behaves_as"],  # type: ignore[arg-type] # a test reads every row
        printed * PA_PER_KPA * rules.isolated_factor * rules.wind_factor,
        rules.cohesion * PA_PER_KPA,
        rules.unit_weight * PA_PER_KPA,
        rules.friction_angle,
        zone,
        row["source"] if rules.lateral_bearing is None else "brief",
    )


def bearing_class(textures: Iterable[str]) -> str:
    """Class of lateral bearing of layers by their textures: sand only where all are sandy."""
    known = [texture for texture in textures if texture]
    return SANDY if known and all(texture in SANDY_TEXTURES for texture in known) else WEAKEST


def pull_out_n(brief: Brief) -> float:
    """Pull that lifted a post set this way out of the ground, in published tests. [N]."""
    return next(
        float(row["pull_out_kgf"]) * NEWTON_PER_KGF
        for row in tables.rows("post_setting.csv")
        if row["set_by"] == brief.posts.set_by
    )


def _weakest_zone(survey: SoilSurvey | None, depth_m: float) -> tuple[str, str]:
    """Name the zone with the weakest soil, and its class; ("", the weakest) without pits."""
    classes = {
        zone.name: bearing_class(
            layer.texture for layer in zone.profile.layers if layer.measured.top_m < depth_m
        )
        for zone in (survey.zones if survey else ())
        if zone.profile is not None
    }
    bearing = {
        row["soil"]: float(row["bearing_kpa_per_m"]) for row in tables.rows("lateral_bearing.csv")
    }
    zone = min(classes, key=lambda name: bearing[classes[name]], default="")
    return zone, classes.get(zone, WEAKEST)
