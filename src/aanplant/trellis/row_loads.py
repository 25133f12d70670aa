"""Load every row by its crop, its wind, its bends and dips, and see what it bears."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.brief.ends import EndRules
from aanplant.site import Site
from aanplant.trellis.end_design import EndDesign, design_ends
from aanplant.trellis.end_fit import ends_as_built
from aanplant.trellis.end_parts import EndPost
from aanplant.trellis.ends import HBrace, TieBack
from aanplant.trellis.holding import Holding, Warmth
from aanplant.trellis.loads import canopy_n_per_m, crop_n_per_m, hold_down_n, post_loads
from aanplant.trellis.post_soil import post_soil, pull_out_n
from aanplant.trellis.post_standing import either, gust_at_10_m, stand
from aanplant.trellis.posts import Post, post_of, posts_of
from aanplant.trellis.row_geometry import TrellisRows
from aanplant.trellis.systems import System
from aanplant.trellis.wire_states import WireStates, wire_states
from aanplant.trellis.wire_strength import SAFE_SHARE, break_load_n

Values = NDArray[np.float64]

BESIDE_STEEL = "softwood"
"""Timber of end posts where line posts are of steel; common practice, no source."""
_NO_BAY_M = 1e-9


def hold(
    brief: Brief, site: Site, system: System, rows: TrellisRows, *, has_inside_ends: bool
) -> Holding:
    """Work out what the trellis of every row bears.

    Parameters
    ----------
    brief, site
        What is asked, the soil and the weather.
    system : System
        With wires.
    rows : TrellisRows
        At least one.
    has_inside_ends : bool
        Whether ends of a tied-back trellis stand without an anchor outside.
    """
    warmth = warmth_of(brief, site)
    crop, canopy = crop_n_per_m(brief), canopy_n_per_m(brief)
    states = wire_states(
        system,
        rows.span_m,
        crop,
        canopy,
        hot_k=max(warmth.hottest_c - warmth.installed_c, 0.0),
        cold_k=min(warmth.coldest_c - warmth.installed_c, 0.0),
    )
    pull_crop, pull_cold = states.row_pull_n("crop"), states.row_pull_n("cold")
    worst = np.maximum(pull_crop, pull_cold)
    side_n = worst * rows.bend_share
    height = states.row_moment_nm("crop") / pull_crop
    post, exposed = post_of(brief), exposed_post_of(brief)
    is_exposed = np.asarray(rows.rows_deep <= brief.posts.exposed_rows)
    soil = post_soil(brief, site.soil, system.post_embedment_m)
    loads = post_loads(
        brief,
        # A row without line posts has none to load.
        np.maximum(rows.bay_m, _NO_BAY_M),
        canopy_foot_m(brief, system),
        rows_deep=rows.rows_deep,
        side_n=side_n,
        side_height_m=height,
    )
    sheltered, windward = (
        stand(each, loads, system.post_embedment_m, soil, brief.posts.working_factor)
        for each in (post, exposed)
    )
    standing = either(is_exposed, windward, sheltered)
    crop_n_m = float(crop.max())
    hung = (crop_n_m + canopy) * rows.bay_m
    lift = np.maximum(
        hold_down_n(pull_cold, rows.dip_deg), hold_down_n(pull_crop, rows.dip_deg) - hung
    )
    rules = ends_as_built(brief, system)
    ends = _ends(brief, rules, system, rows, states)
    inside = None
    if has_inside_ends:
        strutted = rules.model_copy(update={"assembly": "strut"})
        inside = _ends(brief, strutted, system, rows, states)
    return Holding(
        warmth,
        states,
        crop_n_m,
        canopy,
        post,
        exposed,
        is_exposed,
        soil,
        side_n,
        lift,
        pull_out_n(brief),
        loads,
        standing,
        gust_at_10_m(brief, loads, standing.bending_gust_m_s),
        gust_at_10_m(brief, loads, standing.least_ground_gust_m_s),
        ends,
        inside,
        _tie_use(rules, ends),
        rules,
    )


def warmth_of(brief: Brief, site: Site) -> Warmth:
    """Say how warm wires become; the record of the weather knows the coldest night.

    A coldest wire that the brief gives stands before the record.
    """
    rules = brief.trellis
    coldest, origin = rules.coldest_wire, "brief"
    if site.climate is not None and not brief.is_given("trellis.coldest_wire"):
        lowest = site.climate.record.checked.weather.tmin_c
        if np.isfinite(lowest).any():
            coldest = float(np.nanmin(lowest)) - brief.climate.colder_than_station
            origin = "weather"
    return Warmth(rules.install_temperature, rules.hottest_wire, coldest, origin)


def canopy_foot_m(brief: Brief, system: System) -> float:
    """Height of the foot of the foliage. [m].

    Shoots held upright stand on the lowest wire that carries the crop; without foliage wires
    they stand and hang about it alike.
    """
    lowest_m = min(wire.height_m for wire in system.wires if wire.carries_crop)
    if any(wire.role == "foliage" for wire in system.wires):
        return lowest_m
    return max(lowest_m - brief.canopy.height / 2.0, 0.0)


def exposed_post_of(brief: Brief) -> Post:
    """Return the line post of rows in full wind: the thicker of two sizes, or as the brief says."""
    post, sizes = post_of(brief), posts_of(brief.posts.group)
    if post.kind != "round" or brief.posts.diameter is not None:
        return post
    asked = next(each for each in sizes if each.size == brief.posts.exposed_size)
    asked = replace(asked, strength_mpa=post.strength_mpa, source=post.source)
    if brief.is_given("posts.exposed_size") or asked.width_m > post.width_m:
        return asked
    return post


def end_post(brief: Brief, system: System) -> EndPost:
    """Return the end post: round timber of the line posts' kind, softwood beside steel posts."""
    kind = post_of(brief)
    timber = kind if kind.kind == "round" else posts_of(BESIDE_STEEL)[0]
    return EndPost(
        system.end_post_top_m,
        system.end_post_embedment_m,
        timber.strength_mpa,
        brief.posts.working_factor,
    )


def _ends(
    brief: Brief, rules: EndRules, system: System, rows: TrellisRows, states: WireStates
) -> EndDesign:
    """Design the ends of each row for crop or the coldest night, whichever bends its post more."""
    crop_rules = states.row_moment_nm("crop") >= states.row_moment_nm("cold")
    return design_ends(
        rules,
        np.where(crop_rules[:, np.newaxis], states.crop_n, states.cold_n),
        [wire.height_m for wire in system.wires],
        [wire.strands for wire in system.wires],
        anchor_distance_m=brief.rows.anchor_distance,
        row_length_m=rows.length_m,
        post=end_post(brief, system),
    )


def _tie_use(rules: EndRules, ends: EndDesign) -> Values:
    held = ends.held
    breaks = break_load_n(rules.brace_wire_diameter, rules.brace_wire_grade)
    safe = SAFE_SHARE * breaks * rules.brace_wire_strands
    if isinstance(held, TieBack):
        return np.asarray(held.tie_n / safe)
    if isinstance(held, HBrace):
        return np.asarray(held.wire_n / safe)
    return np.zeros_like(held.axial_n)
