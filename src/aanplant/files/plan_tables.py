"""The lists of a plan, one mapping a line: rows, orders, costs, bearings compared."""

import dataclasses
from collections.abc import Mapping
from typing import Any

import numpy as np

from aanplant.files.points import row_lines
from aanplant.layout.direction import Sweep
from aanplant.plan import Plan

Table = list[dict[str, Any]]


def plan_tables(plan: Plan) -> Mapping[str, Table]:
    """Return the lists of the stages that ran, by name."""
    made: dict[str, Table] = {}
    if "layout" in plan.results:
        made["rows"] = _rows(plan)
        if plan.layout.sweep is not None:
            made["bearings"] = _bearings(plan.layout.sweep)
    if "work" in plan.results:
        made["orders"] = [
            {**dataclasses.asdict(line), "order": line.order} for line in plan.work.orders
        ]
        made["costs"] = [dataclasses.asdict(line) for line in plan.work.costs]
    return made


def _rows(plan: Plan) -> Table:
    rows = row_lines(plan)
    return [
        {"row": row, "part": part, "length_m": length_m, "vines": vines}
        for row, part, length_m, vines in zip(
            rows.row.tolist(), rows.part.tolist(), rows.length_m.tolist(), rows.vines.tolist(),
            strict=True,
        )
    ]  # fmt: skip


def _bearings(sweep: Sweep) -> Table:
    """One line a bearing: what was counted, then what others judged it by."""
    columns = {
        item.name: getattr(sweep, item.name)
        for item in dataclasses.fields(sweep)
        if isinstance(getattr(sweep, item.name), np.ndarray)
    }
    columns.update((criterion.name, criterion.values) for criterion in sweep.extra)
    lines = zip(*(column.tolist() for column in columns.values()), strict=True)
    return [dict(zip(columns, line, strict=True)) for line in lines]
