"""Lay the irrigation system of a block: sets, submains, mainline and every dripper."""

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from aanplant.brief import CHOOSE, Brief
from aanplant.errors import InputError
from aanplant.inputs import WaterSource
from aanplant.layout import Layout
from aanplant.layout.laying_out import ends_at_alleys
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.water.bands import Bands, bands_of
from aanplant.water.devices import devices
from aanplant.water.emitters import law_of
from aanplant.water.laterals import (
    Drippers,
    Place,
    choose_place,
    drippers,
    inlet_share,
    loss_of_run_m,
)
from aanplant.water.pipe_tree import PipeTree, heights, pipe_tree
from aanplant.water.planted import planted_ground
from aanplant.water.routes import Land, Tree, grow, straight
from aanplant.water.set_choice import choose_sets
from aanplant.water.source_place import avoided, drawn_way, source_place
from aanplant.water.submains import Inlets, SubmainLine, inlets, submain_lines
from aanplant.water.system import LATERAL, NO_SET, LayoutBreach, System
from aanplant.water.system_tables import crossings, lateral_table, set_table, submain_table

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

USUAL_BORE_MM = 14.2
"""Bore of the usual 16 mm dripper line (from memory), until one is chosen."""
_PERCENT = 100.0
_MM = 1000.0
_CORRIDOR_M = 0.6


@dataclass(frozen=True)
class _Rows:
    """What is known of the rows before pipes are laid."""

    bands: Bands
    ground_m: Values
    drip: Drippers
    emitters: Whole
    in_zone: Values


def lay_system(  # noqa: PLR0917 - what is known, in the order of the job
    brief: Brief,
    site: Site,
    stock: Stock,
    layout: Layout,
    source: WaterSource,
    drawn_lonlat: Values | None = None,
) -> System:
    """Group the rows into sets and lay every pipe from the source to the last dripper.

    Parameters
    ----------
    brief, site, stock, layout
        What is asked, the ground, the spacing and the rows.
    source : WaterSource
        Where the mainline begins.
    drawn_lonlat : ndarray, shape (n, 2), optional
        Line along which the mainline leaves the source, as drawn by the user. [deg]

    Raises
    ------
    InputError
        If the source has no height, lies in what pipes must avoid or has no way to the rows,
        or if one row alone takes more than a set may.
    """
    place, place_z, breaches = source_place(site, source, brief.mains.source_height_tolerance)
    drawn = drawn_way(site, place, drawn_lonlat)
    dripper_m3_s = law_of(brief).flow_m3_s
    rows = _rows(brief, site, stock, layout)
    set_of, limit, over = choose_sets(brief, rows.bands, rows.emitters, rows.in_zone)
    past_post, past_anchor = _beyond(brief, layout)
    planted = planted_ground(
        layout.positions, past_anchor, fill_m=min(stock.row_width_m, brief.rows.cross_alley / 3.0)
    )
    places = _places(brief, layout, rows.bands, place)
    shares = _shares(brief, layout, rows, dripper_m3_s)
    connections = inlets(layout.positions, rows.bands, places, past_post, shares)
    heading = layout.rows.heading_xy[0] if layout.rows.paths is None else None
    land = Land(
        site.boundary, avoided(site), _without_corridors(planted, rows.bands, connections), heading
    )
    lines = submain_lines(rows.bands, set_of, connections, rows.emitters, land)
    if not isinstance(lines, list):
        raise _no_way(site, source, lines[1])
    land = replace(land, stops=_between_rows(layout, lines, past_post))
    mainline = grow(land, place, np.stack([line.valve_xy for line in lines]), drawn)
    if mainline is None:
        raise _no_way(site, source, lines[0].valve_xy)
    tree = pipe_tree(mainline, lines, rows.drip, _ground_of(layout, rows, connections))
    z, unknown = heights(tree, site.terrain, place_z)
    if unknown:
        breaches.append(LayoutBreach("heights_unknown", source.where, unknown, 0, "nodes"))
    system = _system(brief, site, layout, rows, set_of, lines, tree, z, dripper_m3_s)
    crossed = _rows_crossed(layout, mainline, land)
    if crossed:
        breaches.append(LayoutBreach("rows_crossed", "mainline", crossed, 0, "rows"))
    if over is not None:
        breaches.append(over)
    return replace(system, flow_limit_m3_s=limit, breaches=tuple(breaches))


def _rows(brief: Brief, site: Site, stock: Stock, layout: Layout) -> _Rows:
    positions = layout.positions
    ground = positions.row_length_m if layout.slopes is None else layout.slopes.ground_m
    ground = np.where(np.isnan(ground), positions.row_length_m, ground)
    drip = drippers(
        positions,
        brief.water.emitter.spacing,
        ground,
        vine_spacing_m=stock.vine_spacing_m,
    )
    emitters = np.bincount(drip.piece, minlength=len(positions.rows))
    zones = () if site.soil is None else site.soil.zones
    in_zone = np.zeros((len(positions.rows), len(zones)))
    for number, zone in enumerate(zones):
        shapely.prepare(zone.geometry)
        inside = shapely.contains_xy(zone.geometry, *drip.xy.T)
        in_zone[:, number] = np.bincount(drip.piece, inside, minlength=len(positions.rows))
    return _Rows(bands_of(positions), ground, drip, emitters, in_zone)


def _beyond(brief: Brief, layout: Layout) -> tuple[Values, Values]:
    """How far past each end post a submain runs and how far its anchor reaches. [m]."""
    positions = layout.positions
    anchor = np.full(len(positions.end_posts_xy), brief.rows.anchor_distance)
    at_alley = ends_at_alleys(layout.rows, positions)
    if brief.rows.alley_anchors == "inside":
        anchor[at_alley] = 0.0
    clear = np.where(at_alley, brief.rows.cross_alley, brief.rows.headland)
    return anchor + np.minimum(brief.mains.room, clear / 2.0), anchor


def _places(brief: Brief, layout: Layout, bands: Bands, source_xy: Values) -> list[Place]:
    """Where each band is fed."""
    rules = brief.mains
    if rules.submains != CHOOSE:
        return [rules.submains] * bands.count
    positions = layout.positions
    fall = _falls(layout)
    ends = {}
    for is_start in (True, False):
        own = positions.end_posts_is_start == is_start
        ends[is_start] = np.full((len(layout.rows), 2), np.nan)
        ends[is_start][positions.end_posts_piece[own]] = positions.end_posts_xy[own]
    chosen: list[Place] = []
    for band in range(bands.count):
        piece = bands.piece[bands.band == band]
        way_m = [_way_past(ends[is_start][piece], source_xy) for is_start in (True, False)]
        chosen.append(
            choose_place(
                float(np.median(fall[piece])),
                float(positions.row_length_m[piece].max()),
                level_grade=rules.level_grade / _PERCENT,
                longest_lateral_m=rules.longest_lateral,
                nearer="row start" if way_m[0] <= way_m[1] else "row end",
            )
        )
    return chosen


def _falls(layout: Layout) -> Values:
    """Fall of every row from start to end over its length; 0 where not known. [-]."""
    if layout.slopes is None:
        return np.zeros(len(layout.rows))
    return -np.nan_to_num(layout.slopes.mean_grade_percent) / _PERCENT


def _shares(brief: Brief, layout: Layout, rows: _Rows, dripper_m3_s: float) -> Values:
    """Where a submain through the rows of each band meets them, from their start. [-]."""
    fall, found = _falls(layout), []
    bore_m = (brief.pipes.lateral_bore or USUAL_BORE_MM) / _MM
    for band in range(rows.bands.count):
        piece = rows.bands.piece[rows.bands.band == band]
        # The typical long row speaks for the band.
        long = piece[rows.ground_m[piece] >= np.median(rows.ground_m[piece])]
        length, emitters = float(rows.ground_m[long].mean()), float(rows.emitters[long].mean())
        drop = float(np.median(fall[long])) * length
        loss = loss_of_run_m(length, emitters * dripper_m3_s, bore_m)
        share = inlet_share(abs(drop), loss)
        found.append(share if drop >= 0.0 else 1.0 - share)
    return np.array(found)


def _way_past(ends_xy: Values, source_xy: Values) -> float:
    """Length of a submain past these row ends and the way to it as the crow flies. [m]."""
    steps = np.hypot(*np.diff(ends_xy, axis=0).T).sum() if len(ends_xy) > 1 else 0.0
    return float(steps + np.hypot(*(ends_xy - source_xy).T).min())


def _without_corridors(planted: BaseGeometry, bands: Bands, connections: Inlets) -> BaseGeometry:
    """Leave a way for the mainline beside submains that cross the rows."""
    ways = [
        LineString(connections.xy[bands.piece[bands.band == band]]).buffer(_CORRIDOR_M)
        for band in range(bands.count)
        if connections.place[bands.piece[bands.band == band][0]] == "middle"
        and (bands.band == band).sum() > 1
    ]
    return planted.difference(shapely.union_all(ways)) if ways else planted


def _between_rows(layout: Layout, lines: list[SubmainLine], past_post: Values) -> Values:
    """Points past both ends of the space between two rows into which each valve opens. [m]."""
    positions = layout.positions
    posts = positions.end_posts_xy + past_post[:, None] * positions.end_posts_outward_xy
    found = [np.empty((0, 2))]
    for line in lines:
        fed = line.piece[line.valve : line.valve + 2]
        both = [posts[positions.end_posts_piece == piece] for piece in fed if piece >= 0]
        found.append(np.mean(both, axis=0))
    return np.concatenate(found)


def _no_way(site: Site, source: WaterSource, xy: Values) -> InputError:
    names = ", ".join(
        item.name or item.kind for item in site.exclusions if item.treatment == "avoid"
    )
    lon, lat = site.frame.to_lonlat(xy[None])[0]
    return InputError(
        source.where,
        f"no way for a pipe to the rows at {lat:.6f}, {lon:.6f} around {names}",
        "a gap between them, or the treatment skip for the one that a pipe may cross",
    )


def _ground_of(layout: Layout, rows: _Rows, connections: Inlets) -> Values:
    """Distance of every connection from the first end post along the ground. [m]."""
    plan = layout.positions.row_length_m
    per_plan = np.divide(rows.ground_m, plan, out=np.ones_like(plan), where=plan > 0.0)
    return np.asarray((connections.walked_m - layout.positions.row_start_m) * per_plan)


def _rows_crossed(layout: Layout, mainline: Tree, land: Land) -> int:
    """How often the mainline runs under a row, other than in the trench of a submain."""
    rows = layout.rows.lines()[layout.positions.vines > 0]
    pipes = straight(mainline.xy[mainline.parent[1:]], mainline.xy[1:])
    pipe, row = shapely.STRtree(rows).query(pipes, predicate="crosses")
    at = shapely.centroid(shapely.intersection(pipes[pipe], rows[row]))
    return int(shapely.intersects(land.planted, at).sum())


def _system(  # noqa: PLR0917 - everything laid, in the order it was
    brief: Brief,
    site: Site,
    layout: Layout,
    rows: _Rows,
    set_of: Whole,
    lines: list[SubmainLine],
    tree: PipeTree,
    z: Values,
    dripper_m3_s: float,
) -> System:
    positions = layout.positions
    of_piece = np.full(len(layout.rows), NO_SET, np.int64)
    of_piece[rows.bands.piece] = set_of
    rise = z - z[np.maximum(tree.parent, 0)]
    length = np.where(tree.on_ground, tree.plan_m, np.hypot(tree.plan_m, rise))
    laterals, lateral = lateral_table(tree, z, positions, rows.ground_m)
    submains = submain_table(tree, lines, length)
    return System(
        xy=tree.xy,
        z_m=z,
        parent=tree.parent,
        length_m=length,
        kind=tree.kind,
        set_of=tree.set_of,
        lateral=lateral,
        vine=tree.vine,
        is_emitter=tree.kind == LATERAL,
        vine_set=of_piece[positions.piece],
        sets=set_table(positions, of_piece, rows.in_zone, rows.emitters, dripper_m3_s),
        laterals=laterals,
        submains=submains,
        devices=devices(tree, z, submains.set_of),
        emitter_flow_m3_s=dripper_m3_s,
        flow_limit_m3_s=np.inf,
        blank_m=rows.drip.left_out * brief.water.emitter.spacing,
        heights_known=site.terrain is not None,
        crossings=crossings(tree, site.exclusions),
    )
