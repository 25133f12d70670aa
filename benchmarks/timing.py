"""Two ways of doing the same work, timed turn about in one run."""

import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Result:
    """One line of the table: our time, theirs, and the ratio to reach."""

    work: str
    beside: str
    ours_s: float
    theirs_s: float
    reach: float
    note: str = ""

    @property
    def ratio(self) -> float:
        """How many times faster ours is."""
        return self.theirs_s / self.ours_s


def best_of(
    runs: int, ours: Callable[[], object], theirs: Callable[[], object]
) -> tuple[float, float]:
    """Best time of each in seconds, run turn about so that both meet the same machine."""
    best = [float("inf"), float("inf")]
    for _ in range(runs):
        for i, work in enumerate((ours, theirs)):
            start = time.perf_counter()
            work()
            best[i] = min(best[i], time.perf_counter() - start)
    return best[0], best[1]
