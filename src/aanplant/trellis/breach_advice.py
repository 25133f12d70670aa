"""What of a trellis cannot stand or does not hold, each with its row and its cheapest mend."""

import math
from collections.abc import Iterator

import numpy as np

from aanplant.brief import Brief
from aanplant.messages import WORDS
from aanplant.trellis import mends
from aanplant.trellis.breaches import Breach
from aanplant.trellis.end_design import EndDesign
from aanplant.trellis.end_fit import end_lean_deg
from aanplant.trellis.end_mends import helix_and_depth
from aanplant.trellis.end_parts import anchor_soil
from aanplant.trellis.holding import Holding
from aanplant.trellis.systems import breaches_of
from aanplant.trellis.whole import Trellis
from aanplant.working import Finding, Value

Values = dict[str, Value | tuple[Value, str]]


def misfits(brief: Brief, made: Trellis) -> Iterator[Finding]:
    """Say what cannot stand: posts no longer than their hole, wires and arms above them."""
    for breach in breaches_of(made.system, end_lean_deg(brief)):
        values: Values = {
            "part": breach.part,
            "value": (round(breach.value, 3), "m"),
            "limit": (round(breach.limit, 3), "m"),
        }
        if breach.kind == "post_shorter_than_embedment":
            yield Finding("trellis", "stop", "trellis.post_short", values)
        elif breach.kind == "wire_above_post":
            yield Finding("trellis", "stop", "trellis.wire_above_post", values)
        elif breach.kind == "wire_above_end_post":
            yield Finding("trellis", "stop", "trellis.wire_above_end_post", values)
        else:
            yield Finding("trellis", "stop", "trellis.arm_above_post", values)


def overloads(brief: Brief, made: Trellis, held: Holding) -> Iterator[Finding]:
    """Say which wire, post or end does not hold, in which row, and what mends it."""
    yield from _wires(made, held)
    yield from _posts(brief, made, held)
    yield from _lift(brief, made, held)
    yield from _tie(brief, made, held)
    yield from _ends(brief, made, held.ends, "")
    if held.inside_ends is not None:
        yield from _ends(brief, made, held.inside_ends, "inside_")


def _wires(made: Trellis, held: Holding) -> Iterator[Finding]:
    lines = [wire.name for wire in made.wires]
    for breach in held.states.breaches():
        line = lines.index(breach.part)
        values: Values = {
            "wire": breach.part,
            "pull": (round(breach.value), "N"),
            "limit": (round(breach.limit), "N"),
        }
        if breach.row is None:
            values["lower"] = (math.floor(mends.lower_pull_n(made.system, line)), "N")
            yield Finding(
                "trellis", "stop", "trellis.strained_above_limit", values,
                f"trellis.wire_tension.{line + 1}", "memory",
            )  # fmt: skip
            continue
        values["row"] = int(made.rows.row[breach.row])
        thicker = mends.thicker_wire(made.system, held, line, breach.row)
        values["mend"] = WORDS + ("trellis.mend.wire" if thicker else "trellis.mend.posts_closer")
        values["diameter"] = (thicker or 0.0, "mm")
        lower_n = mends.pull_that_holds_n(made.system, held, line, breach.row)
        if lower_n is not None:
            values["mend"] = WORDS + "trellis.mend.strain"
            values["lower"] = (math.floor(lower_n), "N")
        figure = f"trellis.wire_use.{line + 1}"
        if breach.kind == "crop_above_safe":
            yield Finding("trellis", "stop", "trellis.crop_above_safe", values, figure)
        else:
            yield Finding("trellis", "stop", "trellis.cold_above_safe", values, figure)


def _posts(brief: Brief, made: Trellis, held: Holding) -> Iterator[Finding]:
    bending = held.standing.bending
    for name, among in (("sheltered", ~held.is_exposed), ("exposed", held.is_exposed)):
        over = among & (bending > 1.0)
        if not over.any():
            continue
        row = int(np.flatnonzero(among)[np.argmax(bending[among])])
        use = float(bending[row])
        stouter = mends.stouter_post(brief, made.system, held, row)
        closer = mends.spacing_that_holds(brief.trellis.post_every, use)
        mend = "trellis.mend.post" if stouter else "trellis.mend.spacing"
        if stouter is None and closer is None:
            mend = "trellis.mend.none"
        if made.rows.bend_share[row] > 0.0:
            # A stay takes the pull of bent wires, which closer posts only share.
            mend = "trellis.mend.post_or_stay" if stouter else "trellis.mend.stay"
        yield Finding(
            "trellis",
            "stop",
            "trellis.post_bends",
            {
                "post": (held.exposed_post if name == "exposed" else held.post).name,
                "row": int(made.rows.row[row]),
                "count": int(over.sum()),
                "use": _up(use),
                "gust": (math.floor(float(held.bending_gust_m_s[row]) * 10.0) / 10.0, "m/s"),
                "wind": (brief.posts.wind, "m/s"),
                "mend": WORDS + mend,
                "stouter": stouter.name if stouter else "",
                "vines": closer or 0,
                "key": "posts.exposed_size" if name == "exposed" else "posts.size",
            },
            f"trellis.post_use.{name}",
        )


def _lift(brief: Brief, made: Trellis, held: Holding) -> Iterator[Finding]:
    factor = brief.ends.factor_of_safety
    over = np.nan_to_num(held.lift_n) * factor > held.pull_out_n
    if over.any():
        row = int(np.nanargmax(held.lift_n))
        yield Finding(
            "trellis",
            "stop",
            "trellis.post_lifts",
            {
                "row": int(made.rows.row[row]),
                "count": int(over.sum()),
                "lift": (round(float(held.lift_n[row])), "N"),
                "holds": (round(held.pull_out_n), "N"),
                "factor": factor,
            },
            "trellis.lift",
        )


def _tie(brief: Brief, made: Trellis, held: Holding) -> Iterator[Finding]:
    row = int(np.argmax(held.tie_use))
    use = float(held.tie_use[row])
    if use > 1.0:
        yield Finding(
            "trellis",
            "stop",
            "trellis.tie_breaks",
            {
                "row": int(made.rows.row[row]),
                "use": _up(use),
                "strands": math.ceil(brief.ends.brace_wire_strands * use),
            },
            "trellis.tie_use",
        )


def _ends(brief: Brief, made: Trellis, ends: EndDesign, place: str) -> Iterator[Finding]:
    for breach in ends.breaches:
        if breach.kind == "end_overloaded":
            yield _overloaded(brief, made, ends, breach, place)
            continue
        values: Values = {
            "value": (round(breach.value, 2), "m"),
            "limit": (round(breach.limit, 2), "m"),
        }
        if breach.kind == "held_above_post":
            yield Finding("trellis", "stop", "trellis.held_above_post", values)
        elif breach.kind == "brace_short":
            yield Finding("trellis", "care", "trellis.brace_short", values, source="memory")
        else:
            yield Finding("trellis", "stop", "trellis.deadman_near", values)


def _overloaded(
    brief: Brief, made: Trellis, ends: EndDesign, breach: Breach, place: str
) -> Finding:
    row = breach.row or 0
    part = next(part for part in ends.parts if part.part == breach.part)
    rules = brief.ends
    size: float | None = None
    mend = "trellis.mend.end"
    deeper = None
    if breach.part == "anchor" and rules.anchor == "helix":
        deeper = helix_and_depth(rules, part.load, anchor_soil(rules))
    if breach.part == "anchor" and np.isfinite(ends.mend_helix_mm).all():
        size, mend = float(ends.mend_helix_mm.max()), "trellis.mend.helix"
    elif breach.part == "anchor" and np.isfinite(ends.mend_distance_m).all():
        size, mend = math.ceil(float(ends.mend_distance_m.max()) * 10) / 10, "trellis.mend.distance"
    elif breach.part == "anchor" and deeper is not None:
        size, mend = deeper[0], "trellis.mend.helix_deeper"
    elif breach.part == "end post":
        size, mend = mends.thicker_round_mm(rules.post_diameter, breach.value, 3), _END_POST
    elif breach.part in {"rail", "strut"}:
        size, mend = mends.thicker_round_mm(rules.strut_diameter, breach.value, 4), _STRUT
    elif breach.part == "block":
        size = math.ceil(rules.block_depth * math.sqrt(breach.value) * 20) / 20
        mend = "trellis.mend.block"
    elif breach.part == "post pull-out":
        mend = "trellis.mend.pull_out"
    if size is None and mend in {_END_POST, _STRUT}:
        mend = "trellis.mend.end"
    name = breach.part.replace(" ", "_").replace("-", "_")
    return Finding(
        "trellis",
        "stop",
        "trellis.end_overloaded",
        {
            "part": WORDS + _PARTS[breach.part],
            "row": int(made.rows.row[row]),
            "count": int((part.use > 1.0).sum()),
            "use": _up(breach.value),
            "mend": WORDS + mend,
            "size": (size or 0.0, "m" if mend in _IN_METRES else "mm"),
            "deep": (deeper[1] if deeper else 0.0, "m"),
        },
        f"trellis.end_use.{place}{name}",
    )


def _up(use: float) -> float:
    """Round a use above 1 upward, so that it never reads as 1."""
    return math.ceil(use * 100.0 - 1e-9) / 100.0


_END_POST, _STRUT = "trellis.mend.end_post", "trellis.mend.strut"
_IN_METRES = {"trellis.mend.distance", "trellis.mend.block"}
_PARTS = {
    "anchor": "trellis.part.anchor",
    "anchor uplift": "trellis.part.anchor_uplift",
    "post pull-out": "trellis.part.post_pull_out",
    "strut": "trellis.part.strut",
    "rail": "trellis.part.rail",
    "block": "trellis.part.block",
    "end post": "trellis.part.end_post",
}
