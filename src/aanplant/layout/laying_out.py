"""Lay out a block: choose the bearing, fit the rows, place every vine, post and anchor."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.brief import CHOOSE, Brief
from aanplant.errors import InputError
from aanplant.layout.advice import advice
from aanplant.layout.block import Layout
from aanplant.layout.contour_advice import contour_figures
from aanplant.layout.contour_course import Course, rows_along_contours, strips
from aanplant.layout.counts import figures
from aanplant.layout.direction import Sweep, sweep
from aanplant.layout.direction_choice import recommend
from aanplant.layout.direction_criteria import judged
from aanplant.layout.light_figures import light_figures
from aanplant.layout.numbering import numbered_from
from aanplant.layout.plantable import plantable
from aanplant.layout.positions import Positions, anchors, count, place
from aanplant.layout.room import room_at_ends
from aanplant.layout.row_profiles import RowProfiles, row_profiles, row_slopes
from aanplant.layout.row_sunlight import rows_in_sun
from aanplant.layout.rows import OFFSET_STEPS, Rows, fit
from aanplant.layout.scanlines import axes
from aanplant.layout.slope_figures import slope_figures
from aanplant.layout.turning import check_turns
from aanplant.layout.turns import Machine
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
        plantable=_plantable(brief, field, bearing_deg)
        if course is None
        else strips(rows, field, brief.rows.side_margin),
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

    def numbered(rows: Rows) -> Rows:
        return numbered_from(rows, brief.rows.first_row_corner)

    if brief.rows.course == "contour":
        rows, course = rows_along_contours(
            brief,
            site,
            stock,
            headland_m=room_at_ends_m(brief),
            alley_m=alley_between_posts_m(brief),
            numbered=numbered,
        )
        check(0.6)
        return rows, None, course
    compared = _compare_bearings(brief, site, stock) if brief.rows.bearing == CHOOSE else None
    bearing_deg = _bearing(brief, compared)
    check(0.6)
    return numbered(_most_vines(brief, site.field, stock, bearing_deg)), compared, None


def room_at_ends_m(brief: Brief) -> float:
    """Free room ahead of an end post: the headland and the anchor before it. [m]."""
    return brief.rows.headland + brief.rows.anchor_distance


def alley_between_posts_m(brief: Brief) -> float:
    """Cross alley from end post to end post: its clear width and the anchors on both sides. [m]."""
    outside = brief.rows.alley_anchors == "outside"
    return brief.rows.cross_alley + (2.0 * brief.rows.anchor_distance if outside else 0.0)


def _compare_bearings(brief: Brief, site: Site, stock: Stock) -> Sweep:
    rules = brief.rows
    counted = sweep(
        site.field,
        stock.row_width_m,
        stock.vine_spacing_m,
        headland_m=room_at_ends_m(brief),
        side_margin_m=rules.side_margin,
        headland_rule=rules.headland_rule,
        end_gap_m=rules.end_gap,
        pattern=brief.vines.pattern,
        shortest_m=rules.shortest,
        longest_m=rules.longest,
        cross_alley_m=alley_between_posts_m(brief),
        machine=machine_of(brief),
    )
    return judged(counted, brief, site, stock)


def machine_of(brief: Brief) -> Machine:
    """Return the brief's machine as the turns reckon with it."""
    asked = brief.machine
    return Machine(
        width_m=asked.width,
        turning_radius_m=asked.turning_radius,
        row_speed_m_s=asked.row_speed / 3.6,
        turn_speed_m_s=asked.turn_speed / 3.6,
    )


def _bearing(brief: Brief, compared: Sweep | None) -> float:
    if compared is not None:
        return float(compared.bearing_deg[recommend(compared)])
    return float(brief.rows.bearing)


def _most_vines(brief: Brief, field: BaseGeometry, stock: Stock, bearing_deg: float) -> Rows:
    """Rows at the offset, of those tried, that holds most vines; the smallest when several do."""
    tried = [
        _fit(brief, field, stock, bearing_deg, step * stock.row_width_m / OFFSET_STEPS)
        for step in range(OFFSET_STEPS)
    ]
    vines = [
        int(
            count(
                rows,
                stock.vine_spacing_m,
                pattern=brief.vines.pattern,
                end_gap_m=brief.rows.end_gap,
            ).sum()
        )
        for rows in tried
    ]
    return tried[int(np.argmax(vines))]


def _fit(
    brief: Brief, field: BaseGeometry, stock: Stock, bearing_deg: float, offset_m: float
) -> Rows:
    rules = brief.rows
    return fit(
        field,
        bearing_deg,
        stock.row_width_m,
        headland_m=room_at_ends_m(brief),
        side_margin_m=rules.side_margin,
        headland_rule=rules.headland_rule,
        offset_m=offset_m,
        shortest_m=rules.shortest,
        longest_m=rules.longest,
        cross_alley_m=alley_between_posts_m(brief),
    )


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
