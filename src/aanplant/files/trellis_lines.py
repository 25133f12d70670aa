"""The lists of a trellis in ``plan.json``: its rows, its wires, its posts compared."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from aanplant.plan import Plan
from aanplant.trellis import Trellis
from aanplant.trellis.ends import HBrace, Strut, TieBack
from aanplant.trellis.holding import Holding

Table = list[dict[str, Any]]
_DIGITS = 4


def trellis_tables(plan: Plan) -> dict[str, Table]:
    """Return the lists of the trellis by name; none of rows and wires without wires."""
    made: dict[str, Table] = {}
    held = plan.trellis.holding
    if held is not None:
        made["trellis_rows"] = _rows(plan, held)
        made["trellis_wires"] = _wires(plan.trellis, held)
    if "work" in plan.results and plan.work.posts is not None:
        made["post_choice"] = plan.work.posts.table()
    return made


def _rows(plan: Plan, held: Holding) -> Table:
    """One line a piece of row; what isn't known is null."""
    rows, ends = plan.trellis.rows, held.ends
    count = len(rows)
    posts = np.where(held.is_exposed, held.exposed_post.name, held.post.name)
    anchored = np.bincount(plan.layout.anchors_piece, minlength=len(plan.layout.rows))[rows.piece]
    assembly = held.rules.assembly
    columns: dict[str, NDArray[Any]] = {
        "row": rows.row,
        "part": rows.part,
        "length_m": rows.length_m,
        "span_m": rows.span_m,
        "longest_span_m": rows.longest_span_m,
        "radius_m": rows.radius_m,
        "dip_deg": rows.dip_deg,
        "line_posts": rows.line_posts,
        "line_post": posts,
        "end_assembly": np.full(count, assembly),
        "anchors": anchored if assembly == "tie-back" else np.zeros(count, np.int64),
        "helix_mm": ends.helix_mm,
        "pull_installed_n": held.states.row_pull_n("installed"),
        "pull_crop_n": held.states.row_pull_n("crop"),
        "pull_cold_n": held.states.row_pull_n("cold"),
        "end_force_n": _end_force(ends.held),
        "lift_n": held.lift_n,
        "side_n": held.side_n,
        "post_wind_m_s": held.bending_gust_m_s,
        "ground_wind_m_s": held.ground_gust_m_s,
        **{f"use_{part.replace(' ', '_').replace('-', '_')}": use
           for part, use in held.use_by_part.items()},
        "worst_part": held.worst_part,
        "worst_use": held.worst_use,
    }  # fmt: skip
    lines = zip(*(_plain(column) for column in columns.values()), strict=True)
    return [dict(zip(columns, line, strict=True)) for line in lines]


def _end_force(held: TieBack | HBrace | Strut) -> NDArray[np.float64]:
    """Pull in a tie, push in a rail or a strut. [N]."""
    if isinstance(held, TieBack):
        return held.tie_n
    return held.rail_n if isinstance(held, HBrace) else held.axial_n


def _plain(column: NDArray[Any]) -> list[Any]:
    if column.dtype.kind != "f":
        return list(column.tolist())
    return [
        round(value, _DIGITS) if known else None
        for value, known in zip(column.tolist(), np.isfinite(column).tolist(), strict=True)
    ]


def _wires(trellis: Trellis, held: Holding) -> Table:
    states = held.states
    return [
        {
            "wire": wire.name,
            "role": wire.role,
            "height_m": wire.height_m,
            "offset_m": wire.offset_m,
            "strands": wire.strands,
            "movable": wire.movable,
            "diameter_mm": wire.diameter_mm,
            "grade": wire.grade,
            "item": wire.item,
            "length_m": round(trellis.wire_length_m[at], 2),
            "break_n": round(float(states.break_n[at]), 1),
            "limit_n": round(float(states.limit_n[at]), 1),
            "installed_n": round(float(states.installed_n[:, at].max()), 1),
            "crop_n": round(float(states.crop_n[:, at].max()), 1),
            "cold_n": round(float(states.cold_n[:, at].max()), 1),
            "sag_installed_m": round(float(states.sag_installed_m[:, at].max()), 4),
            "sag_hot_m": round(float(states.sag_hot_m[:, at].max()), 4),
            "use": round(float(held.wire_line_use[:, at].max()), 4),
            "worst_row": int(trellis.rows.row[states.worst_row[at]]),
            "worst_case": str(states.worst_case[states.worst_row[at], at]),
        }
        for at, wire in enumerate(trellis.wires)
    ]
