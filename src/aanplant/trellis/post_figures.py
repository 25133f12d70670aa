"""Figures of the line posts: their load, how far they are used, and the wind they stand."""

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.trellis.holding import Holding
from aanplant.trellis.post_standing import gust_at_10_m
from aanplant.trellis.whole import Trellis
from aanplant.working import Input, Working


def post_figures(brief: Brief, made: Trellis, held: Holding) -> list[Working]:
    """Return the figures of line posts inside the block and in full wind."""
    found = []
    gust = Working(
        "trellis.gust",
        float(held.standing.gust_m_s[0]),
        "m/s",
        (
            brief.as_input("posts.wind"),
            Input("foliage_middle", float(held.loads.wind_height_m[0]), "m", "measured"),
        ),
        "fao-evapotranspiration",
    )
    found.append(gust)
    has_posts = made.rows.line_posts > 0
    for name, among in (
        ("sheltered", ~held.is_exposed & has_posts),
        ("exposed", held.is_exposed & has_posts),
    ):
        if among.any():
            found += _of(brief, made, held, name, among)
    if np.isfinite(held.lift_n).any():
        found.append(_lift(made, held))
    if made.rows.bend_share.any():
        found.append(_side(made, held))
    return found


def _of(
    brief: Brief, made: Trellis, held: Holding, name: str, among: NDArray[np.bool_]
) -> list[Working]:
    """Return the figures of one kind of row; ``among`` says which rows are of it."""
    rows, standing = made.rows, held.standing
    post = (held.exposed_post if name == "exposed" else held.post).name
    worst = int(np.flatnonzero(among)[np.argmax(standing.bending[among])])
    which = held.exposed_post if name == "exposed" else held.post
    row = Input("row", int(rows.row[worst]), "", "measured")
    moment = Working(
        f"trellis.post_moment.{name}",
        float(held.loads.moment_nm(held.standing.gust_m_s)[worst]),
        "N m",
        (
            row,
            Input("gust", float(standing.gust_m_s[worst]), "m/s", "figure:trellis.gust"),
            Input("bay", float(rows.bay_m[worst]), "m", "measured"),
            brief.as_input("canopy.height", "foliage_height"),
            Input("foliage_middle", float(held.loads.wind_height_m[worst]), "m", "measured"),
            brief.as_input("posts.porosity"),
            brief.as_input("posts.streamlining"),
            Input("shelter", 1.0 if name == "exposed" else brief.posts.sheltered_wind, "",
                  "brief:posts.sheltered_wind"),
            Input("side_load", float(held.side_n[worst]), "N", "measured"),
        ),
        "windbreak-drag",
        about=post,
        message="trellis.post_moment",
    )  # fmt: skip
    use = Working(
        f"trellis.post_use.{name}",
        float(standing.bending[worst]),
        "",
        (
            moment.as_input("moment"),
            Input("modulus", which.modulus_cm3, "cm3", "table:post_sizes.csv", "practice"),
            Input("strength", which.strength_mpa, "MPa", "table:post_strengths.csv", which.source),
            Input("buckling", which.buckling, "", "table:post_strengths.csv", "memory"),
            brief.as_input("posts.working_factor"),
        ),
        "arithmetic",
        about=post,
        message="trellis.post_use",
    )
    stands = Working(
        f"trellis.post_wind.{name}",
        round(float(held.bending_gust_m_s[among].min()), 2),
        "m/s",
        (use.as_input("use"), brief.as_input("posts.wind")),
        "windbreak-drag",
        about=post,
        message="trellis.post_wind",
    )
    return [moment, use, stands, *_ground(brief, made, held, name, among)]


def _ground(
    brief: Brief, made: Trellis, held: Holding, name: str, among: NDArray[np.bool_]
) -> list[Working]:
    """Gust at 10 m that each method allows at the practice depth, in the worst row."""
    post = (held.exposed_post if name == "exposed" else held.post).name
    depth = Input("depth", made.system.post_embedment_m, "m", "measured")
    sources = {"ibc": "ibc-bearing", "ep486": "ep486", "broms": _BROMS[held.soil.behaves_as]}
    return [
        Working(
            f"trellis.ground_wind.{name}.{method}",
            round(float(gust_at_10_m(brief, held.loads, gust)[among].min()), 2),
            "m/s",
            (
                depth,
                Input("soil", held.soil.name, "", "table:lateral_bearing.csv", held.soil.source),
                Input("bearing", held.soil.bearing_pa_per_m / 1000.0, "kPa/m", "measured"),
            ),
            sources[method],
            about=f"{post}, {_METHODS[method]}",
            message="trellis.ground_wind",
        )
        for method, gust in held.standing.ground_gust_m_s.items()
    ]


_BROMS = {"clay": "broms-clay", "sand": "broms-sand", "rock": ""}
_METHODS = {
    "ibc": "building code",
    "ep486": "standard for post frames",
    "broms": "ultimate by Broms",
}


def _lift(made: Trellis, held: Holding) -> Working:
    worst = int(np.nanargmax(held.lift_n))
    return Working(
        "trellis.lift",
        float(held.lift_n[worst]),
        "N",
        (
            Input("row", int(made.rows.row[worst]), "", "measured"),
            Input("dip", float(made.rows.dip_deg[worst]), "deg", "measured"),
            Input("pull_cold", float(held.states.row_pull_n("cold")[worst]), "N", "measured"),
            Input("pull_crop", float(held.states.row_pull_n("crop")[worst]), "N", "measured"),
            Input(
                "hung", (held.crop_n_m + held.canopy_n_m) * float(made.rows.bay_m[worst]), "N",
                "measured",
            ),
        ),
        "arithmetic",
    )  # fmt: skip


def _side(made: Trellis, held: Holding) -> Working:
    worst = int(np.argmax(held.side_n))
    return Working(
        "trellis.side_load",
        float(held.side_n[worst]),
        "N",
        (
            Input("row", int(made.rows.row[worst]), "", "measured"),
            Input("pull", float(held.ends.pull.pull_n[worst]), "N", "measured"),
            Input("bend_share", float(made.rows.bend_share[worst]), "", "measured"),
            Input("radius", float(made.rows.radius_m[worst]), "m", "measured"),
        ),
        "arithmetic",
    )
