"""Pipes, valves and the pressure at every dripper for the sheet."""

import numpy as np

from aanplant.files.water_features import laid_pipes, laid_valves
from aanplant.plan import Plan
from aanplant.report.pressure_map import steps_of
from aanplant.server.packing import Layer, lines_of, single
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M

NO_SET = 0


def pipes_layer(plan: Plan) -> Layer:
    """Pipes with their sets and sizes, the valves on them and the source.

    Nothing without a system.
    """
    made = plan.water.system
    if made is None:
        return {}, {"pipes": [], "valves": []}
    pipes, valves = laid_pipes(made), laid_valves(made)
    arrays = lines_of("pipes", [one.run.xy for one in pipes])
    arrays |= {
        "pipes_bore_mm": np.array([one.pipe.bore_m * 1000 for one in pipes], np.float32),
        "pipes_flow_m3_h": np.array([one.run.flow_m3_s * 3600 for one in pipes], np.float32),
        "valves_xy": single(valves.xy),
        "valves_kpa": valves.pressure_kpa.astype(np.float32),
        "source_xy": single(made.system.xy[:1]),
        "pipes_set": np.array([one.set_number or NO_SET for one in pipes], np.uint16),
        "valves_set": np.array([one or NO_SET for one in valves.set_number], np.uint16),
    }
    named = [{"code": one.code, "kind": one.run.kind, "row": one.row} for one in pipes]
    kinds = [
        {"code": code, "kind": kind} for code, kind in zip(valves.code, valves.kind, strict=True)
    ]
    return arrays, {"pipes": named, "valves": kinds}


def pressure_layer(plan: Plan) -> Layer:
    """Return the pressure at every dripper while its set runs; nothing without a system.

    Drippers stand lateral by lateral, from the inlet on; ``laterals_first`` tells where each
    lateral begins. The steps are those of the printed map of pressures.
    """
    made: DesignedSystem | None = plan.water.system
    if made is None:
        return {}, {"steps_kpa": []}
    system, laterals = made.system, made.system.laterals
    # Drippers of each lateral, one after the other, whatever lies between laterals.
    own = np.concatenate(
        [
            np.arange(first, first + count)
            for first, count in zip(
                laterals.first.tolist(), laterals.emitters.tolist(), strict=True
            )
        ]
    )
    arrays = {
        "drippers_xy": single(system.xy[own]),
        "drippers_kpa": (made.pressure_m[own] * KPA_PER_M).astype(np.float32),
        "laterals_first": np.concatenate([[0], np.cumsum(laterals.emitters)]).astype(np.int32),
        "drippers_set": (laterals.set_of[system.lateral[own]] + 1).astype(np.uint16),
        "laterals_row": laterals.row.astype(np.uint16),
        "drippers_starved": made.starved[own].astype(np.uint8),
    }
    return arrays, {"steps_kpa": steps_of(made).bounds_kpa.tolist()}
