"""The erection sheet: cautions, order of work, drawing, pulls and every row, for the crew."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.erection_tables import posts_by_size, pull_table, row_table
from aanplant.report.paper import Box
from aanplant.report.svg import Drawing
from aanplant.report.trellis_elevation import (
    draw_elevation,
    elevation_height_mm,
    elevation_scale,
)
from aanplant.report.trellis_parts import Part, parts_of, unit_of, unit_words
from aanplant.report.trellis_section import (
    draw_section,
    section_height_mm,
    section_scale,
    section_width_mm,
)
from aanplant.report.trellis_view import TrellisView, measure, view_of
from aanplant.report.wire_list import BOARD_ASIDE_M, BOARD_PEGS_M, HEADS, wire_rows
from aanplant.units import UnitSystem, show, shown_in

CAUTIONS = ("wire", "driver", "overhead", "buried", "code")
_WORDS = (
    "title", "standing", "cautions", "order", "tensions", "elevation", "section", "parts",
    "wires", "rows", "tick", "remarks", "foreman", "date", "no_wires",
)  # fmt: skip
_WIDE_MM, _ELEVATION_MM, _SECTION_MM = 182.0, 105.0, 122.0
_SECTION_WIDE_MM = 112.0


def write_erection_sheet(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the sheet as PDF.

    Parameters
    ----------
    plan : Plan
        At least up to its trellis.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on the sheet.
    system : {"metric", "imperial"}
        Units shown.
    """
    view = view_of(plan)
    parts = parts_of(view, system)
    pictures = trellis_pictures(view, system)
    data = erection_data(plan, view, parts, made=made, system=system)
    data["scales"] = {
        name: fill("trellis_drawing.scale", scale=scale) for name, (_, scale) in pictures.items()
    }
    data["widths"] = {name: drawing.width_mm for name, (drawing, _) in pictures.items()}
    drawings = {f"{name}.svg": drawing for name, (drawing, _) in pictures.items()}
    print_paper("erection-sheet", data, path, made=made, drawings=drawings)


def erection_data(
    plan: Plan, view: TrellisView, parts: tuple[Part, ...], *, made: datetime, system: UnitSystem
) -> dict[str, Any]:
    """Gather all texts of the sheet, by the names the template uses."""
    stops = sum(finding.level == "stop" for finding in plan.findings)
    values = _values(plan, view, system)
    has_wires = bool(view.system.wires)
    return {
        **properties(plan, made),
        "words": {name: word(f"erection.{name}") for name in _WORDS},
        "stop": fill("trellis_drawing.stops", count=stops) if stops else "",
        "cautions": [word(f"erection.caution.{name}") for name in CAUTIONS],
        "steps": [fill(f"erection.step.{name}", **values) for name in _steps(plan, view)],
        "parts": [[str(part.number), part.text] for part in parts],
        "notes": [
            fill("trellis_drawing.units", unit=unit_words(system)),
            *([word("trellis_drawing.lines")] if has_wires else []),
            *(
                [
                    fill(
                        "erection.first_bay",
                        least=measure(view.first_bay_m[0], system),
                        most=measure(view.first_bay_m[-1], system),
                        unit=unit_of(system),
                    )
                ]
                if has_wires and view.first_bay_m
                else []
            ),
        ],
        "wire_heads": [
            fill(f"trellis_drawing.head.{name}", unit=unit_of(system)) for name in HEADS[:5]
        ],
        "wires": [row[:5] for row in wire_rows(view, system)],
        "pulls": pull_table(plan, view, system) if has_wires else None,
        "board": fill(
            "erection.board",
            pegs=_board(BOARD_PEGS_M, system),
            aside=_board(BOARD_ASIDE_M, system),
        ),
        "warmth": word("erection.warmth"),
        "rows": row_table(plan, system) if has_wires else None,
        "sizes": posts_by_size(plan, system) if has_wires else [],
        "rows_note": _rows_note(plan, system),
    }


def _rows_note(plan: Plan, system: UnitSystem) -> str:
    tail, unit = shown_in(plan.brief.materials.wire_tail, "m", system)
    note = fill("erection.rows_note", unit=unit, tail=show(round(tail, 1), ""))
    rows = plan.trellis.rows
    cut = rows.row[rows.part > 1]
    if not len(cut):
        return note
    return f"{fill('erection.pieces_note', row=int(cut[0]))} {note}"


def _board(length_m: float, system: UnitSystem) -> str:
    return f"{measure(length_m, system)} {unit_of(system)}" if system == "imperial" else (
        show(round(1000.0 * length_m, 1), "mm")
    )  # fmt: skip


def _steps(plan: Plan, view: TrellisView) -> list[str]:
    """Names of the steps that this trellis needs, in their order."""
    if not view.system.wires:
        return ["check_vines", *(["stakes"] if view.system.stake_length_m else []), "pegs"]
    assembly = view.ends.assembly
    steps = ["check", "end_posts" if view.lean_deg else "end_posts_upright"]
    if assembly == "tie-back":
        steps += ["anchors", "tie"] if view.has_anchors else []
        if len(plan.layout.anchors_xy) < len(plan.layout.positions.end_posts_xy):
            steps.append("inside")
    else:
        steps.append("brace" if assembly == "h-brace" else "strut")
    steps.append("line_posts")
    if view.system.arms:
        steps.append("arms")
    steps += ["run_out", "staples"]
    if any(mark.wire.movable for mark in view.marks):
        steps.append("movable")
    return [*steps, "strain", "pegs", "again"]


def _values(plan: Plan, view: TrellisView, system: UnitSystem) -> Mapping[str, str]:
    """Named values of the steps."""
    ends, trellis = view.ends, view.system
    lengths_m = {
        "anchor_distance": view.anchor_m,
        "tie_height": ends.tie_height,
        "rail_height": ends.rail_height,
        "post_distance": ends.post_distance,
        "strut_height": ends.strut_height,
        "strut_distance": ends.strut_distance,
        "end_embedment": trellis.end_post_embedment_m,
        "embedment": trellis.post_embedment_m,
        "stake_embedment": view.stake_in_ground_m,
        "spacing": view.bay_m,
        "tail": plan.brief.materials.wire_tail,
    }
    shown = {name: measure(length_m, system) for name, length_m in lengths_m.items()}
    return {**shown, "unit": unit_of(system), "lean": show(view.lean_deg, "deg")}


def trellis_pictures(view: TrellisView, system: UnitSystem) -> dict[str, tuple[Drawing, int]]:
    """Elevation and section, each with its scale."""
    room = Box(0.0, 0.0, _WIDE_MM, _ELEVATION_MM)
    along = elevation_scale(view, room)
    tall = elevation_height_mm(view, along)
    elevation = Drawing(_WIDE_MM, tall, word("erection.elevation"))
    draw_elevation(elevation, view, Box(0.0, 0.0, _WIDE_MM, tall), along, system)
    across = section_scale(view, Box(0.0, 0.0, _SECTION_WIDE_MM, _SECTION_MM))
    wide = min(max(section_width_mm(view, across), 60.0), _SECTION_WIDE_MM)
    tall = section_height_mm(view, across) + 3.0
    section = Drawing(wide, tall, word("erection.section"))
    draw_section(section, view, Box(0.0, 0.0, wide, tall), across, system)
    return {"elevation": (elevation, along), "section": (section, across)}
