"""The water of a block: its dripper line, and the system that feeds it."""

from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.water.designed import DesignedSystem
from aanplant.water.system_advice import no_source
from aanplant.water.system_design import SYSTEM_KEYS, design_system
from aanplant.working import Finding, Working

_KEYS_AHEAD = ("water_right", "committed", "right_months", "storage")


@dataclass(frozen=True)
class Irrigation:
    """The dripper line.

    Parameters
    ----------
    dripper_line_m : float
        One line along every row, waste not counted. [m]
    drippers : int
        Drippers on it.
    system : DesignedSystem or None
        Pipes, sets and pump; None where the brief names no source of water.
    figures, findings
        What the stage has to say.
    """

    dripper_line_m: float
    drippers: int
    system: DesignedSystem | None
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def design(
    brief: Brief, site: Site, stock: Stock, layout: Layout, inputs: Inputs | None = None
) -> Irrigation:
    """Work out the length of dripper line, and the system where a source of water is named.

    Raises
    ------
    InputError
        If the system cannot be laid or sized.
    """
    row_length = layout.line_length
    length_m = float(row_length.value)
    spacing_m = brief.water.emitter.spacing
    line = Working(
        "water.dripper_line",
        length_m,
        "m",
        (row_length,),
        "practice",
    )
    drippers = int(length_m / spacing_m)
    count = Working(
        "water.drippers",
        drippers,
        "",
        (line.as_input("dripper_line"), brief.as_input("water.emitter.spacing")),
        "arithmetic",
    )
    flow = Working(
        "water.flow_at_once",
        drippers * brief.water.emitter.flow / 1000.0,
        "m3/h",
        (count.as_input("drippers"), brief.as_input("water.emitter.flow")),
        "arithmetic",
    )
    ahead = [f"water.{key}" for key in _KEYS_AHEAD if brief.is_given(f"water.{key}")]
    findings: list[Finding] = []
    if ahead:
        findings.append(
            Finding("water", "note", "brief.keys_ahead", {"keys": ", ".join(ahead)}, source="brief")
        )
    system = None
    if inputs is not None:
        source, route = inputs.water_source, inputs.water_route
        system = design_system(brief, site, stock, layout, source, route, inputs.pipe_prices)
    if system is None:
        findings += no_source(brief, SYSTEM_KEYS)
    return Irrigation(
        length_m,
        drippers,
        system,
        (line, count, flow, *(system.figures if system else ())),
        (*findings, *(system.findings if system else ())),
    )
