"""Search: small calendars against every order and crew tried out, and laws that must hold."""

from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aanplant.errors import Cancelled
from aanplant.work.greedy import last_end, place_in_order
from aanplant.work.jobs import NEVER, Job, Option, Problem, ends_of, in_order, waiting
from aanplant.work.search import lower_bound, search

DAYS = 90
WEEK = np.array([1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0])


def working(length):
    return np.resize(WEEK, length)


def worked(name, days, crews, *, after=(), machine="", progress=None):
    rows = working(DAYS) if progress is None else progress
    options = tuple(Option(crew, ends_of(rows, days)) for crew in crews)
    return Job(name, options, machine, tuple((one, 0) for one in after))


def soonest_by_exhaustion(problem):
    """Last end of the best of all orders and all ways to give jobs to crews."""
    names = [job.id for job in problem.jobs]
    before = {job.id: {name for name, _ in job.after} for job in problem.jobs}
    best = None
    ways = [[option.crew for option in job.options] for job in problem.jobs]
    for order in permutations(names):
        if any(not before[name] <= set(order[:at]) for at, name in enumerate(order)):
            continue
        for crews in product(*ways):
            placed = place_in_order(problem, order, crews=dict(zip(names, crews, strict=True)))
            if placed:
                end = last_end(problem, placed)
                best = end if best is None else min(best, end)
    return best


@st.composite
def small_problems(draw):
    count = draw(st.integers(2, 5))
    crews = ["a", "b"][: draw(st.integers(1, 2))]
    jobs = []
    for at in range(count):
        after = draw(st.lists(st.sampled_from(range(at)), unique=True, max_size=2)) if at else []
        own = draw(st.lists(st.sampled_from(crews), unique=True, min_size=1))
        machine = draw(st.sampled_from(["", "", "ripper"]))
        chance = draw(st.sampled_from([1.0, 0.7, 0.4]))
        names = [f"j{one}" for one in after]
        if draw(st.booleans()) and at:
            length = draw(st.integers(0, 9))
            jobs.append(Job(f"j{at}", (Option("", waiting(DAYS, length)),), "",
                            tuple((one, 0) for one in names)))  # fmt: skip
        else:
            jobs.append(
                worked(f"j{at}", draw(st.integers(1, 5)), own, after=names, machine=machine,
                       progress=chance * working(DAYS))
            )  # fmt: skip
    return Problem(tuple(jobs), {"ripper": 1}, tuple(job.id for job in jobs), DAYS)


@settings(max_examples=60, deadline=None)
@given(small_problems())
def test_the_search_ends_as_soon_as_the_best_of_all_orders(problem):
    best = soonest_by_exhaustion(problem)

    found = search(problem, limit=5.0)

    assert found.objective == best
    assert found.bound <= best
    assert lower_bound(problem) <= best


@settings(max_examples=40, deadline=None)
@given(small_problems())
def test_a_crew_more_never_delays_the_end(problem):
    helped = replace(
        problem,
        jobs=tuple(
            replace(job, options=(*job.options, Option("more", job.options[0].ends)))
            if job.options[0].crew
            else job
            for job in problem.jobs
        ),
    )

    assert search(helped, limit=5.0).objective <= search(problem, limit=5.0).objective


@settings(max_examples=40, deadline=None)
@given(small_problems())
def test_what_is_booked_keeps_crews_machines_and_order(problem):
    placed = search(problem, limit=5.0).placed

    for job in problem.jobs:
        own = placed[job.id]
        option = next(option for option in job.options if option.crew == own.crew)
        assert option.ends[own.start] == own.end
        assert all(own.start >= placed[name].end + lag for name, lag in job.after)
        for other in problem.jobs:
            shares = own.crew and own.crew == placed[other.id].crew
            shares = shares or (job.machine and job.machine == other.machine)
            if other.id != job.id and shares:
                assert own.end <= placed[other.id].start or placed[other.id].end <= own.start


@pytest.mark.published(
    source="Johnson's rule for two machines (1954), a textbook instance from memory, solved "
    "again by every order",
    quantity="least time of five jobs on two machines", unit="d",
)  # fmt: skip
def test_five_jobs_through_two_crews_end_as_johnsons_rule_says(published):
    times = {"a": (3, 6), "b": (7, 2), "c": (4, 7), "d": (5, 3), "e": (7, 4)}
    daily = np.ones(DAYS)
    jobs = []
    for name, (first, second) in times.items():
        jobs.append(worked(f"{name}1", first, ["one"], progress=daily))
        jobs.append(worked(f"{name}2", second, ["two"], after=[f"{name}1"], progress=daily))
    problem = Problem(tuple(jobs), {}, tuple(f"{name}2" for name in times), DAYS)

    found = search(problem, limit=5.0)

    assert found.status == "optimal"
    published.equal(found.objective, printed=28.0, tolerance=0.0)


def test_five_jobs_in_every_order_end_no_sooner_than_johnsons_rule_says():
    times = [(3, 6), (7, 2), (4, 7), (5, 3), (7, 4)]
    best = []
    for order in permutations(times):
        one = two = 0
        for first, second in order:
            one += first
            two = max(one, two) + second
        best.append(two)

    assert min(best) == 28


def test_a_search_no_longer_wanted_stops():
    jobs = [worked(f"j{at}", 2 + at % 3, ["a", "b"]) for at in range(9)]
    problem = Problem(tuple(jobs), {}, tuple(job.id for job in jobs), DAYS)

    def check(_):
        raise Cancelled

    with pytest.raises(Cancelled):
        search(problem, check=check)


def test_what_cannot_be_done_in_time_has_no_calendar():
    late = replace(worked("late", 5, ["a"]), latest=3)

    found = search(Problem((late,), {}, ("late",), DAYS))

    assert found.status == "infeasible"
    assert not found.placed


def test_a_job_ends_when_its_share_of_days_adds_up():
    progress = np.array([1.0, 0.5, 0.0, 0.5, 1.0, 1.0])

    ends = ends_of(progress, 2.0)

    assert ends.tolist() == [4, 5, NEVER, 6, 6, NEVER]


def test_jobs_in_a_ring_are_told_by_name():
    order, ring = in_order({"a": ["b"], "b": ["c"], "c": ["a"], "d": []})

    assert order == ()
    assert set(ring) == {"a", "b", "c"}
