"""What of the irrigation system is bought: dripper line, pipe, valves, fittings, filter, pump."""

import numpy as np

from aanplant.water.designed import DesignedSystem
from aanplant.water.pipes import MM_PER_M
from aanplant.water.system import LATERAL
from aanplant.water.system_figures import pipe_name
from aanplant.work.items import Item
from aanplant.working import Figures, Input, Working

_LENGTHS = {"PVC-U": "pipe-length", "PE100": "pipe-coil"}
_DEVICES = {
    "vacuum break": "vacuum-break",
    "air valve": "air-valve",
    "drain": "drain-valve",
    "flush valve": "flush-valve",
    "pressure point": "gauge-point",
}


def water_items(made: DesignedSystem, figures: list[Working]) -> list[Item]:
    """List what is bought for the system beside the dripper line.

    Parameters
    ----------
    made : DesignedSystem
        As designed.
    figures : list of Working
        The counts are added to it.
    """
    known = Figures(made.figures)
    pipes = [
        Item(
            pipe.item,
            pipe_name(pipe),
            known[f"water.pipe.{pipe.item}"],
            family=_LENGTHS[pipe.material],
        )
        for pipe in made.pipes[:-1]
    ]
    parts = [
        *_valves(made),
        *_joints(made),
        *_works(made),
    ]
    items = []
    for code, family, name, count in parts:
        if not count:
            continue
        figure = Working(
            f"water.part.{code}",
            count,
            "",
            (Input("counted", count, "", "measured"),),
            "practice",
            about=name,
            message="water.part",
        )
        figures.append(figure)
        items.append(Item(code, name, figure, family=family))
    return [*pipes, *items]


def _valves(made: DesignedSystem) -> list[tuple[str, str, str, int]]:
    """Code, family, name and number of what sits on the pipes."""
    devices = made.system.devices
    size = [made.pipes[int(pipe)].outside_m * MM_PER_M for pipe in made.pipe[devices.of("valve")]]
    found = [
        (f"valve-{mm:g}", "valve", f"valve of a set, {mm:g} mm", size.count(mm))
        for mm in sorted(set(size), reverse=True)
    ]
    return [
        *found,
        *((code, code, kind, len(devices.of(kind))) for kind, code in _DEVICES.items()),
    ]


def _joints(made: DesignedSystem) -> list[tuple[str, str, str, int]]:
    """Count take-offs, plugs, tees and reducers."""
    system = made.system
    laterals = len(system.laterals)
    buried = np.flatnonzero((system.kind < LATERAL) & (system.parent > 0))
    before = made.pipe[system.parent[buried]]
    own = made.pipe[buried]
    found = [
        ("take-off", "take-off", "take-off of a lateral with its connector", laterals),
        ("end-plug", "end-plug", "flush end of a lateral", laterals),
    ]
    outside = np.array([pipe.outside_m * MM_PER_M for pipe in made.pipes])
    sizes = np.stack([outside[before], outside[own]], axis=1)[outside[before] != outside[own]]
    pairs, counts = np.unique(sizes, axis=0, return_counts=True)
    for (first, second), count in zip(pairs[::-1].tolist(), counts[::-1].tolist(), strict=True):
        code, name = f"reducer-{first:g}-{second:g}", f"reducer {first:g} to {second:g} mm"
        found.append((code, "reducer", name, count))
    below = np.bincount(system.parent[buried], minlength=len(system))
    found.append(("tee", "tee", "tee", int((below[1:] > 1).sum())))
    return found


def _works(made: DesignedSystem) -> list[tuple[str, str, str, int]]:
    """Filter, meter and pump."""
    kind = made.filter.kind.partition(" ")[0]
    return [
        (f"filter-{kind}", "filter", f"{made.filter.kind} filter", 1),
        ("water-meter", "water-meter", "water meter", 1),
        ("pump", "pump", "pump with motor and switchgear", int(made.is_pumped)),
    ]
