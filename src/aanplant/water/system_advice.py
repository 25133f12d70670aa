"""What there is to say about the irrigation system: what it lacks and where it is worst."""

from collections.abc import Iterable

import numpy as np

from aanplant.brief import Brief
from aanplant.units import show
from aanplant.water.backflow import DRINKING, INJECTION, Guard, guards
from aanplant.water.designed import DesignedSystem
from aanplant.water.dripper_advice import dripper_advice
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pump_advice import pump_advice
from aanplant.water.system import KIND_NAMES, LATERAL, SOURCE, LayoutBreach
from aanplant.water.system_figures import M3_H, pipe_name
from aanplant.working import Finding, Value

_SLACK = 1e-6
Shown = dict[str, Value | tuple[Value, str]]


def no_source(brief: Brief, keys: Iterable[str]) -> tuple[Finding, ...]:
    """Say what is missing before pipes can be drawn.

    Parameters
    ----------
    brief : Brief
        Without a source of water.
    keys : iterable of str
        Keys that only the system uses.
    """
    found = [Finding("water", "note", "system.no_source", source="brief")]
    unused = [key for key in keys if brief.is_given(key)]
    if unused:
        found.append(
            Finding(
                "water", "note", "brief.keys_ahead", {"keys": ", ".join(unused)}, source="brief"
            )
        )
    return tuple(found)


def advice(brief: Brief, made: DesignedSystem, height_m: float) -> tuple[Finding, ...]:
    """Put in words what is to be said of a system.

    Parameters
    ----------
    brief : Brief
        Limits and what is known of pump and head works.
    made : DesignedSystem
        As designed.
    height_m : float
        Of the pump above the sea. [m]
    """
    return (
        *_supply(brief, made),
        *_layout(made),
        *dripper_advice(brief, made),
        *_suction_in_pipes(made),
        *_pipes(brief, made),
        *pump_advice(brief, made, height_m),
        *_guards(brief, made),
    )


def _supply(brief: Brief, made: DesignedSystem) -> list[Finding]:
    system, limit = made.system, made.system.flow_limit_m3_s * M3_H
    if brief.water.flow_available is None and brief.sets.flow is None:
        largest = float(system.sets.flow_m3_s.max()) * M3_H
        return [
            Finding(
                "water",
                "care",
                "system.flow_unknown",
                {"flow": (largest, "m3/h"), "sets": len(system.sets)},
                "water.set_flow",
                "brief",
            )
        ]
    over = next((one for one in system.breaches if one.kind == "set_above_supply"), None)
    largest = int(made.runs.flow_m3_s.argmax())
    flow = float(made.runs.flow_m3_s[largest]) * M3_H
    if over is None and flow <= limit * (1.0 + _SLACK):
        return []
    flow = max(flow, over.value if over else 0.0)
    values: Shown = {
        "set": int(over.part) if over else int(largest) + 1,
        "flow": (flow, "m3/h"),
        "limit": (limit, "m3/h"),
        "over": (flow - limit, "m3/h"),
    }
    if over is not None and over.works is not None:
        values["works"] = int(over.works)
        return [Finding("water", "stop", "system.set_above_supply", values, "water.set_flow")]
    return [Finding("water", "stop", "system.set_far_above_supply", values, "water.set_flow")]


def _layout(made: DesignedSystem) -> list[Finding]:
    found = []
    system = made.system
    by_kind: dict[str, LayoutBreach] = {one.kind: one for one in system.breaches}
    if (one := by_kind.get("source_height_differs")) is not None:
        values: Shown = {"apart": (one.value, "m"), "file": one.part}
        found.append(Finding("water", "care", "system.source_height", values, source="brief"))
    if (one := by_kind.get("rows_crossed")) is not None:
        values = {"rows": int(one.value)}
        found.append(Finding("water", "care", "system.rows_crossed", values))
    if (one := by_kind.get("heights_unknown")) is not None:
        values = {"nodes": int(one.value)}
        found.append(Finding("water", "care", "system.heights_unknown", values))
    if not system.heights_known:
        found.append(Finding("water", "care", "system.no_heights", source="no-heights"))
    for name in dict.fromkeys(one.name or one.kind for one in system.crossings):
        place = next(one for one in system.crossings if (one.name or one.kind) == name)
        found.append(Finding("water", "care", "system.crossing", {"name": name}, place=place.xy))
    return found


def _suction_in_pipes(made: DesignedSystem) -> list[Finding]:
    """Say where mainline or submain run below the pressure of the air."""
    if made.lacks_head:
        return []  # told by the pump
    pipes = np.flatnonzero((made.system.kind > SOURCE) & (made.system.kind < LATERAL))
    node = int(pipes[made.pressure_m[pipes].argmin()])
    pressure = float(made.pressure_m[node])
    if pressure >= -_SLACK:
        return []
    values: Shown = {
        "pipe": KIND_NAMES[int(made.system.kind[node])],
        "pressure": (pressure * KPA_PER_M, "kPa"),
        "short": (-pressure, "m"),
    }
    return [Finding("water", "stop", "system.suction", values, place=made.place_of(node))]


def _pipes(brief: Brief, made: DesignedSystem) -> list[Finding]:
    found = []
    worst = int(made.runs.velocity_m_s.argmax())
    velocity, limit = float(made.runs.velocity_m_s[worst]), brief.pipes.velocity
    if velocity > limit * (1.0 + _SLACK):
        found.append(
            Finding(
                "water",
                "care",
                "system.fast",
                {"set": worst + 1, "velocity": (velocity, "m/s"), "limit": (limit, "m/s")},
                "water.velocity_most",
                place=made.place_of(int(made.runs.velocity_node[worst])),
            )
        )
    if not made.surge.holds:
        found.append(
            Finding(
                "water",
                "care",
                "system.surge",
                {
                    "pipe": pipe_name(made.pipes[int(made.pipe[made.surge_node])]),
                    "working": (made.surge.working_m * KPA_PER_M, "kPa"),
                    "surge": (made.surge.surge_m * KPA_PER_M, "kPa"),
                    "over": (made.surge.over_m * KPA_PER_M, "kPa"),
                },
                "water.surge",
                "joukowsky",
                made.place_of(made.surge_node),
            )
        )
    if not made.is_priced:
        found.append(Finding("water", "note", "system.pipes_unpriced", source="brief"))
    if made.weighed_m3 is not None:
        values: Shown = {
            "season": (round(made.weighed_m3), "m3"),
            "years": round(brief.pipes.years),
            "interest": (round(100.0 * brief.pipes.interest, 1), "%"),
        }
        found.append(
            Finding("water", "note", "system.pipes_weighed", values, "water.pump.head_price")
        )
    return found


def _guards(brief: Brief, made: DesignedSystem) -> list[Finding]:
    chosen = made.filter
    values: Shown = {
        "kind": chosen.kind,
        "opening": round(chosen.opening_um),
        "area": (chosen.area_m2, "m2"),
        "mesh": chosen.mesh,
    }
    found = [
        Finding("water", "note", "system.filter", values, "water.filter_area", chosen.rate_source)
    ]
    for when, message, source in (
        (DRINKING, "backflow", "sans-10252"),
        (INJECTION, "injection", "us-chemigation"),
    ):
        named = "; ".join(_guard(one) for one in guards(brief) if one.when == when)
        values = {"guards": named}
        if named and message == "backflow":
            found.append(Finding("water", "care", "system.backflow", values, "", source))
        elif named:
            found.append(Finding("water", "care", "system.injection", values, "", source))
    found.append(Finding("water", "care", "system.danger"))
    return found


def _guard(one: Guard) -> str:
    """Say what must be there, with its size where it has one."""
    return one.what if one.amount is None else f"{one.what} ({show(one.amount, one.unit)})"
