"""Why a bearing was taken, in plain words: what it gains on others, and what it gives up."""

from collections.abc import Iterator

import numpy as np

from aanplant.layout.direction import Criterion, Sweep
from aanplant.layout.direction_choice import shortfalls
from aanplant.working import Finding, Value

ELSEWHERE_DEG = 15.0
"""Bearings nearer than this are the same choice to a manager (judgement)."""
TOLD_FROM = 0.05
"""A difference below this share of a criterion's range is not spoken of (judgement)."""
_UNITS = {
    "vines": "",
    "row_ends": "",
    "short_rows": "",
    "mean_row_length_m": "m",
    "machine_time_h": "h",
    "afternoon_load_mj_m2": "MJ/m2",
}
_DIGITS = 3


def reasons(sweep: Sweep, bearing_deg: float) -> Iterator[Finding]:
    """Set the bearing taken beside the two that tempt most.

    They are the one with the least machine time, and the one that is best where the bearing
    taken falls short most, by weight; both at least 15 degrees away.

    Parameters
    ----------
    sweep : Sweep
        Directions compared, with weights.
    bearing_deg : float
        The one taken. [deg]
    """
    chosen = int(np.argmin(np.abs(sweep.bearing_deg - bearing_deg)))
    apart = np.abs((sweep.bearing_deg - bearing_deg + 90.0) % 180.0 - 90.0)
    among = np.flatnonzero(apart >= ELSEWHERE_DEG)
    if not len(among):
        return
    by_time = int(among[np.argmin(sweep.machine_time_h[among])])
    short = shortfalls(sweep, weights=sweep.weights)
    weakest = sweep.criteria[int(short[chosen].argmax())]
    by_weakest = int(among[np.argmax(weakest.good[among])])
    for other in dict.fromkeys((by_time, by_weakest)):
        yield _against(sweep, chosen, other)


def _against(sweep: Sweep, chosen: int, other: int) -> Finding:
    gained: list[str] = []
    given_up: list[str] = []
    values: dict[str, Value | tuple[Value, str]] = {
        "bearing": (float(sweep.bearing_deg[chosen]), "deg"),
        "other": (float(sweep.bearing_deg[other]), "deg"),
    }
    for criterion in sweep.weighed:
        more = criterion.good[chosen] - criterion.good[other]
        span = max(float(np.ptp(criterion.values)), criterion.step)
        if abs(more) <= TOLD_FROM * span:
            continue
        (gained if more > 0.0 else given_up).append(criterion.name)
        values[criterion.name] = _shown(criterion, chosen)
        values[f"{criterion.name}_other"] = _shown(criterion, other)
    values["gained"] = _words(gained)
    values["given_up"] = _words(given_up)
    out = sweep.out_by(other)
    if out and sweep.is_within[chosen]:
        values["limits"] = "words:" + ",".join(f"limit_name.{name}" for name in out)
        return Finding(
            "layout", "note", "layout.bearing_against_out", values, "layout.bearing", "practice"
        )
    return Finding("layout", "note", "layout.bearing_against", values, "layout.bearing", "practice")


def _words(names: list[str]) -> str:
    return "words:" + ",".join(f"criterion.{name}" for name in names or ["nothing"])


def _shown(criterion: Criterion, at: int) -> tuple[Value, str]:
    value = float(criterion.values[at])
    unit = _UNITS.get(criterion.name, "%")
    return (float(f"{value:.{_DIGITS}g}") if unit else round(value), unit)
