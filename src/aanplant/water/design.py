"""The dripper line of a block as far as it is known from the rows."""

from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.working import Finding, Working

_KEYS_AHEAD = ("source", "flow_available", "water_right", "committed", "right_months", "storage")


@dataclass(frozen=True)
class Irrigation:
    """The dripper line.

    Parameters
    ----------
    dripper_line_m : float
        One line along every row, waste not counted. [m]
    drippers : int
        Drippers on it.
    figures, findings
        What the stage has to say.
    """

    dripper_line_m: float
    drippers: int
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def design(brief: Brief, site: Site, stock: Stock, layout: Layout) -> Irrigation:  # noqa: ARG001 - heights and demand come in with the hydraulics
    """Work out the length of dripper line."""
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
    findings = []
    if ahead:
        findings.append(
            Finding("water", "note", "brief.keys_ahead", {"keys": ", ".join(ahead)}, source="brief")
        )
    return Irrigation(length_m, drippers, (line, count, flow), tuple(findings))
