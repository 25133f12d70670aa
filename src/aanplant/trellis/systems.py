"""Trellis systems: the wires, arms and posts of each, or those the brief describes itself."""

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass

from aanplant import tables
from aanplant.brief import Brief
from aanplant.brief.trellis import CHOOSE
from aanplant.errors import InputError
from aanplant.trellis.breaches import Breach
from aanplant.trellis.wires import WireLine

OWN = "brief:trellis.wires"
COMMON = "vertical-5"
"""Posts of this system go with one's own wires where the brief gives none."""
STAKE = "stake"
_LEVEL_M = 0.005
"""Wires that differ by less hang at one height: half a centimetre, the tape's last mark."""

_NEAR_M = 0.1
"""A wire so near to an arm, or to the middle of its post, is held by it (a judgement)."""


@dataclass(frozen=True, slots=True)
class Arm:
    """A cross arm on every post, alike on both sides.

    Parameters
    ----------
    height_m : float
        Where it meets the post, above the ground. [m]
    half_width_m : float
        From the post to the tip, on the level. [m]
    rise_m : float
        Of the tip above the post's joint; below 0 when it falls. [m]
    source : str
        Source id.
    """

    height_m: float
    half_width_m: float
    rise_m: float
    source: str


@dataclass(frozen=True, slots=True)
class System:
    """What stands along every row.

    Parameters
    ----------
    name : str
        As the brief names it, also where it lists its own wires.
    wires : tuple of WireLine
        From the ground up.
    arms : tuple of Arm
        On every post.
    post_length_m, post_embedment_m : float
        Of a line post, and of it in the ground; 0 where no posts stand. [m]
    end_post_length_m, end_post_embedment_m : float
        Of an end post; 0 where none stands. [m]
    stake_length_m : float
        Of the stake at every vine, 0 when there is none. [m]
    source : str
        Source id of the posts.
    """

    name: str
    wires: tuple[WireLine, ...]
    arms: tuple[Arm, ...]
    post_length_m: float
    post_embedment_m: float
    end_post_length_m: float
    end_post_embedment_m: float
    stake_length_m: float
    source: str

    @property
    def post_top_m(self) -> float:
        """Top of a line post above the ground. [m]."""
        return self.post_length_m - self.post_embedment_m

    @property
    def end_post_top_m(self) -> float:
        """Top of an end post above the ground, standing upright. [m]."""
        return self.end_post_length_m - self.end_post_embedment_m

    @property
    def strands(self) -> int:
        """Wires side by side and above one another."""
        return sum(wire.strands for wire in self.wires)


def system_names() -> tuple[str, ...]:
    """Return the systems of the table, in its order."""
    return tuple(dict.fromkeys(row["system"] for row in tables.rows("trellis_posts.csv")))


def system_of(brief: Brief) -> System:
    """Return the system a brief names, or the one it describes.

    What a brief says itself stands before the table: its wires
    replace the system's wires and arms, its lengths the system's lengths.

    Raises
    ------
    InputError
        If the system is not known (the nearest is named), or no wire carries the crop.
    """
    rules = brief.trellis
    if rules.system not in system_names() and not rules.wires:
        raise InputError("brief.toml: trellis.system", repr(rules.system), _nearest(rules.system))
    base = _base(rules.system) if rules.wires else rules.system
    wires = _own_wires(brief) if rules.wires else _table_wires(base)
    if wires and not any(wire.carries_crop for wire in wires):
        raise InputError(
            "brief.toml: trellis.wires",
            "no wire that carries the crop",
            'role = "cordon", "fruit" or "support" on one of them',
        )
    posts = {row["part"]: row for row in _rows("trellis_posts.csv", base)}
    line, end, stake = (_lengths(posts.get(part)) for part in ("line post", "end post", STAKE))
    given = brief.is_given
    materials = brief.materials
    from_line = materials.line_post_length if given("materials.line_post_length") else line[0]
    from_end = materials.end_post_length if given("materials.end_post_length") else end[0]
    if not wires:
        return System(rules.system, (), (), 0.0, 0.0, 0.0, 0.0, stake[0], _source(posts))
    return System(
        rules.system,
        wires,
        _arms(brief, base),
        rules.post_length or from_line,
        rules.post_embedment or line[1],
        rules.end_post_length or from_end,
        rules.end_post_embedment or end[1],
        stake[0],
        _source(posts),
    )


def breaches_of(system: System, end_lean_deg: float = 0.0) -> tuple[Breach, ...]:
    """Return what cannot stand: posts no longer than their hole, wires and arms above them.

    End posts lean by ``end_lean_deg`` from upright, which lowers their tops. A post
    shorter than its embedment is told alone; its top would mean nothing.
    """
    posts = (
        ("line post", system.post_length_m, system.post_embedment_m),
        ("end post", system.end_post_length_m, system.end_post_embedment_m),
    )
    short = tuple(
        Breach("post_shorter_than_embedment", part, length_m, embedment_m, "m")
        for part, length_m, embedment_m in posts
        if system.wires and length_m <= embedment_m
    )
    if short:
        return short
    found = []
    # An arm that meets the post carries its wires above the post's own top.
    tips_m = [arm.height_m + arm.rise_m for arm in system.arms]
    for wire in system.wires:
        on_arm = wire.offset_m > 0.0 and bool(tips_m)
        top_m = max(system.post_top_m, *tips_m) if on_arm else system.post_top_m
        end_top_m = system.end_post_top_m * math.cos(math.radians(end_lean_deg))
        if on_arm:
            end_top_m = max(end_top_m, *tips_m)
        if wire.height_m > top_m + _LEVEL_M:
            found.append(Breach("wire_above_post", wire.name, wire.height_m, top_m, "m"))
        elif wire.height_m > end_top_m + _LEVEL_M:
            found.append(Breach("wire_above_end_post", wire.name, wire.height_m, end_top_m, "m"))
    found.extend(
        Breach("arm_above_post", "arm", arm.height_m, system.post_top_m, "m")
        for arm in system.arms
        if arm.height_m > system.post_top_m + _LEVEL_M
    )
    return tuple(found)


def without_arm(system: System) -> tuple[WireLine, ...]:
    """Return the wires that hang aside of the posts where no arm comes near them."""

    def reaches(arm: Arm, wire: WireLine) -> bool:
        out = wire.offset_m / arm.half_width_m
        near_m = abs(arm.height_m + out * arm.rise_m - wire.height_m)
        return wire.offset_m <= arm.half_width_m + _NEAR_M and near_m <= _NEAR_M

    return tuple(
        wire
        for wire in system.wires
        if wire.offset_m > _NEAR_M and not any(reaches(arm, wire) for arm in system.arms)
    )


def _nearest(name: str) -> str:
    known = system_names()
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f'"{near[0]}"' if near else f"one of {', '.join(known)}, or your own [[trellis.wires]]"


def _own_wires(brief: Brief) -> tuple[WireLine, ...]:
    rules = brief.trellis.wires
    lowest_m = min(rule.height for rule in rules)
    lines = []
    for rule in rules:
        is_lowest = rule.height <= lowest_m + _LEVEL_M
        role = rule.role
        lines.append(
            WireLine(
                rule.name,
                rule.height,
                rule.diameter,
                rule.grade,
                rule.strands,
                OWN,
                "brief",
                ("cordon" if is_lowest else "foliage") if role == CHOOSE else role,
                rule.movable,
                rule.offset,
                None if rule.tension == CHOOSE else rule.tension,
            )
        )
    return tuple(lines)


def _table_wires(system: str) -> tuple[WireLine, ...]:
    return tuple(
        WireLine(
            row["name"],
            float(row["height_m"]),
            float(row["diameter_mm"]),
            row["grade"],
            int(row["strands"]),
            "table:trellis_systems.csv",
            row["source"],
            row["role"],  # type: ignore[arg-type] # a test reads every row
            row["movable"] == "yes",
            float(row["offset_m"]),
        )
        for row in _rows("trellis_systems.csv", system)
        if int(row["strands"])
    )


def _base(system: str) -> str:
    """Return the system whose posts go with one's own wires, where they are not given."""
    with_posts = {row["system"] for row in tables.rows("trellis_posts.csv") if row["part"] != STAKE}
    return system if system in with_posts else COMMON


def _arms(brief: Brief, system: str) -> tuple[Arm, ...]:
    own = brief.trellis.arms
    if own or brief.trellis.wires:
        return tuple(_arm(arm.height, arm.width, arm.slope, "brief") for arm in own)
    return tuple(
        _arm(float(row["height_m"]), float(row["width_m"]), float(row["slope_deg"]), row["source"])
        for row in _rows("trellis_arms.csv", system)
    )


def _arm(height_m: float, width_m: float, slope_deg: float, source: str) -> Arm:
    half_width_m = width_m / 2.0
    return Arm(height_m, half_width_m, half_width_m * math.tan(math.radians(slope_deg)), source)


def _rows(table: str, system: str) -> list[Mapping[str, str]]:
    return [row for row in tables.rows(table) if row["system"] == system]


def _lengths(row: Mapping[str, str] | None) -> tuple[float, float]:
    return (float(row["length_m"]), float(row["embedment_m"])) if row else (0.0, 0.0)


def _source(posts: Mapping[str, Mapping[str, str]]) -> str:
    return next(iter(posts.values()))["source"]
