"""The ground of one block: outline in metres, area, grid, and what stands in the way."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely import union_all
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.inputs import Exclusion, Inputs, Outline
from aanplant.site.boundary import CleanOutline, ellipsoidal_area_m2, to_polygon
from aanplant.site.climate import Climate, survey_climate
from aanplant.site.frame import Frame
from aanplant.site.grid import SetOutGrid, choose_grid
from aanplant.site.ground import GroundShape
from aanplant.site.ground_survey import survey_ground
from aanplant.site.heights import grid_heights
from aanplant.site.history import History, survey_history
from aanplant.site.permissions import Permissions, survey_permissions
from aanplant.site.soil_survey import SoilSurvey, survey_soil
from aanplant.site.station import serving_weather
from aanplant.site.sunlight import Sunlight, survey_sunlight
from aanplant.site.terrain import Terrain
from aanplant.working import Finding, Input, Working

_ROUND_ARC = 32


@dataclass(frozen=True)
class Site:
    """The ground of one block.

    Parameters
    ----------
    name : str
        Name of the block.
    frame : Frame
        Its own grid.
    grid : SetOutGrid
        Grid of the set-out files.
    boundary : Polygon
        Cleaned outline in the frame. [m]
    exclusions : tuple of Exclusion
        In the frame. [m]
    avoid : geometry
        Where rows must stop, clearances included. [m]
    skip : geometry
        Where rows run on but nothing stands, clearances included. [m]
    base_line : ndarray, shape (n, 2), or None
        Drawn line from which contour rows are spaced, in the frame. [m]
    terrain : Terrain or None
        Heights around the block, in the frame; None when none are known.
    ground : GroundShape or None
        Slopes and low places of the ground on which rows may stand.
    figures, findings
        What the stage has to say.
    history : History, optional
        What the land carried before.
    permissions : Permissions, optional
        What the law may ask.
    soil : SoilSurvey, optional
        Pits and soil zones; None when no pit was dug.
    sunlight : Sunlight, optional
        How long the days are and how much sunlight they bring.
    climate : Climate, optional
        Heat, cold, frost, and when to plant; None when no weather serves the block.
    """

    name: str
    frame: Frame
    grid: SetOutGrid
    boundary: Polygon
    exclusions: tuple[Exclusion, ...]
    avoid: BaseGeometry
    skip: BaseGeometry
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]
    terrain: Terrain | None = None
    ground: GroundShape | None = None
    history: History | None = None
    permissions: Permissions | None = None
    soil: SoilSurvey | None = None
    sunlight: Sunlight | None = None
    base_line: NDArray[np.float64] | None = None
    climate: Climate | None = None

    @property
    def field(self) -> BaseGeometry:
        """The outline less what rows must stop for. [m]."""
        return self.boundary.difference(self.avoid)


def survey(brief: Brief, inputs: Inputs) -> Site:
    """Turn what was read into the ground of the block.

    Raises
    ------
    InputError
        If the outline is no field, the set-out grid is not made for this place, or the
        heights are not those of this field.
    """
    frame = frame_of(inputs.outline)
    cleaned = to_polygon(inputs.outline, frame)
    terrain = None
    if inputs.heights is not None:
        # The frame's scale needs the height, and placing heights needs a frame: at height 0
        # first. Frames of two heights differ by their scale alone.
        terrain = grid_heights(inputs.heights, frame, cleaned.polygon)
        frame = replace(frame, height_m=round(terrain.mean_height_m, 1))
        terrain = terrain.scaled(frame.scale)
        cleaned = to_polygon(inputs.outline, frame)
    grid = choose_grid(inputs.set_out_grid, frame, _place_of_grid(brief))
    exclusions = tuple(
        replace(item, geometry=frame.geometry_from_lonlat(item.geometry))
        for item in inputs.exclusions
    )
    near = tuple(item for item in exclusions if _reach(item).intersects(cleaned.polygon))
    site = Site(
        name=brief.block.name,
        frame=frame,
        grid=grid,
        boundary=cleaned.polygon,
        exclusions=exclusions,
        avoid=union_all([_reach(item) for item in near if item.treatment == "avoid"]),
        skip=union_all([_reach(item) for item in near if item.treatment == "skip"]),
        figures=(),
        findings=_findings(brief, cleaned, exclusions, near),
        terrain=terrain,
        base_line=None if inputs.base_line is None else frame.from_lonlat(inputs.base_line),
    )
    own = _figures(brief, site, inputs)
    soil = survey_soil(brief, inputs, frame=frame, boundary=site.boundary, field=site.field)
    history = survey_history(brief)
    area = next(figure for figure in own if figure.key == "site.area")
    ground = survey_ground(brief, inputs.heights, terrain, site.field, area)
    permissions = survey_permissions(brief, ground.shape.percent if ground.shape else None)
    weather, station_findings = serving_weather(brief, inputs.weather, frame)
    sunlight = survey_sunlight(weather, frame)
    climate = survey_climate(brief, weather, frame, site.field.area / 1e4)
    perhaps = (soil, ground, sunlight, climate, history, permissions)
    topics = [topic for topic in perhaps if topic is not None]
    return replace(
        site,
        ground=ground.shape,
        history=history,
        permissions=permissions,
        soil=soil,
        sunlight=sunlight,
        climate=climate,
        figures=(
            *own,
            *(item for topic in topics for item in topic.figures),
        ),
        findings=(
            *site.findings,
            *station_findings,
            *(item for topic in topics for item in topic.findings),
        ),
    )


def frame_of(outline: Outline) -> Frame:
    """Centre the frame on the middle of the outline, rounded to a steady place; height 0."""
    ring = outline.rings[0]
    west, south = ring.min(axis=0)
    east, north = ring.max(axis=0)
    return Frame(round(float(west + east) / 2.0, 4), round(float(south + north) / 2.0, 4))


def _place_of_grid(brief: Brief) -> str:
    return "brief.toml: block.set_out_grid" if brief.block.set_out_grid else "estate.toml: grid"


def _origin_of_grid(brief: Brief, inputs: Inputs) -> str:
    if brief.block.set_out_grid:
        return "brief:block.set_out_grid"
    return "file:estate.toml" if inputs.set_out_grid else "default:block.set_out_grid"


def _reach(item: Exclusion) -> BaseGeometry:
    return item.geometry.buffer(item.reach_m, quad_segs=_ROUND_ARC)


def _figures(brief: Brief, site: Site, inputs: Inputs) -> tuple[Working, ...]:
    frame_area_m2 = site.boundary.area
    rings = [site.boundary.exterior, *site.boundary.interiors]
    areas = [ellipsoidal_area_m2(site.frame.to_lonlat(np.asarray(ring.coords))) for ring in rings]
    ellipsoid_m2 = areas[0] - sum(areas[1:])
    grid_polygon = Polygon(
        site.grid.from_frame(np.asarray(rings[0].coords)),
        [site.grid.from_frame(np.asarray(ring.coords)) for ring in rings[1:]],
    )
    height = Input(
        "height",
        site.frame.height_m,
        "m",
        "measured",
        "no-heights" if site.terrain is None else "triangles",
    )
    ellipsoid = Working(
        "site.area_ellipsoid",
        ellipsoid_m2 / 1e4,
        "ha",
        (Input("outline", inputs.outline.where, "", "file:" + inputs.outline.where),),
        "geodesic",
    )
    return (
        ellipsoid,
        Working(
            "site.area_grid",
            grid_polygon.area / 1e4,
            "ha",
            (
                Input(
                    "grid",
                    f"{site.grid.code}, {site.grid.name}",
                    "",
                    _origin_of_grid(brief, inputs),
                ),
            ),
            "proj",
        ),
        Working(
            "site.area",
            frame_area_m2 / 1e4,
            "ha",
            (ellipsoid.as_input("area_ellipsoid"), height),
            "proj",
        ),
        Working(
            "site.perimeter",
            float(site.boundary.length),
            "m",
            (Input("outline", inputs.outline.where, "", "file:" + inputs.outline.where),),
            "measured",
        ),
        Working(
            "site.area_avoided",
            float(site.boundary.intersection(site.avoid).area) / 1e4,
            "ha",
            (
                Input(
                    "exclusions",
                    sum(item.treatment == "avoid" for item in site.exclusions),
                    "",
                    "measured",
                ),
            ),
            "measured",
        ),
    )


def _findings(
    brief: Brief,
    cleaned: CleanOutline,
    exclusions: tuple[Exclusion, ...],
    near: tuple[Exclusion, ...],
) -> tuple[Finding, ...]:
    found = []
    if not brief.block.heights:
        found.append(Finding("site", "note", "site.no_heights", source="brief"))
    if cleaned.points_kept < cleaned.points_read:
        found.append(
            Finding(
                "site",
                "note",
                "site.outline_cleaned",
                {
                    "read": cleaned.points_read,
                    "kept": cleaned.points_kept,
                    "gap": (cleaned.gap_closed_m, "m"),
                },
                "site.area",
            )
        )
    found.extend(
        Finding("site", "care", "site.exclusion_outside", {"name": item.name, "kind": item.kind})
        for item in exclusions
        if item not in near
    )
    return tuple(found)
