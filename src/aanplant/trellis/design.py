"""The trellis of a block as far as it is known from the rows: wires and anchors."""

from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.trellis.systems import System, system_of
from aanplant.trellis.wires import WireLine
from aanplant.working import Finding, Input, Working

_KEYS_AHEAD = (
    "post_length",
    "post_embedment",
    "end_post_length",
    "end_post_embedment",
    "install_temperature",
    "hottest_wire",
    "coldest_wire",
    "arms",
)
"""Keys understood, but not used by any figure yet."""


@dataclass(frozen=True)
class Trellis:
    """What holds the vines up.

    Parameters
    ----------
    system : System
        Wires, arms and posts.
    wires : tuple of WireLine
        From the ground up.
    wire_length_m : tuple of float
        Length of each line over all rows, tails included, waste not. [m]
    figures, findings
        What the stage has to say.
    """

    system: System
    wires: tuple[WireLine, ...]
    wire_length_m: tuple[float, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def design(brief: Brief, site: Site, layout: Layout) -> Trellis:  # noqa: ARG001 - slopes will load the trellis
    """Work out wires and anchors.

    Raises
    ------
    InputError
        If the system is not known.
    """
    system = system_of(brief)
    lines = system.wires
    row_length = layout.line_length
    row_length_m = float(row_length.value)
    ends = len(layout.positions.end_posts_xy)
    tail_m = brief.materials.wire_tail
    run_m = row_length_m + ends * tail_m
    lengths = tuple(line.strands * run_m for line in lines)
    row_ends = Input("row_ends", ends, "", "figure:layout.row_ends")
    tail = brief.as_input("materials.wire_tail")
    per_line = tuple(
        Working(
            f"trellis.wire_length.{index}",
            length_m,
            "m",
            (
                Input("strands", line.strands, "", line.origin, line.source),
                row_length,
                row_ends,
                tail,
            ),
            "practice",
            about=f"{line.name} at {line.height_m:g} m, {line.diameter_mm:g} mm {line.grade}",
            message="trellis.wire_line",
        )
        for index, (line, length_m) in enumerate(zip(lines, lengths, strict=True), start=1)
    )
    total = Working(
        "trellis.wire_length",
        sum(lengths),
        "m",
        tuple(figure.as_input(f"line_{index}") for index, figure in enumerate(per_line, start=1)),
        "arithmetic",
    )
    anchors = Working(
        "trellis.anchors",
        len(layout.anchors_xy),
        "",
        (row_ends, Input("inside_braced_ends", ends - len(layout.anchors_xy), "", "measured")),
        "arithmetic",
    )
    findings = (
        [Finding("trellis", "care", "trellis.wire_danger", source="practice")] if lines else []
    )
    ahead = [f"trellis.{key}" for key in _KEYS_AHEAD if brief.is_given(f"trellis.{key}")]
    if ahead:
        findings.append(
            Finding(
                "trellis", "note", "brief.keys_ahead", {"keys": ", ".join(ahead)}, source="brief"
            )
        )
    return Trellis(system, lines, lengths, (*per_line, total, anchors), tuple(findings))
