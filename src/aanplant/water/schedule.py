"""Which set runs when: one after another, from the first opening on, while there is power."""

from collections.abc import Iterable
from dataclasses import dataclass

_NONE_H = 1e-9


@dataclass(frozen=True, slots=True)
class Run:
    """A spell in which a set runs.

    Parameters
    ----------
    number : int
        Set, from 0.
    start_h, end_h : float
        Since the first set was opened; beyond 24 where the day does not hold it. [h]
    """

    number: int
    start_h: float
    end_h: float


def in_turn(
    sets: int, hours_each: float, powered: Iterable[tuple[float, float]], day_h: float
) -> tuple[Run, ...]:
    """Run sets one after another; one that a pause cuts goes on after it.

    Parameters
    ----------
    sets : int
        Their number.
    hours_each : float
        That each runs. [h]
    powered : iterable of (start, end)
        Spells of a day in which the pump may run, rising; they come again every day. [h]
    day_h : float
        Length of a day. [h]

    Raises
    ------
    ValueError
        If the pump may never run.
    """
    spells = [(start, end) for start, end in powered if end > start]
    if not spells:
        raise ValueError("a pump that may never run waters nothing")
    runs: list[Run] = []
    number, left, day = 0, hours_each, 0.0
    while number < sets:
        for start, end in spells:
            at, shut = day + start, day + end
            while number < sets and shut - at > _NONE_H:
                until = min(at + left, shut)
                runs.append(Run(number, at, until))
                left -= until - at
                at = until
                if left <= _NONE_H:
                    number, left = number + 1, hours_each
        day += day_h
    return tuple(runs)
