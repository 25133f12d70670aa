"""The report's chapters on water: what the vines need, the first season, and the drip system."""

from datetime import datetime
from functools import partial

import numpy as np

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.pressure_map import pressure_map
from aanplant.report.set_card import rows_watered
from aanplant.report.site_words import Chapter, Table, date_words, figure_table, of_topics, short
from aanplant.report.water_sheet import (
    short_name,
    show_flow,
    show_head,
    show_pressure,
    water_sheet,
)
from aanplant.units import UnitSystem, show, show_number
from aanplant.water.designed import DesignedSystem
from aanplant.water.needs import WaterNeeds
from aanplant.water.pipes import MM_PER_M

_BASIS = (
    "water.dripper_line", "water.drippers", "water.vine_flow", "water.wetted_strip",
    "water.wetted_share", "water.planting", "water.planting_run", "water.first_season",
    "work.water_at_planting", "water.sodium_ratio", "water.leaching",
)  # fmt: skip
_SYSTEM = (
    "water.system_drippers", "water.flow_at_once", "water.sets", "water.set_flow",
    "water.pressure_least", "water.pressure_most", "water.emission_uniformity",
    "water.low_quarter_uniformity", "water.flow_variation", "water.velocity_most", "water.surge",
    "water.flushing_velocity", "water.mainline_length", "water.submain_length",
    "water.lateral_length", "water.filter_area", "water.pump.",
)  # fmt: skip
_AGES = ("peak", "peak_vine", "peak_block", "set_hours", "season")
"""Figures of every year of age, by the middle of their keys."""


def water_chapters(plan: Plan, made: datetime, system: UnitSystem) -> tuple[Chapter, ...]:
    """Tell of the need, and of the system where there is a source."""
    need = _need(plan, system)
    designed = plan.water.system
    return (need,) if designed is None else (need, _system(plan, designed, made, system))


def _need(plan: Plan, system: UnitSystem) -> Chapter:
    use = plan.water.use
    needs = use.needs if use is not None else None
    tables = [figure_table(plan, system, _BASIS)]
    if needs is not None:
        tables += [_by_age(plan, needs.demand.ages, system), _weeks(needs, system)]
    return Chapter(
        "need",
        tables=tuple(table for table in tables if table),
        findings=of_topics(plan, "water."),
        missing=() if needs is not None else (word("plan_report.missing.needs"),),
        title=word("plan_report.chapter.need"),
    )


def _by_age(plan: Plan, ages: int, system: UnitSystem) -> Table:
    rows = []
    for year in range(1, ages + 1):
        figures = [plan.figures[f"water.{name}.year_{year}"] for name in _AGES]
        age = fill("plan_report.full_bearing" if year == ages else "plan_report.year", year=year)
        rows.append([age, *(short(float(one.value), one.unit, system) for one in figures)])
    return Table(_heads("age", *_AGES), rows, title=word("plan_report.table.by_age"))


def _weeks(needs: WaterNeeds, system: UnitSystem) -> Table:
    """Weeks of the first season; litres of the thirstiest soil."""
    first = needs.first
    rows = []
    for week, day in enumerate(first.week):
        zone = int(first.litres[week].argmax())
        hours = float(first.hours_each[week, zone])
        rows.append([
            date_words(day),
            short(float(first.rain_mm[week]), "mm", system),
            short(float(first.litres[week, zone]), "L", system),
            show_number(int(first.waterings[week, zone])),
            "" if np.isnan(hours) else show_number(round(hours, 1)),
            short(float(first.volume_m3[week]), "m3", system),
        ])  # fmt: skip
    return Table(
        _heads("week", "rain", "litres", "waterings", "hours_each", "block_water"), rows,
        title=word("plan_report.table.weeks"),
    )  # fmt: skip


def _system(plan: Plan, designed: DesignedSystem, made: datetime, system: UnitSystem) -> Chapter:
    tables = (
        _sets(plan, designed, system),
        _pipes(designed, system),
        _longest(designed, system),
        figure_table(plan, system, _SYSTEM),
    )
    sheets = {"water": water_sheet, "pressures": pressure_map}
    plates = tuple(
        (word(f"plan_report.caption.{name}"), partial(draw, plan, made=made, system=system))
        for name, draw in sheets.items()
    )
    return Chapter(
        "system",
        tables=tuple(table for table in tables if table),
        findings=of_topics(plan, "system."),
        title=word("plan_report.chapter.system"),
        plates=plates,
    )


def _sets(plan: Plan, made: DesignedSystem, system: UnitSystem) -> Table:
    runs, duties, sets = made.runs, made.duties, made.system.sets
    rows = [
        [
            show_number(number + 1),
            rows_watered(plan, made, number),
            show_number(int(sets.vines[number])),
            show_flow(float(runs.flow_m3_s[number]), system),
            fill("water_drawing.between",
                 least=show_pressure(float(runs.least_m[number]), system),
                 most=show_pressure(float(runs.most_m[number]), system)),
            show(round(float(runs.emission_pct[number]), 1), "%"),
            show_head(float(duties.head_m[number]), system),
        ]
        for number in range(len(runs))
    ]  # fmt: skip
    return Table(
        _heads("set", "set_rows", "set_vines", "flow", "pressure", "uniformity", "pump_head"),
        rows, left=(0, 1), title=word("plan_report.table.sets"),
    )  # fmt: skip


def _pipes(made: DesignedSystem, system: UnitSystem) -> Table:
    rows = [
        [word(f"water_drawing.{kind}"), f"{pipe.material} {short_name(pipe)}",
         short(length_m, "m", system, 5)]
        for kind, lengths in made.metres.items()
        for pipe, length_m in lengths.items()
    ]  # fmt: skip
    return Table(_heads("pipe", "size", "length"), rows, left=(0, 1),
                 title=word("plan_report.table.pipes"))  # fmt: skip


def _longest(made: DesignedSystem, system: UnitSystem) -> Table:
    """How long laterals may be in every bore, beside the longest laid."""
    laid = short(float(made.system.laterals.length_m.max()), "m", system)
    rows = [
        [show(round(one.bore_m * MM_PER_M, 1), "mm"),
         short(one.length_m, "m", system), show_pressure(one.inlet_m, system),
         short(one.uphill_m, "m", system),
         laid if one.bore_m == made.lateral_pipe.bore_m else ""]
        for one in made.longest
    ]  # fmt: skip
    rise = 100.0 * made.longest[0].rise
    return Table(
        _heads("bore", "longest_level", "inlet", "longest_uphill", "longest_laid"),
        rows,
        title=fill("plan_report.table.longest", rise=show(round(rise, 1), "%")),
    )


def _heads(*names: str) -> list[str]:
    return [word(f"plan_report.head.{name}") for name in names]
