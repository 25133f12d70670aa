"""Calendar: 80 tasks, 4 crews and 20 deliveries of vines, beside the ten seconds allowed.

Drawn twice over: with vines that come not before their month, as in a real plan, and, harder
than any real one, with vines to be had from the first day.
"""

import time
from itertools import product

import numpy as np

from aanplant.work.jobs import Job, Option, Problem, ends_of, from_day, waiting
from aanplant.work.search import search
from benchmarks.timing import Result

DAYS = 800
ALLOWED_S = 10.0
LIMIT = 1.0
"""As a brief has it when it says nothing."""
CREWS = ("a", "b", "c", "d")
DELIVERIES, OTHERS = 20, 40
SEEDS = (1, 2, 3)
VINES_FROM = 640
"""Day from which vines can be had, most of two years after the work begins."""


def results():
    """Time the search on three drawn calendars; the gap to the proved bound is in the note."""
    for seed, vines_from in product(SEEDS, (VINES_FROM, 0)):
        problem = drawn(seed, vines_from)
        reports: list[float] = []
        start = time.perf_counter()
        found = search(problem, limit=LIMIT, check=reports.append)
        taken = time.perf_counter() - start
        gap = 100.0 * (found.objective - found.bound) / found.objective
        note = f"{found.status}, {found.objective} d, gap {gap:.1f} %, {len(reports)} reports"
        kind = "vines in their month" if vines_from else "vines at any time"
        yield Result(f"calendar, 80 tasks, {kind}, {seed}", "10 s", taken, ALLOWED_S, 1.0, note)


def drawn(seed, vines_from):
    """Draw 40 tasks in chains, then 20 deliveries that are received and planted."""
    random = np.random.default_rng(seed)
    week = np.resize([1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0.0], DAYS)
    season = 0.8 + 0.2 * np.cos(2.0 * np.pi * np.arange(DAYS) / 365.0)
    jobs = []
    for at in range(OTHERS):
        before = random.choice(at, size=min(at, int(random.integers(0, 3))), replace=False)
        after = tuple((f"t{one}", 0) for one in sorted(before.tolist()))
        if at % 8 == 7:
            jobs.append(Job(f"t{at}", (Option("", waiting(DAYS, 28)),), "", after))
            continue
        own = random.choice(CREWS, size=int(random.integers(1, 4)), replace=False)
        length = int(random.integers(1, 9))
        options = tuple(Option(crew, ends_of(week * season, length)) for crew in sorted(own))
        jobs.append(Job(f"t{at}", options, "auger" if at % 5 == 0 else "", after))
    gate = tuple((f"t{at}", 0) for at in range(OTHERS - 10, OTHERS))
    jobs.append(Job("gate", (Option("", waiting(DAYS, 0)),), "", gate))
    received = from_day(ends_of(week, 1), vines_from)
    for at in range(DELIVERIES):
        earlier = ((f"receive{at - 1}", -1),) if at else ()
        jobs.append(Job(f"receive{at}", (Option("", received),), "", (("gate", 0), *earlier)))
        options = tuple(
            Option(crew, ends_of(week * season, int(random.integers(2, 5)))) for crew in CREWS
        )
        jobs.append(
            Job(f"plant{at}", options, "", ((f"receive{at}", 0),), keeps=(f"receive{at}", 56))
        )
    planted = tuple(f"plant{at}" for at in range(DELIVERIES))
    return Problem(tuple(jobs), {"auger": 1}, planted, DAYS)
