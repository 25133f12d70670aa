"""The dates an owner keeps in mind: first task, order of vines, gate, planting, first crop."""

from collections.abc import Iterator

from aanplant.messages import fill, show_date, word
from aanplant.plan import Plan
from aanplant.report.gantt_marks import gate_of
from aanplant.units import show
from aanplant.work.listed import planting_span
from aanplant.work.order_times import VINE

_SEASON_SOUTH, _SEASON_NORTH = 5, 9
"""Vines planted in a later month bear their first leaves' crop in the next calendar year."""


def key_dates(plan: Plan) -> Iterator[str]:
    """Tell the dates in sentences, as far as they are known."""
    span = plan.calendar.span
    if span is not None:
        yield fill("plan_report.say.begins", day=show_date(span[0]))
    vines = next((one for one in plan.planting.orders if one.item == VINE), None)
    if plan.brief.nursery.order_state == "confirmed":
        yield word("plan_report.say.vines_ordered")
    elif vines is not None and vines.latest is not None:
        yield fill("plan_report.say.vines_by", day=show_date(vines.latest))
    gate = gate_of(plan.calendar)
    if gate is not None:
        yield fill("plan_report.say.gate", day=show_date(gate))
    if plan.planting.days:
        yield planting_dates(plan)
    elif plan.brief.work.planting:
        yield word("plan_report.say.no_calendar")
    crop = first_crop(plan)
    if crop is not None:
        yield fill("plan_report.say.first_crop", year=crop[0], share=show(100.0 * crop[1], "%"))


def planting_dates(plan: Plan) -> str:
    """Tell the first and the last day of planting, the last also if no day is lost to weather."""
    days, span = plan.planting.days, planting_span(plan.brief)
    last, usual = days[-1].date, max(day.usual for day in days)
    told = fill(
        "plan_report.say.planted" if last == usual else "plan_report.say.planted_usual",
        first=show_date(days[0].date), last=show_date(last), usual=show_date(usual),
    )  # fmt: skip
    if span is None or usual <= span[1]:
        return told
    return f"{told} {fill('plan_report.say.planted_late', wanted=show_date(span[1]))}"


def first_crop(plan: Plan) -> tuple[int, float] | None:
    """Calendar year of the first crop, and its share of a full one; None where none is set."""
    planting, shares = plan.brief.work.planting, plan.brief.trellis.yield_by_year
    years = [year for year, share in enumerate(shares) if share > 0.0]
    if not planting or not years:
        return None
    last = _SEASON_SOUTH if plan.site.frame.latitude_deg < 0.0 else _SEASON_NORTH
    harvest = int(planting[:4]) + (int(planting[5:]) > last)
    return harvest + years[0], shares[years[0]]
