"""The running of a system as lists: a line each spell of the peak day, and each week and set."""

from typing import Any

from aanplant.water.running import Running

Table = list[dict[str, Any]]


def running_tables(running: Running) -> dict[str, Table]:
    """Return ``set_hours`` and ``set_weeks``; hours count from the first opening."""
    return {
        "set_hours": [
            {"set": run.number + 1, "start_h": run.start_h, "end_h": run.end_h}
            for run in running.runs
        ],
        "set_weeks": [
            {
                "week": day,
                "set": number + 1,
                "minutes": float(running.minutes[week, number]),
                "waterings": int(running.waterings[week, number]),
            }
            for week, day in enumerate(running.week)
            for number in range(running.minutes.shape[1])
        ],
    }
