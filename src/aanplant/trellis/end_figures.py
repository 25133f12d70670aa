"""Figures of the ends of rows: what holds the pull, and how far each part is used."""

from dataclasses import replace

import numpy as np

from aanplant.brief import Brief
from aanplant.trellis.ends import HBrace, TieBack
from aanplant.trellis.holding import Holding
from aanplant.trellis.whole import Trellis
from aanplant.trellis.wire_strength import SAFE_SHARE, break_load_n
from aanplant.working import Input, Working


def end_figures(brief: Brief, made: Trellis, held: Holding) -> list[Working]:
    """Return the greatest force in each part of the ends, and its use, in the worst row."""
    found = []
    designs = [("", held.ends)]
    if held.inside_ends is not None:
        designs.append(("inside_", held.inside_ends))
    for place, design in designs:
        for part in design.parts:
            worst = int(np.argmax(part.use))
            name = place + part.part.replace(" ", "_").replace("-", "_")
            load = Working(
                f"trellis.end_load.{name}",
                float(part.load[worst]),
                part.unit,
                (
                    Input("row", int(made.rows.row[worst]), "", "measured"),
                    Input("pull", float(design.pull.pull_n[worst]), "N", "measured"),
                    Input("height", float(design.pull.height_m[worst]), "m", "measured"),
                    *_geometry(brief, held, "strut" if place else brief.ends.assembly),
                ),
                "arithmetic",
                about=_about(place, part.part),
                message="trellis.end_load",
            )
            use = Working(
                f"trellis.end_use.{name}",
                float(part.use[worst]),
                "",
                (
                    load.as_input("load"),
                    Input("holds", float(part.holds[worst]), part.unit, "measured"),
                    Input("factor", part.factor, "", "brief:ends"),
                ),
                "practice",
                about=_about(place, part.part),
                message="trellis.end_use",
            )
            found += [load, use]
    if isinstance(held.ends.held, TieBack | HBrace):
        found.append(_tie(brief, made, held))
    return found


def _about(place: str, part: str) -> str:
    return f"{part}, braced inside" if place else part


def _geometry(brief: Brief, held: Holding, assembly: str) -> tuple[Input, ...]:
    keys = {
        "tie-back": ("ends.tie_height", "rows.anchor_distance", "ends.lean"),
        "h-brace": ("ends.rail_height", "ends.post_distance"),
        "strut": ("ends.strut_height", "ends.strut_distance"),
    }[assembly]
    return tuple(
        replace(item, value=getattr(held.rules, item.name, item.value))
        for item in map(brief.as_input, keys)
    )


def _tie(brief: Brief, made: Trellis, held: Holding) -> Working:
    rules, worst = brief.ends, int(np.argmax(held.tie_use))
    design = held.ends.held
    pull = design.tie_n if isinstance(design, TieBack) else design.wire_n  # type: ignore[union-attr]
    return Working(
        "trellis.tie_use",
        float(held.tie_use[worst]),
        "",
        (
            Input("row", int(made.rows.row[worst]), "", "measured"),
            Input("tie", float(pull[worst]), "N", "measured"),
            Input(
                "break_load", break_load_n(rules.brace_wire_diameter, rules.brace_wire_grade), "N",
                "table:wire_grades.csv",
            ),
            brief.as_input("ends.brace_wire_strands", "strands"),
            Input("safe_share", SAFE_SHARE, "", "default:safe_share", "practice"),
        ),
        "practice",
    )  # fmt: skip
