"""What there is to say about those who plant: whether the pace given is theirs to keep."""

from collections.abc import Iterator, Sequence

from aanplant.brief import Brief
from aanplant.work.listed import PLANT, base_of
from aanplant.work.planting_pace import CREW_PACE, MACHINES, Pace, method_row
from aanplant.work.tasks import Calendar
from aanplant.workforce import Crew
from aanplant.working import Finding, Value


def crew_advice(
    brief: Brief, calendar: Calendar, crews: Sequence[Crew], pace: Pace
) -> Iterator[Finding]:
    """Say where the pace is not one of such a crew, or another crew is held than is reckoned.

    Parameters
    ----------
    brief : Brief
        Who plant, how, and the pace they were timed at.
    calendar : Calendar
        Which crew it holds for the planting.
    crews : sequence of Crew
        Of the estate.
    pace : Pace
        Vines a day.
    """
    yield from _beyond_the_range(brief, pace)
    held = {item.task.crew for item in calendar.booked if base_of(item.task.id) == PLANT}
    for crew in crews:
        if crew.name in held and crew.people != brief.work.crew:
            yield Finding(
                "work", "care", "planting.crew_differs",
                {"crew": brief.work.crew, "name": crew.name, "people": crew.people},
                CREW_PACE, "brief",
            )  # fmt: skip


def _beyond_the_range(brief: Brief, pace: Pace) -> Iterator[Finding]:
    """Question a pace that was given and lies outside what workers or machines are known to do."""
    rules = brief.planting
    by_machine = rules.method in MACHINES
    row = method_row(rules.method, "rate of a machine" if by_machine else "rate of a worker")
    number = rules.machines if by_machine else brief.work.crew
    if row is None:
        return
    low, high = float(row["low"]) * number, float(row["high"]) * number
    if low <= pace.crew <= high:
        return
    values: dict[str, Value | tuple[Value, str]] = {
        "pace": pace.crew, "each": round(pace.crew / number), "number": number,
        "low": round(low), "high": round(high),
    }  # fmt: skip
    if by_machine:
        yield Finding("work", "care", "planting.machines_beyond", values, CREW_PACE, row["source"])
    else:
        yield Finding("work", "care", "planting.pace_beyond", values, CREW_PACE, row["source"])
