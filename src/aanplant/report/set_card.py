"""The set card: for the person who opens the valves, what each set waters and how it is run."""

from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.water_sheet import show_flow, show_head, show_pressure, system_of
from aanplant.units import UnitSystem, show_number
from aanplant.water.designed import DesignedSystem
from aanplant.water.emitters import KPA_PER_M
from aanplant.water.pipe_runs import device_codes
from aanplant.water.running import MINUTES
from aanplant.water.running_advice import time_of_day

_WORDS = (
    "title", "standing", "sets", "order", "cautions", "log", "log_text", "head.date", "head.set",
    "head.from", "head.to", "head.meter", "head.gauge", "head.by", "first", "first_text",
    "head.week",
)  # fmt: skip
_HEADS = ("set", "valves", "rows", "vines", "flow", "gauge", "pump", "hours")
_STEPS = ("before", "open", "start", "gauge", "change", "stop", "flush", "winter")
_CAUTIONS = ("pressure", "electricity", "drinking", "backflow", "surge", "faults")
_LOG_LINES = 22
_SETS_ACROSS = 10


def write_set_card(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the card.

    Parameters
    ----------
    plan : Plan
        Whose water has a system.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on the card.
    system : {"metric", "imperial"}
        Units shown.
    """
    print_paper("set-card", set_card_data(plan, made=made, system=system), path, made=made)


def set_card_data(plan: Plan, *, made: datetime, system: UnitSystem) -> dict[str, Any]:
    """Gather all texts of the card, by the names the template uses."""
    designed = system_of(plan)
    stops = sum(finding.level == "stop" for finding in plan.findings)
    works = plan.brief.head_works
    return {
        **properties(plan, made),
        "words": {name: word(f"set_card.{name}") for name in _WORDS},
        "stop": fill("sheet.stops", count=stops) if stops else "",
        "heads": [word(f"set_card.head.{name}") for name in _HEADS],
        "sets": [
            _set(designed, plan, number, system) for number in range(len(designed.system.sets))
        ],
        "notes": [word("set_card.gauge_note"), _hours_note(plan)],
        "first": _first_season(plan, len(designed.system.sets)),
        "steps": [word(f"set_card.step.{name}") for name in _STEPS],
        "cautions": [
            *(word(f"set_card.caution.{name}") for name in _CAUTIONS),
            *([word("set_card.caution.chemicals")] if works.injects else []),
        ],
        "log_lines": _LOG_LINES,
    }


def _set(made: DesignedSystem, plan: Plan, number: int, system: UnitSystem) -> list[str]:
    sets, duties = made.system.sets, made.duties
    gauges = valve_gauges(made, number)
    return [
        show_number(number + 1),
        ", ".join(code for code, _ in gauges),
        rows_watered(plan, made, number),
        show_number(int(sets.vines[number])),
        show_flow(float(made.runs.flow_m3_s[number]), system),
        ", ".join(
            show_pressure(pressure / KPA_PER_M, system)
            if len(gauges) == 1
            else f"{code}: {show_pressure(pressure / KPA_PER_M, system)}"
            for code, pressure in gauges
        ),
        show_head(float(duties.head_m[number]), system),
        _hours(plan, number),
    ]


def _hours(plan: Plan, number: int) -> str:
    """When a set runs on a day of the peak, such as 18:00 to 21:20; empty on canal turns."""
    running = plan.water.running
    if running is None:
        return ""
    opens = plan.brief.watering.starts_at
    return ", ".join(
        fill(
            "set_card.spell",
            start=time_of_day(opens, run.start_h),
            end=time_of_day(opens, run.end_h),
        )
        for run in running.runs
        if run.number == number
    )


def _hours_note(plan: Plan) -> str:
    running = plan.water.running
    if running is None:
        return word("set_card.hours_note")
    if running.turn_every is not None:
        hours = show_number(round(running.turn_every * running.hours_each, 1))
        return fill("set_card.turn_note", age=running.age + 1, days=running.turn_every, hours=hours)
    minutes = round(MINUTES * running.hours_each)
    taken = len({run.number for run in running.runs}) * running.hours_each
    name = "peak_note" if taken <= running.free_h else "peak_over_note"
    return fill(f"set_card.{name}", age=running.age + 1, minutes=minutes)


def _first_season(plan: Plan, sets: int) -> list[dict[str, Any]]:
    """Minutes of every set in every week, as many sets a table as a page holds."""
    running = plan.water.running
    if running is None or not running.week:
        return []
    return [
        {
            "heads": [fill("set_card.set", set=number + 1) for number in part],
            "weeks": [
                [
                    _day(day),
                    *(
                        _minutes(int(running.waterings[at, one]), float(running.minutes[at, one]))
                        for one in part
                    ),
                ]
                for at, day in enumerate(running.week)
            ],
        }
        for part in (
            range(start, min(start + _SETS_ACROSS, sets)) for start in range(0, sets, _SETS_ACROSS)
        )
    ]


def _day(month_day: str) -> str:
    return f"{int(month_day[3:])} {word(f'month.{int(month_day[:2])}')}"


def _minutes(waterings: int, minutes: float) -> str:
    """Write so many runs of so many minutes."""
    if not waterings:
        return "–"
    return fill("set_card.minutes", waterings=waterings, each=round(minutes / waterings))


def valve_gauges(made: DesignedSystem, number: int) -> list[tuple[str, float]]:
    """Code of every valve of a set, and what a gauge behind it shall read. [kPa]."""
    codes = [
        code
        for code, kind in zip(device_codes(made), made.system.devices.kind, strict=True)
        if kind == "valve"
    ]
    submains = made.system.submains
    return [
        (code, float(made.pressure_m[node]) * KPA_PER_M)
        for code, node, own in zip(
            codes, submains.valve.tolist(), submains.set_of.tolist(), strict=True
        )
        if own == number
    ]


def rows_watered(plan: Plan, made: DesignedSystem, number: int) -> str:
    """Name the rows of a set, such as 1 to 40, 41 to 60 part 2.

    A part is named only where other parts of the row belong to another set.
    """
    laterals, rows = made.system.laterals, plan.layout.rows
    sets_of: dict[int, dict[int, int]] = {}
    for piece, own in zip(laterals.piece.tolist(), laterals.set_of.tolist(), strict=True):
        sets_of.setdefault(int(rows.row[piece]), {})[int(rows.part[piece])] = own
    whole, parts = [], dict[int, list[int]]()
    for row, by_part in sorted(sets_of.items()):
        own_parts = [part for part, own in sorted(by_part.items()) if own == number]
        if len(own_parts) == len(by_part):
            whole.append(row)
        else:
            for part in own_parts:
                parts.setdefault(part, []).append(row)
    named = _ranges(whole)
    for part, some in sorted(parts.items()):
        named += [fill("set_card.part", rows=rows, part=part) for rows in _ranges(some)]
    return ", ".join(named)


def _ranges(numbers: list[int]) -> list[str]:
    """Write whole numbers in rising order as ranges."""
    if not numbers:
        return []
    breaks = [at + 1 for at, (one, other) in enumerate(pairwise(numbers)) if other > one + 1]
    return [
        show_number(int(some[0]))
        if len(some) == 1
        else fill("set_card.range", first=int(some[0]), last=int(some[-1]))
        for some in np.split(np.array(numbers), breaks)
    ]
