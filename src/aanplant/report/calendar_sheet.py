"""The calendar of work as files to print and to look at."""

from datetime import datetime
from pathlib import Path

from aanplant.plan import Plan
from aanplant.report.aftercare_chart import aftercare_chart
from aanplant.report.gantt import gantt
from aanplant.report.gantt_strips import Workforce
from aanplant.report.rendering import pages_of
from aanplant.report.sheet import heading_of
from aanplant.report.svg import Drawing


def write_calendar(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write the drawing of the calendar as SVG, or with that of the aftercare as PDF.

    Parameters
    ----------
    plan : Plan
        A whole plan with tasks in its calendar.
    path : Path
        Where; its ending chooses the format.
    made : datetime
        When the plan is made.
    """
    drawing = calendar_of(plan, made)
    if path.suffix == ".svg":
        path.write_text(drawing.svg(alone=True), encoding="utf-8")
        return
    drawings = [drawing, *([aftercare_of(plan, made)] if plan.planting.rounds else [])]
    pages_of(
        drawings, made=made, title=drawing.title, author=plan.inputs.estate
    ).print_to({"pdf": path})  # fmt: skip


def write_aftercare_svg(plan: Plan, path: Path, *, made: datetime) -> None:
    """Write the drawing of the aftercare as SVG; parameters as those of ``write_calendar``."""
    path.write_text(aftercare_of(plan, made).svg(alone=True), encoding="utf-8")


def calendar_of(plan: Plan, made: datetime) -> Drawing:
    """Draw the calendar of a plan."""
    inputs = plan.inputs
    workforce = Workforce(inputs.crews, inputs.labour, inputs.work_calendar)
    return gantt(plan.calendar, workforce, heading=heading_of(plan), made=made)


def aftercare_of(plan: Plan, made: datetime) -> Drawing:
    """Draw the care of the young vines of a plan."""
    return aftercare_chart(plan.planting.rounds, heading=heading_of(plan), made=made)
