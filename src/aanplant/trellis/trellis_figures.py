"""The figures of a trellis: its wire, its loads, its worst rows and its parts."""

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.trellis.whole import Trellis
from aanplant.working import Input, Working


def figures(brief: Brief, layout: Layout, made: Trellis) -> tuple[Working, ...]:
    """Return the figures in the order of the job."""
    return _wires(brief, layout, made)


def _wires(brief: Brief, layout: Layout, made: Trellis) -> tuple[Working, ...]:
    row_length = layout.line_length
    row_ends = Input("row_ends", 2 * len(made.rows), "", "figure:layout.row_ends")
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
        for index, (line, length_m) in enumerate(
            zip(made.wires, made.wire_length_m, strict=True), start=1
        )
    )
    total = Working(
        "trellis.wire_length",
        sum(made.wire_length_m),
        "m",
        tuple(figure.as_input(f"line_{index}") for index, figure in enumerate(per_line, start=1)),
        "arithmetic",
    )
    anchors = Working(
        "trellis.anchors",
        made.counts.anchors,
        "",
        (row_ends, Input("inside_braced_ends", made.counts.inside_ends, "", "measured")),
        "arithmetic",
    )
    return (*per_line, total, anchors)
