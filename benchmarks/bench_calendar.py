"""Calendar: 80 tasks, 4 crews and 20 deliveries of vines, beside the ten seconds allowed."""

import time

import numpy as np

from aanplant.work.jobs import Job, Option, Problem, ends_of, waiting
from aanplant.work.search import search
from benchmarks.timing import Result

DAYS = 800
ALLOWED_S = 10.0
CREWS = ("a", "b", "c", "d")
DELIVERIES, OTHERS = 20, 40
SEEDS = (1, 2, 3)


def results():
    """Time the search on three drawn calendars; the gap to the proved bound is in the note."""
    for seed in SEEDS:
        problem = drawn(seed)
        reports: list[float] = []
        start = time.perf_counter()
        found = search(problem, limit=4.0, check=reports.append)
        taken = time.perf_counter() - start
        gap = 100.0 * (found.objective - found.bound) / found.objective
        note = f"{found.status}, {found.objective} d, gap {gap:.1f} %, {len(reports)} reports"
        yield Result(f"calendar of 80 tasks, draw {seed}", "10 s", taken, ALLOWED_S, 1.0, note)


def drawn(seed):
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
    for at in range(DELIVERIES):
        earlier = ((f"receive{at - 1}", -1),) if at else ()
        jobs.append(
            Job(f"receive{at}", (Option("", ends_of(week, 1)),), "", (("gate", 0), *earlier))
        )
        options = tuple(
            Option(crew, ends_of(week * season, int(random.integers(2, 5)))) for crew in CREWS
        )
        jobs.append(
            Job(f"plant{at}", options, "", ((f"receive{at}", 0),), keeps=(f"receive{at}", 56))
        )
    planted = tuple(f"plant{at}" for at in range(DELIVERIES))
    return Problem(tuple(jobs), {"auger": 1}, planted, DAYS)
