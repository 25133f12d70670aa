"""Planting day by day, the care of the young vines, and by when everything is ordered."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.work.aftercare import Round, aftercare
from aanplant.work.listed import PLANT
from aanplant.work.lot_rows import LotRows, lots_in_rows
from aanplant.work.order_times import OrderBy, latest_orders, order_advice
from aanplant.work.planting_advice import planting_advice, rest_day_advice
from aanplant.work.planting_crew import crew_advice
from aanplant.work.planting_day import Places, PlantingDay
from aanplant.work.planting_days import LITRES_PER_M3, plan_days
from aanplant.work.planting_pace import SECONDS_PER_HOUR, Pace, pace_of
from aanplant.work.programme import Programme
from aanplant.work.tasks import Calendar
from aanplant.workforce import WEEK_DAYS
from aanplant.working import Finding, Input, Working


@dataclass(frozen=True)
class Planting:
    """Planting day by day, the rounds after it, and the dates of the orders.

    Parameters
    ----------
    pace : Pace
        Vines a day, and what holds them there.
    lots : tuple of LotRows
        Which lot goes to which rows.
    places : Places
        Of all vines, by which rows are named.
    days : tuple of PlantingDay
        Empty while the month of planting is open, and where no calendar was found.
    rounds : tuple of Round
        Of the first three years, by their first day.
    orders : tuple of OrderBy
        One for each line of the order list, in its order.
    figures, findings
        What the stage has to say.
    """

    pace: Pace
    lots: tuple[LotRows, ...]
    places: Places
    days: tuple[PlantingDay, ...]
    rounds: tuple[Round, ...]
    orders: tuple[OrderBy, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]


def plan_planting(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    inputs: Inputs,
    site: Site,
    layout: Layout,
    trellis: Trellis,
    water: Irrigation,
    work: Programme,
    calendar: Calendar,
) -> Planting:
    """Plan each day of planting, the rounds of three years, and the latest dates of orders.

    Parameters
    ----------
    brief, inputs, site, layout, trellis, water, work
        What is asked, what was read, and the stages before.
    calendar : Calendar
        Deliveries and days off; there are no days of planting where it books none.
    """
    vines = next(figure for figure in layout.figures if figure.key == "layout.vines")
    flow = next(figure for figure in water.figures if figure.key == "water.vine_flow")
    laid = layout.positions
    places = Places(laid.row, layout.rows.part[laid.piece], laid.number, laid.piece)
    sets = _set_of_piece(water)
    pace = pace_of(
        brief,
        hours=inputs.labour.hours_per_day,
        sets=len(set(sets.values())),
        vines=vines,
        vine_flow=flow,
        norm=inputs.labour.norms.get(PLANT),
    )
    lots = lots_in_rows(brief, work.nursery, laid.row)
    is_south = site.frame.latitude_deg < 0.0
    work_days = inputs.work_calendar.work_days
    week_days = frozenset(WEEK_DAYS.index(day) for day in work_days)
    days_off = frozenset(calendar.days_off)
    deliveries = calendar.deliveries
    days: tuple[PlantingDay, ...] = ()
    if deliveries:
        days = plan_days(
            brief,
            lots,
            deliveries,
            places,
            pace,
            is_south=is_south,
            days_off=days_off,
            week_days=week_days,
            set_of_piece=sets,
            set_flow_m3_h=_set_flow_m3_h(water, float(vines.value) * float(flow.value)),
            vine_flow_lph=float(flow.value),
        )
    span = (days[0].date, max(day.usual for day in days)) if days else None
    cared = aftercare(brief, inputs, site, trellis, water, vines, span)
    orders = latest_orders(brief, work.orders, inputs.prices, calendar)
    made = (*pace.figures, *_day_figures(brief, days, pace))
    findings = (
        *planting_advice(brief, site, layout, pace, lots, places, days, deliveries),
        *crew_advice(brief, calendar, inputs.crews, pace),
        *rest_day_advice(days, days_off, week_days),
        *cared.findings,
        *order_advice(brief, orders),
    )
    return Planting(
        pace, lots, places, days, cared.rounds, orders, (*made, *cared.figures), findings
    )


def _set_of_piece(water: Irrigation) -> Mapping[int, int]:
    """Set, from 1, that waters each piece of row."""
    if water.system is None:
        return {}
    laterals = water.system.system.laterals
    return {
        int(piece): int(own) + 1
        for piece, own in zip(laterals.piece.tolist(), laterals.set_of.tolist(), strict=True)
    }


def _set_flow_m3_h(water: Irrigation, block_lph: float) -> Mapping[int, float]:
    """Flow of all drippers of each set, from 1; of the block as 0 where no sets are planned."""
    if water.system is None:
        return {0: block_lph / LITRES_PER_M3}
    flows = water.system.system.sets.flow_m3_s * SECONDS_PER_HOUR
    return {number: float(flow) for number, flow in enumerate(flows, 1)}


def _day_figures(brief: Brief, days: Sequence[PlantingDay], pace: Pace) -> tuple[Working, ...]:
    if not days:
        return ()
    by_key = {figure.key: figure for figure in pace.figures}
    longest = max(days, key=lambda day: day.wait_h)
    thirsty = max(days, key=lambda day: day.water_m3)
    vines = sum(day.vines for day in days)
    return (
        Working(
            "work.planting_days",
            len(days),
            "d",
            (
                Input("vines", vines, "vines", "figure:layout.vines"),
                by_key["work.planting_pace"].as_input("pace"),
                brief.as_input("planting.stop_at_row_end", "stop_at_row_end"),
            ),
            "arithmetic",
        ),
        Working(
            "work.planting_longest_wait",
            longest.wait_h,
            "h",
            (
                Input("day", longest.date.isoformat(), "", "measured"),
                brief.as_input("nursery.soaking", "longest_soak"),
                brief.as_input("planting.keep", "keep"),
            ),
            "practice",
        ),
        Working(
            "work.planting_water_day",
            thirsty.water_m3,
            "m3",
            (
                Input("vines", thirsty.vines, "vines", "measured"),
                brief.as_input("water.at_planting", "litres"),
            ),
            "arithmetic",
        ),
        Working(
            "work.planting_pumped",
            sum(day.pumped_m3 for day in days),
            "m3",
            (
                Input("runs", sum(len(day.set_runs) for day in days), "", "measured"),
                brief.as_input("first_season.by", "by"),
                brief.as_input("water.at_planting", "litres"),
            ),
            "arithmetic",
        ),
    )
