"""What holds a task to its first day."""

from datetime import date

from aanplant.work.held_back import held_back
from aanplant.work.tasks import Booked, Calendar, Task

WEEK = ("mon", "tue", "wed", "thu", "fri")


def task(name, *, crew="Planters", hours=8.0, machine="", after=(), earliest=None):
    return Task(
        name, "rows", 1.0, "each", hours if crew else 0.0, crew, machine, 0.0, 1, after, earliest,
        None, (), "",
    )  # fmt: skip


def booked(one: Task, start: date, end: date | None = None) -> Booked:
    return Booked(one, start, end or start, 0)


def calendar(*items: Booked, off=()) -> Calendar:
    return Calendar(items, (), "optimal", None, None, (), (), off)


def test_a_task_is_held_by_the_one_before_it_across_a_weekend_and_a_holiday():
    first = booked(task("set-out"), date(2027, 4, 23))
    then = booked(task("posts", after=(("set-out", 0),)), date(2027, 4, 28))
    found = calendar(first, then, off=(date(2027, 4, 27),))

    held = held_back(then, found, ("tue", "wed", "thu", "fri"))

    assert (held.cause, held.task, held.wait_days) == ("after", first, 0)


def test_of_several_before_it_the_one_that_lets_it_begin_last_holds_it():
    order = booked(task("order", crew=""), date(2027, 3, 1))
    peg = booked(task("peg"), date(2027, 4, 1))
    then = booked(task("posts", after=(("peg", 0), ("order", 63))), date(2027, 5, 4))

    held = held_back(then, calendar(order, peg, then), WEEK)

    assert (held.cause, held.task, held.wait_days) == ("after", order, 63)


def test_its_earliest_day_holds_it_where_nothing_before_it_does():
    then = booked(task("fence", earliest=date(2027, 5, 1)), date(2027, 5, 3))

    assert held_back(then, calendar(then), WEEK).cause == "earliest"


def test_a_crew_at_another_task_holds_it():
    other = booked(task("peg"), date(2027, 5, 3), date(2027, 5, 7))
    then = booked(task("posts"), date(2027, 5, 10))

    held = held_back(then, calendar(other, then), WEEK)

    assert (held.cause, held.task) == ("crew", other)


def test_a_machine_at_another_task_holds_it():
    other = booked(task("rip", crew="", machine="tractor"), date(2027, 5, 3))
    then = booked(task("mow", crew="", machine="tractor"), date(2027, 5, 4))

    held = held_back(then, calendar(other, then), WEEK)

    assert (held.cause, held.task) == ("machine", other)


def test_a_task_that_nothing_touches_is_free():
    other = booked(task("peg"), date(2027, 5, 3))
    then = booked(task("posts", after=(("peg", 0),)), date(2027, 5, 12))

    assert held_back(then, calendar(other, then), WEEK).cause == "free"
