"""The lists of a plan, one mapping a line: rows, orders, costs, bearings compared."""

import dataclasses
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from aanplant.files.calendar_tables import calendar_tables
from aanplant.files.climate_tables import climate_tables
from aanplant.files.delivery_lines import delivery_tables
from aanplant.files.money_tables import money_tables
from aanplant.files.nursery_tables import nursery_tables
from aanplant.files.planting_tables import planting_tables
from aanplant.files.points import row_lines
from aanplant.files.rootstock_lines import rootstock_tables
from aanplant.files.running_lines import running_tables
from aanplant.files.system_lines import system_tables
from aanplant.files.trellis_lines import trellis_tables
from aanplant.files.water_lines import water_tables
from aanplant.layout.chord_offsets import row_offsets
from aanplant.layout.direction import Sweep
from aanplant.layout.direction_choice import pareto, shortfalls
from aanplant.plan import Plan
from aanplant.site.zones import Zone

Table = list[dict[str, Any]]


def plan_tables(plan: Plan) -> Mapping[str, Table]:
    """Return the lists of the stages that ran, by name."""
    made: dict[str, Table] = {}
    for stage, tables_of in _BY_STAGE.items():
        if stage in plan.results:
            made |= tables_of(plan)
    return made


def _site(plan: Plan) -> dict[str, Table]:
    made: dict[str, Table] = {}
    if plan.site.soil is not None:
        made["zones"] = [_zone(zone) for zone in plan.site.soil.zones]
    if plan.site.permissions is not None:
        made["permissions"] = [
            dataclasses.asdict(item) for item in plan.site.permissions.permissions
        ]
    if plan.site.climate is not None:
        made |= climate_tables(plan.site.climate)
    return made


def _stock(plan: Plan) -> Mapping[str, Table]:
    choice = plan.stock.rootstock_choice
    return {} if choice is None else rootstock_tables(choice)


def _water(plan: Plan) -> dict[str, Table]:
    """Return the lists of what the vines need, of the system, and of how it is run."""
    made: dict[str, Table] = {}
    use, running = plan.water.use, plan.water.running
    if use is not None and use.needs is not None:
        made |= water_tables(use.needs)
    made |= system_tables(plan) | delivery_tables(plan)
    if running is not None:
        made |= running_tables(running)
    return made


def _layout(plan: Plan) -> dict[str, Table]:
    """Return the lists of the rows and of how their bearing was found."""
    made: dict[str, Table] = {}
    made["rows"] = _rows(plan)
    if plan.layout.course is not None:
        made["row_offsets"] = _row_offsets(plan)
    if plan.layout.sweep is not None:
        made["bearings"] = _bearings(plan.layout.sweep)
    if plan.layout.sunlight is not None:
        made["sunlight"] = plan.layout.sunlight.table()
    return made


def _work(plan: Plan) -> dict[str, Table]:
    """Return the lists of the work: what is ordered, spared, sampled, spread and paid."""
    made: dict[str, Table] = {}
    made["orders"] = [
        {**dataclasses.asdict(line), "order": line.order} for line in plan.work.orders
    ]
    made["spares"] = plan.work.spares.table()
    made["sampling"] = plan.work.samples.table()
    made |= nursery_tables(plan)
    made["costs"] = [dataclasses.asdict(line) for line in plan.work.costs]
    made["spreading"] = [dataclasses.asdict(line) for line in plan.work.soil.spreading]
    made["preparation"] = [dataclasses.asdict(step) for step in plan.work.soil.steps]
    return made


def _row_offsets(plan: Plan) -> Table:
    """Stations and offsets by which every curved row is pegged by hand between its end posts."""
    found, rows = row_offsets(plan.layout.positions), plan.layout.rows
    names = ("row", "part", "station_m", "offset_m", "along_row_m", *plan.site.grid.axis_names)
    columns = (
        rows.row[found.piece], rows.part[found.piece],
        *(np.round(each, 3) for each in (
            found.station_m, found.offset_m, found.walked_m,
            *plan.site.grid.from_frame(found.xy).T,
        )),
    )  # fmt: skip
    lines = zip(*(column.tolist() for column in columns), strict=True)
    return [dict(zip(names, line, strict=True)) for line in lines]


def _zone(zone: Zone) -> dict[str, Any]:
    """One line a soil zone; what isn't known is null."""
    profile = zone.profile
    depth_class = profile.depth_class if profile else None
    line = {
        "zone": zone.name,
        "pit": zone.pit.name if zone.pit else None,
        "area_ha": zone.area_ha,
        "depth_m": zone.depth_m,
        "is_deeper": profile.is_deeper if profile else None,
        "depth_class": depth_class.name if depth_class else None,
        "water_depth_m": profile.water_depth_m if profile else None,
        "available_water_mm": zone.available_water_mm,
        "textures": [layer.texture or None for layer in profile.layers] if profile else [],
        "potential": zone.potential.name,
    }
    grades = {aspect.name.replace(" ", "_"): aspect.grade for aspect in zone.potential.aspects}
    return {**line, "grades": grades}


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
    for row_limit in sweep.limits:
        columns[f"row_{row_limit.limit.measure}_steepest_pct"] = row_limit.percent
    columns["out_by"] = np.array([", ".join(sweep.out_by(at)) for at in range(len(sweep))])
    columns["unbeaten"] = pareto(sweep)
    columns["shortfall"] = shortfalls(sweep, weights=sweep.weights).sum(axis=1)
    lines = zip(*(column.tolist() for column in columns.values()), strict=True)
    return [dict(zip(columns, line, strict=True)) for line in lines]


_BY_STAGE: Mapping[str, Callable[[Plan], Mapping[str, Table]]] = {
    "site": _site,
    "stock": _stock,
    "layout": _layout,
    "trellis": trellis_tables,
    "water": _water,
    "work": _work,
    "calendar": calendar_tables,
    "planting": planting_tables,
    "money": money_tables,
}
