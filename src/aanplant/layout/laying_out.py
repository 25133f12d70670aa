"""Lay out a block: choose the bearing, fit the rows, place every vine, post and anchor."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.layout.advice import advice
from aanplant.layout.block import Layout
from aanplant.layout.contour_advice import contour_figures
from aanplant.layout.contour_course import Course, rows_along_contours, strips
from aanplant.layout.counts import figures
from aanplant.layout.direction import Sweep
from aanplant.layout.light_figures import light_figures
from aanplant.layout.numbering import numbered_from
from aanplant.layout.plantable import plantable
from aanplant.layout.positions import Positions, anchors, place
from aanplant.layout.room import room_at_ends
from aanplant.layout.row_frame import axes
from aanplant.layout.row_profiles import RowProfiles, row_profiles, row_slopes
from aanplant.layout.row_rules import alley_between_posts_m, room_at_ends_m
from aanplant.layout.row_sunlight import rows_in_sun
from aanplant.layout.rows import Rows
from aanplant.layout.slope_figures import slope_figures
from aanplant.layout.straight_course import straight_rows
from aanplant.layout.turning import check_turns
from aanplant.site import Site
from aanplant.stock import Stock

_ON_EDGE_M = 1e-3
_FEWEST_VINES = 2  # with one alone the spacing means nothing


def lay_out(
    brief: Brief,
    site: Site,
    stock: Stock,
    *,
    check: Callable[[float], None] = lambda _: None,
) -> Layout:
    """Choose the bearing where asked, fit the rows and place everything.

    Parameters
    ----------
    brief, site, stock
        What is asked, the ground and the spacing.
    check : callable
        Called with the fraction done.

    Raises
    ------
    InputError
        If not one row with two vines fits the field.
    """
    field = site.field
    rows, compared, course = _rows(brief, site, stock, check)
    bearing_deg = rows.bearing_deg
    profiles = None if site.terrain is None else row_profiles(rows, site.terrain)
    positions = _place(brief, site, stock, rows, profiles)
    if positions.vines.max(initial=0) < _FEWEST_VINES:
        raise _nothing_fits(brief, field, stock, bearing_deg)
    check(0.8)
    anchor_distance_m = _anchor_distances_m(brief, positions)
    anchored = anchor_distance_m > 0.0
    machine = brief.machine
    turns = check_turns(
        positions,
        field,
        machine_width_m=machine.width,
        turning_radius_m=machine.turning_radius,
        row_width_m=stock.row_width_m,
        anchor_distance_m=anchor_distance_m,
    )
    _, room_m = room_at_ends(positions, field, anchor_distance_m)
    laid = Layout(
        bearing_deg=bearing_deg,
        rows=rows,
        positions=positions,
        anchors_xy=anchors(positions, anchor_distance_m)[anchored],
        anchors_piece=positions.end_posts_piece[anchored],
        find_plantable=partial(_plantable, brief, field, bearing_deg)
        if course is None
        else partial(strips, rows, field, brief.rows.side_margin),
        field=field,
        sweep=compared,
        least_room_m=float(room_m.min()),
        turns=turns,
        figures=(),
        findings=(),
        course=course,
        sunlight=rows_in_sun(brief, site, stock, bearing_deg),
        profiles=profiles,
        slopes=None
        if profiles is None
        else row_slopes(profiles, positions.row_start_m, positions.row_length_m),
    )
    own = figures(brief, stock, laid, site.figures)
    return replace(
        laid,
        figures=(
            *own,
            *contour_figures(brief, laid),
            *slope_figures(laid, own),
            *light_figures(brief, site, stock, laid),
        ),
        findings=advice(brief, site, stock, laid),
    )


def _rows(
    brief: Brief, site: Site, stock: Stock, check: Callable[[float], None]
) -> tuple[Rows, Sweep | None, Course | None]:
    """Numbered rows, with the bearings compared or the course of contour rows."""
    if brief.rows.course == "contour":
        rows, course = rows_along_contours(
            brief,
            site,
            stock,
            headland_m=room_at_ends_m(brief),
            alley_m=alley_between_posts_m(brief),
            numbered=partial(numbered_from, corner=brief.rows.first_row_corner),
        )
        check(0.6)
        return rows, None, course
    rows, compared = straight_rows(brief, site, stock, check=lambda done: check(0.6 * done))
    return rows, compared, None


def _place(
    brief: Brief, site: Site, stock: Stock, rows: Rows, profiles: RowProfiles | None
) -> Positions:
    return place(
        rows,
        stock.vine_spacing_m,
        pattern="free" if brief.rows.course == "contour" else brief.vines.pattern,
        end_gap_m=brief.rows.end_gap,
        post_every=brief.trellis.post_every,
        skip=None if site.skip.is_empty else site.skip,
        anchor_distance_m=brief.rows.anchor_distance,
        along_ground=profiles if brief.rows.spacing_along == "ground" else None,
    )


def ends_at_alleys(rows: Rows, positions: Positions) -> NDArray[np.bool_]:
    """Whether a cross alley is what ends the row at each end post, shape (n_end_posts,)."""
    if rows.at_alley is not None:
        column = np.where(positions.end_posts_is_start, 0, 1)
        return rows.at_alley[positions.end_posts_piece, column]
    frame = axes(rows.bearing_deg)
    outward = positions.end_posts_outward_xy @ np.array([frame.along_x, frame.along_y])
    if not len(rows.alleys):
        return np.zeros(len(outward), dtype=np.bool_)
    fitted = np.where(
        positions.end_posts_is_start,
        rows.along_start_m[positions.end_posts_piece],
        rows.along_end_m[positions.end_posts_piece],
    )
    edge = rows.alleys.along_m[:, None] - np.sign(outward) * rows.alleys.width_m / 2.0
    at_alley: NDArray[np.bool_] = np.any(np.abs(edge - fitted) < _ON_EDGE_M, axis=0)
    return at_alley


def _anchor_distances_m(brief: Brief, positions: Positions) -> NDArray[np.float64]:
    """How far beyond each end post its anchor stands; 0 where the end is braced inside. [m]."""
    if brief.ends.assembly != "tie-back":
        return np.zeros(len(positions.end_posts_xy))
    distance = np.full(len(positions.end_posts_xy), brief.rows.anchor_distance)
    if brief.rows.alley_anchors == "inside":
        distance[ends_at_alleys(positions.rows, positions)] = 0.0
    return distance


def _plantable(brief: Brief, field: BaseGeometry, bearing_deg: float) -> BaseGeometry:
    return plantable(
        field,
        bearing_deg,
        headland_m=room_at_ends_m(brief),
        side_margin_m=brief.rows.side_margin,
        rule=brief.rows.headland_rule,
    )


def _nothing_fits(
    brief: Brief, field: BaseGeometry, stock: Stock, bearing_deg: float
) -> InputError:
    """Say which rule leaves no room."""
    rules = brief.rows
    if _plantable(brief, field, bearing_deg).is_empty:
        return InputError(
            "brief.toml: rows.headland",
            f"{rules.headland:g} m headland and {rules.side_margin:g} m side margin, "
            f"which leave nothing of a field of {field.area / 1e4:.3g} ha",
            "a smaller rows.headland or rows.side_margin, or another bearing",
        )
    return InputError(
        "brief.toml: rows",
        f"no row of at least {rules.shortest:g} m that holds two vines "
        f"{stock.vine_spacing_m:g} m apart",
        "a smaller rows.shortest or vines.vine_spacing, or a larger field",
    )
