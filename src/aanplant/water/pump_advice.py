"""Whether the pump serves every set and can draw its water; by how much not, and what would do."""

import math

import numpy as np

from aanplant.brief import Brief
from aanplant.trellis.breaches import Breach
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pump import curve_of
from aanplant.water.suction import suction_breaches
from aanplant.working import Finding, Value

M3_H = 3600.0
_STEPS = 100.0
Shown = dict[str, Value | tuple[Value, str]]


def pump_advice(brief: Brief, made: DesignedSystem, height_m: float) -> list[Finding]:
    """Put in words what is to be said of the pump.

    Parameters
    ----------
    brief : Brief
        Gives the pump's curve, if it is known.
    made : DesignedSystem
        As designed.
    height_m : float
        Of the pump above the sea. [m]
    """
    if not made.is_pumped and not brief.pump.curve:
        return [_pressure_wanted(brief, made)]
    return [*_duty(brief, made), *_suction(brief, made, height_m)]


def _pressure_wanted(brief: Brief, made: DesignedSystem) -> Finding:
    """Tell what pressure water from a public main must have where the mainline begins."""
    worst = made.duties.worst
    head = float(made.duties.head_m[worst]) - brief.pump.suction_lift
    values: Shown = {
        "flow": (float(made.duties.flow_m3_s[worst]) * M3_H, "m3/h"),
        "pressure": (math.ceil(head * KPA_PER_M), "kPa"),
        "set": worst + 1,
    }
    return Finding("water", "care", "system.pressure_wanted", values, "water.pump.head")


def _duty(brief: Brief, made: DesignedSystem) -> list[Finding]:
    duties = made.duties
    if brief.pump.curve and duties.breaches:
        return _breaches(brief, made)
    worst = duties.worst
    values: Shown = {
        "flow": (float(duties.flow_m3_s[worst]) * M3_H, "m3/h"),
        "head": (float(duties.head_m[worst]), "m"),
        "set": worst + 1,
    }
    if brief.pump.curve:
        most = int(duties.spare_m.argmax())
        values |= {"spare": (float(duties.spare_m[most]), "m"), "most_set": most + 1}
        return [Finding("water", "note", "system.pump_serves", values, "water.pump.head")]
    largest = int(duties.flow_m3_s.argmax())
    values |= {
        "most": (float(duties.flow_m3_s[largest]) * M3_H, "m3/h"),
        "most_head": (float(duties.head_m[largest]), "m"),
        "most_set": largest + 1,
    }
    return [Finding("water", "note", "system.pump_wanted", values, "water.pump.head")]


def _breaches(brief: Brief, made: DesignedSystem) -> list[Finding]:
    """Tell of the set that lacks most head, and of the one farthest beyond the curve's ends."""
    found: list[Finding] = []
    by_kind: dict[str, list[Breach]] = {}
    for one in made.duties.breaches:
        is_small = one.kind == "flow_outside_pump_curve" and one.value < one.limit
        by_kind.setdefault("flow_below" if is_small else one.kind, []).append(one)
    serves = _flow_that_serves(brief, made)
    if (short := by_kind.get("pump_head_short")) is not None:
        one = max(short, key=lambda each: each.value - each.limit)
        values = _values(one, len(short), serves)
        values["short"] = (math.ceil((one.value - one.limit) * _STEPS) / _STEPS, "m")
        if serves is None:
            found.append(Finding("water", "stop", "system.pump_short", values, "water.pump.head"))
        else:
            found.append(
                Finding("water", "stop", "system.pump_short_sets", values, "water.pump.head")
            )
    if (beyond := by_kind.get("flow_outside_pump_curve")) is not None:
        one = max(beyond, key=lambda each: each.value)
        values = _values(one, len(beyond), serves)
        values["over"] = (one.value - one.limit, "m3/h")
        if serves is None:
            found.append(
                Finding("water", "stop", "system.pump_too_small", values, "water.pump.flow")
            )
        else:
            found.append(
                Finding("water", "stop", "system.pump_too_small_sets", values, "water.pump.flow")
            )
    if (below := by_kind.get("flow_below")) is not None:
        one = min(below, key=lambda each: each.value)
        values = _values(one, len(below), None)
        found.append(Finding("water", "care", "system.pump_flow_below", values, "water.pump.flow"))
    return found


def _values(one: Breach, count: int, serves_m3_h: float | None) -> Shown:
    values: Shown = {
        "set": int(one.row or 0) + 1,
        "value": (one.value, one.unit),
        "limit": (one.limit, one.unit),
        "count": count,
    }
    if serves_m3_h is not None:
        values["serves"] = (serves_m3_h, "m3/h")
    return values


def _flow_that_serves(brief: Brief, made: DesignedSystem) -> float | None:
    """Flow of a set at which the pump gives the most head that any set asks; None for no row's.

    Smaller sets lose no more in the same pipes, so what serves the hardest serves all. [m3/h]
    """
    flow = curve_of(brief.pump.curve).flow_with(float(made.duties.head_m.max()))
    if flow is None:
        return None
    pieces = made.system.laterals
    largest_row = int(np.bincount(pieces.piece, pieces.emitters).max()) * made.law.flow_m3_s
    rounded = math.floor(flow * M3_H * _STEPS) / _STEPS
    return rounded if rounded >= largest_row * M3_H else None


def _suction(brief: Brief, made: DesignedSystem, height_m: float) -> list[Finding]:
    found = []
    for one in suction_breaches(
        made.suction_head_m, brief.pump.npsh_required, brief.pump.suction_lift, height_m
    ):
        asked: Shown = {"value": (one.value, "m"), "limit": (one.limit, "m")}
        figure, source = "water.pump.suction_head", "suction-pages"
        if one.kind == "suction_head_short":
            asked["short"] = (math.ceil((one.limit - one.value) * _STEPS) / _STEPS, "m")
            found.append(Finding("water", "stop", "system.suction_short", asked, figure, source))
        else:
            found.append(Finding("water", "care", "system.suction_high", asked, figure, source))
    return found
