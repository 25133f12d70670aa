"""Figures and advice on the shape of the ground."""

from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from aanplant import tables
from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.heights import Heights
from aanplant.site.ground import GroundShape, shape_of, share_with_height
from aanplant.site.slope import slope_classes
from aanplant.site.terrain import Terrain
from aanplant.working import Finding, Input, Working

NO_FIELD_PERCENT = 100.0
"""No field is this steep on the whole: heights in another unit than taken (judgement)."""
STEEP_SPOT_PERCENT = 100.0
"""Steeper than one in one inside a field is a bank, or a wrong height (judgement)."""
COARSE_CELL_M = 12.0
"""Cells wider than this hide gullies and banks (judgement)."""
EROSION_PERCENT, HAZARD_PERCENT = 5.0, 15.0
LEAST_KNOWN_SHARE = 0.5
"""With heights over less of the field than this, its slopes are those of another (judgement)."""
_WHOLE = 0.9995
_SMALL_SHARE = 0.005
_MOST_PERCENT = 50.0


@dataclass(frozen=True)
class Ground:
    """The shape of the ground, None without heights, and what there is to say about it."""

    shape: GroundShape | None = None
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()


def survey_ground(
    brief: Brief,
    heights: Heights | None,
    terrain: Terrain | None,
    field: BaseGeometry,
    area: Working,
) -> Ground:
    """Measure the ground of a block and say what it means.

    Parameters
    ----------
    brief : Brief
        Limits of the section ``ground``.
    heights : Heights or None
        As read.
    terrain : Terrain or None
        Their grid.
    field : shapely Polygon or MultiPolygon
        Ground of the block on which rows may stand. [m]
    area : Working
        Area on the plan at the block's height.

    Raises
    ------
    InputError
        If heights cover less than half of the field, or make it so steep that they must be
        in another unit.
    """
    if heights is None or terrain is None:
        return Ground()
    share = share_with_height(terrain, field)
    if share < LEAST_KNOWN_SHARE:
        raise InputError(
            heights.where,
            f"heights over {100.0 * share:.2g} % of the ground where rows may stand",
            f"heights over {100.0 * LEAST_KNOWN_SHARE:.0f} % of it at least, better over all: a "
            "slope of the rest is not known. Is the file the right one, in the right grid? Leave "
            "block.heights out to plan without",
        )
    shape = shape_of(terrain, field, brief.ground.hollow_depth)
    mean = float(shape.percent.mean())
    if mean > NO_FIELD_PERCENT:
        raise InputError(
            heights.where,
            f"heights in {heights.unit} that make a mean slope of {mean:.0f} %",
            "heights of a field; state their unit in ground.heights_unit, and see that the "
            "columns are not exchanged",
        )
    return Ground(
        shape,
        _figures(brief, heights, terrain, shape, area),
        tuple(_advice(brief, heights, terrain, shape)),
    )


def _figures(
    brief: Brief, heights: Heights, terrain: Terrain, shape: GroundShape, area: Working
) -> tuple[Working, ...]:
    file = Input("heights", f"{heights.where}, {heights.kind}", "", f"file:{heights.where}")
    cell = Working(
        "site.height_cell",
        round((terrain.cell_x_m + terrain.cell_y_m) / 2.0, 3),
        "m",
        (file,),
        "triangles",
    )
    from_grid = (file, cell.as_input("cell"))

    known = Working("site.height_share", 100.0 * shape.known_share, "%", from_grid, "measured")
    mean_slope = float(shape.percent.mean())
    factor = Working("site.surface_factor", shape.factor, "", from_grid, "horn")
    return (
        cell,
        known,
        Working("site.height_min", float(shape.height_m.min()), "m", from_grid, "triangles"),
        Working("site.height_mean", float(shape.height_m.mean()), "m", from_grid, "triangles"),
        Working("site.height_max", float(shape.height_m.max()), "m", from_grid, "triangles"),
        Working("site.slope_mean", mean_slope, "%", from_grid, "horn"),
        Working("site.slope_steepest", float(shape.percent.max()), "%", from_grid, "horn"),
        Working(
            "site.aspect",
            "level" if shape.aspect_deg is None else shape.aspect_deg,
            "deg",
            from_grid,
            "horn",
        ),
        *(
            Working(
                f"site.slope_share.{number}",
                100.0 * float(share),
                "%",
                (
                    *from_grid,
                    Input("from", item.from_percent, "%", "table:slope_classes.csv", item.source),
                ),
                "horn",
                about=item.label,
                message="site.slope_share",
            )
            for number, (item, share) in enumerate(
                zip(slope_classes(), shape.class_shares, strict=True), start=1
            )
        ),
        factor,
        Working(
            "site.area_surface",
            float(area.value) * shape.factor,
            "ha",
            (area.as_input("area"), factor.as_input("surface_factor")),
            "arithmetic",
        ),
        Working(
            "site.hollow_area",
            sum(place.area_m2 for place in shape.low_places) / 1e4,
            "ha",
            (*from_grid, brief.as_input("ground.hollow_depth")),
            "flow-paths",
        ),
        Working("site.upslope_area", shape.gathering.area_m2 / 1e4, "ha", from_grid, "flow-paths"),
    )


def _advice(
    brief: Brief, heights: Heights, terrain: Terrain, shape: GroundShape
) -> Iterator[Finding]:
    yield from _on_the_data(heights, terrain, shape)
    yield from _on_the_slope(brief, shape)
    yield from _on_low_places(brief, shape)


def _on_the_data(heights: Heights, terrain: Terrain, shape: GroundShape) -> Iterator[Finding]:
    if shape.known_share < _WHOLE:
        yield Finding(
            "site",
            "care",
            "site.heights_missing",
            {
                "file": heights.where,
                "share": (round(100.0 * (1.0 - shape.known_share), 1), "%"),
                "known": (round(100.0 * shape.known_share, 1), "%"),
            },
            "site.height_share",
            "measured",
            place=shape.unknown_xy,
        )
    cell_m = max(terrain.cell_x_m, terrain.cell_y_m)
    if cell_m > COARSE_CELL_M:
        yield Finding(
            "site", "note", "site.heights_coarse", {"cell": (round(cell_m, 1), "m")},
            "site.height_cell",
        )  # fmt: skip
    if shape.percent.max() > STEEP_SPOT_PERCENT:
        yield Finding(
            "site",
            "care",
            "site.heights_steep_spot",
            {"steepest": (round(float(shape.percent.max())), "%")},
            "site.slope_steepest",
            place=shape.steepest_xy,
        )


def _on_the_slope(brief: Brief, shape: GroundShape) -> Iterator[Finding]:
    above = [_share_above(shape, limit) for limit in (EROSION_PERCENT, HAZARD_PERCENT)]
    mean = (round(float(shape.percent.mean()), 1), "%")
    if above[0] > 100.0 * _SMALL_SHARE:
        eroding = {"share": (round(above[0]), "%"), "limit": (EROSION_PERCENT, "%"), "mean": mean}
        about = ("site.slope_mean", "slope-classes")
        if above[0] > _MOST_PERCENT:
            yield Finding("site", "care", "site.erosion", eroding, *about)
        else:
            yield Finding("site", "note", "site.erosion", eroding, *about)
    if above[1] > 100.0 * _SMALL_SHARE:
        yield Finding(
            "site",
            "care",
            "site.slope_hazard",
            {"share": (round(above[1], 1), "%"), "limit": (HAZARD_PERCENT, "%")},
            "site.slope_steepest",
            "slope-classes",
            place=shape.steepest_xy,
        )
    for row in tables.rows("slope_limits.csv"):
        limit = float(row["limit_percent"])
        share = _share_above(shape, limit)
        applies = row["soil"] == "any" or brief.ground.listed_soil
        if applies and share > 100.0 * _SMALL_SHARE:
            yield Finding(
                "site",
                "care",
                "site.slope_law",
                {
                    "share": (round(share, 1), "%"),
                    "limit": (limit, "%"),
                    "country": row["country"],
                    "rule": row["rule"],
                    "authority": row["authority"],
                    "certainty": row["certainty"],
                },
                "site.slope_steepest",
                row["source"],
                place=shape.steepest_xy,
            )


def _share_above(shape: GroundShape, limit_percent: float) -> float:
    """Part of the whole block known to be steeper: ground without a height is not counted. [%]."""
    return 100.0 * shape.known_share * float((shape.percent > limit_percent).mean())


def _on_low_places(brief: Brief, shape: GroundShape) -> Iterator[Finding]:
    if shape.low_places:
        deepest = shape.low_places[0]
        yield Finding(
            "site",
            "care",
            "site.hollow",
            {
                "count": len(shape.low_places),
                "depth": (round(deepest.depth_m, 1), "m"),
                "area": (round(sum(place.area_m2 for place in shape.low_places) / 1e4, 3), "ha"),
            },
            "site.hollow_area",
            "flow-paths",
            place=deepest.deepest_xy,
        )
    if shape.gathering.area_m2 / 1e4 >= brief.ground.gathering_area:
        yield Finding(
            "site",
            "care",
            "site.water_gathers",
            {"area": (round(shape.gathering.area_m2 / 1e4, 1), "ha")},
            "site.upslope_area",
            "flow-paths",
            place=shape.gathering.xy,
        )
