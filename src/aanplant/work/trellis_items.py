"""What of a trellis is bought: posts, ends, anchors, wires and every small part."""

import math

import numpy as np

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.trellis import Trellis, WireLine
from aanplant.trellis.holding import Holding
from aanplant.trellis.posts import Post, post_of
from aanplant.trellis.wire_strength import mass_g_per_m
from aanplant.work.items import Item
from aanplant.working import Figures, Input, Working

STRUT_IN_GROUND_M = 0.3
"""A strut reaches so far past its two ends, to be cut to fit; common practice, no source."""


def trellis_items(
    brief: Brief, layout: Layout, trellis: Trellis, made: list[Working]
) -> list[Item]:
    """List what is bought for the trellis; figures that it needs besides are added to ``made``.

    Items of which none is needed are among them.
    """
    figures = Figures(trellis.figures)
    held = trellis.holding
    return [
        *_posts(brief, trellis, figures, made),
        *_braces(brief, trellis, held, figures),
        *_anchors(brief, layout, trellis, figures, made),
        *_wires(brief, trellis, figures, made),
        *_small_parts(brief, trellis, figures, made),
    ]


def post_item(family: str, post: Post, length_m: float) -> str:
    """Code of a post in orders and prices, such as ``line-post-softwood-75-100-2.4``."""
    return f"{family}-{post.name.replace(' ', '-')}-{length_m:g}"


def _posts(brief: Brief, trellis: Trellis, figures: Figures, made: list[Working]) -> list[Item]:
    system, counts, held = trellis.system, trellis.counts, trellis.holding
    every = figures["trellis.line_posts"]
    post = held.post if held else post_of(brief)
    length_m = system.post_length_m

    def line_posts(kind: Post, needed: Working) -> Item:
        name = f"line post {kind.name}{_mm(kind)}, {length_m:g} m"
        return Item(post_item("line-post", kind, length_m), name, needed, family="line-post")

    end = Item(
        f"end-post-{_timber(post)}-{brief.ends.post_diameter:g}-{system.end_post_length_m:g}",
        f"end post {_timber(post)} {brief.ends.post_diameter:g} mm, {system.end_post_length_m:g} m",
        figures["trellis.end_posts"],
        family="end-post",
    )
    if held is None or held.exposed_post == post or not counts.exposed_posts:
        return [line_posts(post, every), end]
    exposed = figures["trellis.exposed_posts"]
    inside = Working(
        "trellis.sheltered_posts",
        counts.line_posts - counts.exposed_posts,
        "",
        (every.as_input("line_posts"), exposed.as_input("exposed_posts")),
        "arithmetic",
    )
    made.append(inside)
    return [line_posts(post, inside), line_posts(held.exposed_post, exposed), end]


def _mm(post: Post) -> str:
    return " mm" if post.kind == "round" else ""


def _timber(post: Post) -> str:
    return post.group.replace(" ", "-") if post.kind == "round" else "softwood"


def _braces(brief: Brief, trellis: Trellis, held: Holding | None, figures: Figures) -> list[Item]:
    rules = held.rules if held else brief.ends
    thick = f"{rules.strut_diameter:g}"
    items = []
    if "trellis.brace_posts" in figures:
        size = f"{rules.post_diameter:g}"
        length = f"{trellis.system.end_post_length_m:g}"
        items += [
            Item(
                f"brace-post-{size}-{length}",
                f"second post of a brace {size} mm, {length} m",
                figures["trellis.brace_posts"],
                family="brace-post",
            ),
            Item(
                f"rail-{thick}-{rules.post_distance:g}",
                f"rail {thick} mm, {rules.post_distance:g} m",
                figures["trellis.rails"],
                family="rail",
            ),
        ]
    if "trellis.struts" in figures:
        across = math.hypot(rules.strut_height, rules.strut_distance)
        length = f"{math.ceil((across + STRUT_IN_GROUND_M) * 10) / 10:g}"
        items += [
            Item(
                f"strut-{thick}-{length}", f"strut {thick} mm, {length} m",
                figures["trellis.struts"], family="strut",
            ),
            Item(
                "strut-block",
                f"block of a strut, {rules.block_width:g} m wide to {rules.block_depth:g} m deep",
                figures["trellis.struts"],
            ),
        ]  # fmt: skip
    return items


def _anchors(
    brief: Brief, layout: Layout, trellis: Trellis, figures: Figures, made: list[Working]
) -> list[Item]:
    rules, held, needed = brief.ends, trellis.holding, figures["trellis.anchors"]
    if rules.anchor != "helix":
        size = (
            f"{rules.deadman_length:g}"
            if rules.anchor == "deadman"
            else f"{rules.plate_width:g}x{rules.plate_length:g}"
        )
        code, name = f"anchor-{rules.anchor}-{size}", f"anchor, {rules.anchor} {size} m"
        return [Item(code, name, needed, family="anchor")]

    def helix(size_mm: float, count: Working) -> Item:
        depth = f"{rules.anchor_depth:g}"
        name = f"anchor, helix {size_mm:g} mm to {depth} m deep"
        return Item(f"anchor-helix-{size_mm:g}", name, count, family="anchor")

    lighter = 0
    if held is not None:
        pieces = trellis.rows.piece[held.ends.is_lighter]
        lighter = int(np.isin(layout.anchors_piece, pieces).sum())
    if not lighter:
        return [helix(rules.helix_diameter, needed)]
    light = Working(
        "trellis.lighter_anchors", lighter, "", (brief.as_input("ends.short_row"),), "measured"
    )
    rest = Working(
        "trellis.full_anchors",
        int(needed.value) - lighter,
        "",
        (needed.as_input("anchors"), light.as_input("lighter_anchors")),
        "arithmetic",
    )
    made += [light, rest]
    return [helix(rules.helix_diameter, rest), helix(rules.lighter_helix, light)]


def _wires(brief: Brief, trellis: Trellis, figures: Figures, made: list[Working]) -> list[Item]:
    """Wires of one diameter and grade are bought together, whatever they carry."""
    parts: list[tuple[WireLine, Input]] = [
        (wire, figures[f"trellis.wire_length.{number}"].as_input(f"line_{number}"))
        for number, wire in enumerate(trellis.wires, 1)
    ]
    if "trellis.brace_wire" in figures:
        rules = brief.ends
        tie = WireLine(
            "ties",
            0.0,
            rules.brace_wire_diameter,
            rules.brace_wire_grade,
            1,
            "brief:ends",
            "practice",
        )
        parts.append((tie, figures["trellis.brace_wire"].as_input("ties_and_braces")))
    by_item: dict[str, list[tuple[WireLine, Input]]] = {}
    for wire, length in parts:
        by_item.setdefault(wire.item, []).append((wire, length))
    items = []
    for code, lines in by_item.items():
        wire = lines[0][0]
        name = f"wire {wire.diameter_mm:g} mm {wire.grade}"
        needed = Working(
            f"trellis.wire_length_of.{code}",
            sum(float(length.value) for _, length in lines),
            "m",
            tuple(length for _, length in lines),
            "arithmetic",
            about=name,
            message="trellis.wire_length_of",
        )
        made.append(needed)
        kg_per_m = mass_g_per_m(wire.diameter_mm) / 1000.0
        items.append(Item(code, name, needed, kg_per_unit=kg_per_m, family="wire"))
    return items


def _small_parts(
    brief: Brief, trellis: Trellis, figures: Figures, made: list[Working]
) -> list[Item]:
    counts = trellis.counts
    parts = {
        "strainer": ("strainer", "trellis.strainers"),
        "hook": ("hook for a movable wire", "trellis.hooks"),
        "pair-clip": ("clip for a movable pair", "trellis.pair_clips"),
    }
    items = [
        Item(code, name, figures[key]) for code, (name, key) in parts.items() if key in figures
    ]
    if counts.fixed_places:
        items[1:1] = _fasteners(brief, trellis, figures, made)
    for number, arm in enumerate(trellis.system.arms, 1):
        width = f"{2.0 * arm.half_width_m:g}"
        one = Working(
            f"trellis.arms_of.{number}",
            counts.arms // len(trellis.system.arms),
            "",
            (
                figures["trellis.arms"].as_input("arms"),
                Input("kinds", len(trellis.system.arms), "", "measured"),
            ),
            "arithmetic",
            about=f"{width} m at {arm.height_m:g} m",
            message="trellis.arms_of",
        )
        made.append(one)
        name = f"cross arm {width} m, at {arm.height_m:g} m"
        items.append(Item(f"arm-{width}-{arm.height_m:g}", name, one, family="arm"))
    if "trellis.stakes" in figures:
        length = f"{trellis.system.stake_length_m:g}"
        items.append(
            Item(f"stake-{length}", f"stake {length} m", figures["trellis.stakes"], family="stake")
        )
    return items


def _fasteners(brief: Brief, trellis: Trellis, figures: Figures, made: list[Working]) -> list[Item]:
    """Staples in timber; on line posts of steel a clip at every fixed wire instead."""
    places = figures["trellis.fixed_places"]
    if post_of(brief).kind == "round":
        return [Item("staple", "staple", places)]
    fixed = sum(wire.strands for wire in trellis.wires if not wire.movable)
    clips = Working(
        "trellis.post_clips",
        fixed * trellis.counts.line_posts,
        "",
        (
            Input("fixed_strands", fixed, "", "measured"),
            figures["trellis.line_posts"].as_input("line_posts"),
        ),
        "practice",
    )
    staples = Working(
        "trellis.staples",
        int(places.value) - int(clips.value),
        "",
        (places.as_input("fixed_places"), clips.as_input("post_clips")),
        "arithmetic",
    )
    made += [clips, staples]
    return [
        Item("staple", "staple", staples),
        Item("post-clip", "clip of a wire on a steel post", clips),
    ]
