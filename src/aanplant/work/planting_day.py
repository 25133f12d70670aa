"""What one day of planting is: which vines, who, which water, and how long roots may wait."""

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from aanplant.work.lot_rows import Stretch, stretches

Day = date


@dataclass(frozen=True, slots=True)
class Planted:
    """Vines of one lot and delivery that are planted on one day.

    Parameters
    ----------
    lot : str
        Name of the lot.
    delivery : int
        Number of the delivery, from 1.
    vines : int
        How many.
    stretches : tuple of Stretch
        Where.
    """

    lot: str
    delivery: int
    vines: int
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class Soak:
    """Vines that go into water together.

    Parameters
    ----------
    vines : int
        How many.
    start : datetime
        When they go in, local time.
    plant_from, until : datetime
        When the first is planted, and the last.
    latest : datetime
        When none of them may be out of the ground any longer.
    """

    vines: int
    start: datetime
    plant_from: datetime
    until: datetime
    latest: datetime


@dataclass(frozen=True, slots=True)
class PlantingDay:
    """One day of planting.

    Its hours are those of ``date``; where the day slips, they slip with it.

    Parameters
    ----------
    number : int
        From 1.
    date : date
        The day, if every day from the first of its delivery on is workable.
    usual : date
        Day by which it is done with the days that bad weather usually takes; never before
        ``date``.
    parts : tuple of Planted
        What is planted, in the order of work.
    jobs : tuple of (str, int)
        People by job, ids of ``planting_jobs.csv``.
    out_of_store : date or None
        Day on which its vines leave the store to warm up; None where they don't.
    soaks : tuple of Soak
        In the order of the day.
    holes_next : tuple of Stretch
        Holes made on this day for a day to come.
    holes_for : date or None
        That day; None where none are made.
    water_m3 : float
        Water for the vines of the day. [m3]
    pumped_m3 : float
        Water that flows for it: a set waters all its rows, planted or not. [m3]
    tanker_trips : int
        Loads of the tanker; 0 by dripper.
    set_runs : tuple of (int, float)
        Sets that run, by number from 1 (0 where no sets are planned), and their hours. [h]
    wait_h : float
        Longest time that roots are out of store, heap or the nursery's store, warming up not
        counted. [h]
    roots_until : datetime
        Hour after which no root may be out of the ground, local time.
    """

    number: int
    date: Day
    usual: Day
    parts: tuple[Planted, ...]
    jobs: tuple[tuple[str, int], ...]
    out_of_store: Day | None
    soaks: tuple[Soak, ...]
    holes_next: tuple[Stretch, ...]
    holes_for: Day | None
    water_m3: float
    pumped_m3: float
    tanker_trips: int
    set_runs: tuple[tuple[int, float], ...]
    wait_h: float
    roots_until: datetime

    @property
    def people(self) -> int:
        """Who work on it."""
        return sum(people for _, people in self.jobs)

    @property
    def vines(self) -> int:
        """Vines planted on the day."""
        return sum(part.vines for part in self.parts)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Where, in the order of work."""
        return tuple(one for part in self.parts for one in part.stretches)


@dataclass(frozen=True)
class Places:
    """Every vine's place, in the order of the rows, columns of shape (n_vines,).

    Parameters
    ----------
    row, part, number : ndarray of int
        Row, its part, and the vine's number.
    piece : ndarray of int
        Piece of row.
    """

    row: NDArray[np.int32]
    part: NDArray[np.int32]
    number: NDArray[np.int32]
    piece: NDArray[np.int32]

    def named(self, first: int, last: int) -> tuple[Stretch, ...]:
        """Name the vines from one place to another."""
        return stretches(first, last, row=self.row, part=self.part, number=self.number)
