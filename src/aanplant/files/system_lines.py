"""The lists of an irrigation system in ``plan.json``: its sets, its pipes, its valves."""

import math
from typing import Any

import numpy as np

from aanplant.plan import Plan
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pipes import MM_PER_M, PA_PER_KPA
from aanplant.water.system import LATERAL
from aanplant.water.system_figures import M3_H

Table = list[dict[str, Any]]


def system_tables(plan: Plan) -> dict[str, Table]:
    """Return the lists of the system by name; none without a system."""
    made = plan.water.system
    if made is None:
        return {}
    return {
        "sets": _sets(plan, made),
        "pipes": _pipes(made),
        "valves": _valves(plan, made),
        "longest_laterals": _longest(made),
    }


def _sets(plan: Plan, made: DesignedSystem) -> Table:
    """One line a set."""
    system, runs, duties = made.system, made.runs, made.duties
    zones = () if plan.site.soil is None else plan.site.soil.zones
    found = []
    for number in range(len(runs)):
        own = np.flatnonzero(system.laterals.set_of == number)
        rows = np.unique(system.laterals.row[own])
        zone = int(system.sets.zone[number])
        found.append(
            {
                "set": number + 1,
                "first_row": rows[0],
                "last_row": rows[-1],
                "rows": len(rows),
                "laterals": len(own),
                "drippers": system.sets.emitters[number],
                "vines": system.sets.vines[number],
                "area_m2": system.sets.area_m2[number],
                "zone": zones[zone].name if zone >= 0 else None,
                "zone_share": system.sets.zone_share[number],
                "valves": int((system.submains.set_of == number).sum()),
                "flow_m3_h": runs.flow_m3_s[number] * M3_H,
                "pump_head_m": duties.head_m[number],
                "spare_head_m": _known(float(duties.spare_m[number])),
                "input_kw": duties.input_kw[number],
                "valve_kpa": runs.valve_m[number] * KPA_PER_M,
                "least_kpa": runs.least_m[number] * KPA_PER_M,
                "least_row": made.row_of(int(runs.least_node[number]))[0],
                "most_kpa": runs.most_m[number] * KPA_PER_M,
                "most_row": made.row_of(int(runs.most_node[number]))[0],
                "emission_uniformity_percent": runs.emission_pct[number],
                "low_quarter_percent": runs.low_quarter_pct[number],
                "flow_variation_percent": 100.0 * runs.flow_variation[number],
                "velocity_m_s": runs.velocity_m_s[number],
                "flushing_m_s": runs.flushing_m_s[number],
                "starved": runs.starved[number],
            }
        )
    return found


def _pipes(made: DesignedSystem) -> Table:
    """One line a size and kind of pipe."""
    return [
        {
            "kind": kind,
            "item": "dripper-line" if kind == "lateral" else pipe.item,
            "material": pipe.material,
            "class": pipe.series,
            "outside_mm": pipe.outside_m * MM_PER_M,
            "bore_mm": pipe.bore_m * MM_PER_M,
            "rated_kpa": pipe.rated_pa / PA_PER_KPA,
            "length_m": metres,
        }
        for kind, lengths in made.metres.items()
        for pipe, metres in lengths.items()
    ]


def _longest(made: DesignedSystem) -> Table:
    """One line a bore of dripper line: how long its laterals may be."""
    return [
        {
            "bore_mm": one.bore_m * MM_PER_M,
            "is_chosen": one.bore_m == made.lateral_pipe.bore_m,
            "level_m": one.length_m,
            "inlet_kpa": one.inlet_m * KPA_PER_M,
            "uphill_m": one.uphill_m,
            "rise_percent": 100.0 * one.rise,
            "longest_laid_m": made.system.laterals.length_m.max(),
        }
        for one in made.longest
    ]


def _valves(plan: Plan, made: DesignedSystem) -> Table:
    """One line a valve or other part on the pipes, with its place in the set-out grid."""
    system, devices = made.system, made.system.devices
    grid = plan.site.grid.from_frame(system.xy[devices.node])
    names = plan.site.grid.axis_names
    found = []
    for at, (kind, node) in enumerate(zip(devices.kind, devices.node.tolist(), strict=True)):
        number = int(devices.set_of[at])
        pipe = made.pipes[int(made.pipe[node])] if node else None
        pressure = float(made.pressure_m[node])
        found.append(
            {
                "kind": kind,
                "set": number + 1 if number >= 0 else None,
                "row": made.row_of(node)[0] if system.kind[node] == LATERAL else None,
                "size_mm": pipe.outside_m * MM_PER_M if pipe else None,
                "pressure_kpa": pressure * KPA_PER_M,
                "z_m": system.z_m[node] if system.heights_known else None,
                names[0]: round(float(grid[at, 0]), 3),
                names[1]: round(float(grid[at, 1]), 3),
            }
        )
    return found


def _known(value: float) -> float | None:
    return value if math.isfinite(value) else None
