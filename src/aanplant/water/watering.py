"""When to water and how much: by what the soil lacks, by the interval, or by the calendar."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Watering(Protocol):
    """A rule that gives each day's water."""

    def net_mm(self, day: int, depleted_mm: Array, easy_mm: Array) -> Array:
        """Water that is to reach the root zone on one day, of the shape of the state. [mm].

        Parameters
        ----------
        day : int
            Day of the run, from 0.
        depleted_mm : ndarray
            What the root zone lacks in the morning. [mm]
        easy_mm : ndarray
            What it may lack before the leaves close. [mm]
        """
        ...


@dataclass(frozen=True)
class NoWatering:
    """No water but rain."""

    def net_mm(self, day: int, depleted_mm: Array, easy_mm: Array) -> Array:  # noqa: ARG002 - the rule's form
        """Give nothing."""
        return np.zeros_like(depleted_mm)


@dataclass(frozen=True)
class ByDeficit:
    """Water when the soil lacks enough.

    Parameters
    ----------
    trigger : float or ndarray
        Water when this share of the easily had water is gone. [-]
    refill : float or ndarray
        Share of what is lacking that is given. [-]
    allowed : ndarray of bool, shape (days, ...)
        Days on which water may be given.
    most_mm : float or ndarray
        Most in a day. [mm]
    """

    trigger: float | Array
    refill: float | Array
    allowed: NDArray[np.bool_]
    most_mm: float | Array = np.inf

    def net_mm(self, day: int, depleted_mm: Array, easy_mm: Array) -> Array:
        """Give the share asked for once the soil lacks enough."""
        wanted = np.minimum(self.refill * depleted_mm, self.most_mm)
        due = (depleted_mm >= self.trigger * easy_mm) & self.allowed[day]
        return np.where(due, wanted, 0.0)


@dataclass(frozen=True)
class ByInterval:
    """Water every so many days, as a canal turn or a habit has it.

    Parameters
    ----------
    days : int
        From one watering to the next.
    first : int
        Day of the first.
    refill : float or ndarray
        Share of what is lacking that is given. [-]
    allowed : ndarray of bool, shape (days, ...)
        Days on which water may be given.
    most_mm : float or ndarray
        Most in a watering. [mm]
    """

    days: int
    first: int
    refill: float | Array
    allowed: NDArray[np.bool_]
    most_mm: float | Array = np.inf

    def __post_init__(self) -> None:
        """Refuse an interval that never passes."""
        if self.days < 1:
            raise ValueError(f"days must be at least 1, got {self.days}")

    def net_mm(self, day: int, depleted_mm: Array, easy_mm: Array) -> Array:  # noqa: ARG002 - the rule's form
        """Give the share asked for on the day of the turn."""
        if day < self.first or (day - self.first) % self.days:
            return np.zeros_like(depleted_mm)
        wanted = np.minimum(self.refill * depleted_mm, self.most_mm)
        return np.where(self.allowed[day], wanted, 0.0)


@dataclass(frozen=True)
class ByCalendar:
    """Water as written down beforehand, whatever the weather.

    Parameters
    ----------
    given_mm : ndarray, shape (days, ...)
        Water of each day. [mm]
    """

    given_mm: Array

    def net_mm(self, day: int, depleted_mm: Array, easy_mm: Array) -> Array:  # noqa: ARG002 - the rule's form
        """Give what the calendar says."""
        return np.broadcast_to(self.given_mm[day], depleted_mm.shape)
