"""Which vines are planted on which day, and what each day needs."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from aanplant import tables
from aanplant.brief import Brief
from aanplant.work.lot_rows import LotRows, Stretch, stretches
from aanplant.work.nursery_dates import warm_up
from aanplant.work.nursery_order import shared_out
from aanplant.work.planting_pace import WITH_HOLES, Pace
from aanplant.work.tasks import Delivery

Day = date
JOBS = "planting_jobs.csv"
DAY_H = 24.0
LITRES_PER_M3 = 1000.0


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

    Parameters
    ----------
    number : int
        From 1.
    date : date
        The day.
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
        Water at planting. [m3]
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
    parts: tuple[Planted, ...]
    jobs: tuple[tuple[str, int], ...]
    out_of_store: Day | None
    soaks: tuple[Soak, ...]
    holes_next: tuple[Stretch, ...]
    holes_for: Day | None
    water_m3: float
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


@dataclass(frozen=True, slots=True)
class _Batch:
    """Places filled from one lot of one delivery, from ``first`` up to ``last``."""

    lot: str
    delivery: Delivery
    ready: date
    first: int
    last: int


def warm_up_days(brief: Brief, day: date, *, is_south: bool) -> int:
    """Days that vines planted on a day stand in the warm before it. [d]."""
    rules = brief.planting
    if not rules.warm_up or rules.keep != "cold store" or brief.climate.plant_form != "dormant":
        return 0
    steps = sorted(warm_up(is_south=is_south), key=lambda step: step.until)
    # Dates run round the year: the first step begins half a year before its day of the year.
    first = min(steps, key=lambda step: step.days)
    order = sorted(steps, key=lambda step: (step.until < first.until, step.until))
    today = day.strftime("%m-%d")
    for step in order:
        if _round(today, first.until) <= _round(step.until, first.until):
            return step.days
    return order[-1].days


def _round(month_day: str, first: str) -> tuple[bool, str]:
    """Order days of the year from half a year before ``first`` on."""
    month = int(first[:2])
    begins = f"{(month + 5) % 12 + 1:02d}-{first[3:]}"
    return month_day < begins, month_day


def plan_days(
    brief: Brief,
    lots: Sequence[LotRows],
    deliveries: Sequence[Delivery],
    places: Places,
    pace: Pace,
    *,
    is_south: bool,
    days_off: frozenset[date],
    week_days: frozenset[int],
    set_of_piece: Mapping[int, int],
    vine_flow_lph: float,
) -> tuple[PlantingDay, ...]:
    """Put every vine on a day, delivery by delivery, lot by lot, row by row.

    Parameters
    ----------
    brief : Brief
        What is asked.
    lots : sequence of LotRows
        Rows of each lot.
    deliveries : sequence of Delivery
        In their order.
    places : Places
        Of all vines.
    pace : Pace
        Vines a day.
    is_south : bool
        South of the equator.
    days_off : frozenset of date
        Days on which nobody works.
    week_days : frozenset of int
        Days of the week on which people work, Monday 0.
    set_of_piece : mapping of int to int
        Set, from 1, that waters each piece of row; empty where none are planned.
    vine_flow_lph : float
        Flow of the drippers of one vine. [L/h]
    """
    batches = list(_batches(brief, lots, deliveries, is_south=is_south))
    booked: list[tuple[date, list[tuple[_Batch, int, int]]]] = []
    done = {at: batch.first for at, batch in enumerate(batches)}
    day = min((batch.ready for batch in batches), default=date.min)
    while any(done[at] < batch.last for at, batch in enumerate(batches)):
        works = day.weekday() in week_days and day not in days_off
        if works and (taken := _day(brief, batches, done, day, places, pace.vines_per_day)):
            booked.append((day, taken))
        day += timedelta(days=1)
    return tuple(
        _planting_day(brief, booked, at, places, pace, is_south, set_of_piece, vine_flow_lph)
        for at in range(len(booked))
    )


def _batches(
    brief: Brief, lots: Sequence[LotRows], deliveries: Sequence[Delivery], *, is_south: bool
) -> Iterator[_Batch]:
    shares = [
        shared_out(lot.planted, lot.deliveries)
        if sum(lot.deliveries)
        else (lot.planted, *(0 for _ in deliveries[1:]))
        for lot in lots
    ]
    reached = [lot.first for lot in lots]
    for number, delivery in enumerate(deliveries):
        wait = warm_up_days(brief, delivery.planted_from, is_south=is_south)
        ready = max(delivery.planted_from, delivery.arrives + timedelta(days=wait))
        for at, lot in enumerate(lots):
            count = shares[at][number]
            if count:
                yield _Batch(lot.lot, delivery, ready, reached[at], reached[at] + count)
                reached[at] += count


def _day(  # noqa: PLR0917 - what a day is filled from
    brief: Brief,
    batches: Sequence[_Batch],
    done: dict[int, int],
    day: date,
    places: Places,
    most: int,
) -> list[tuple[_Batch, int, int]]:
    """Fill a day from the batches that are ready; ``done`` runs on."""
    left, taken = most, []
    waiting = sum(batch.last - done[at] for at, batch in enumerate(batches) if batch.ready <= day)
    # What a day leaves undone at a row end must not cost another day.
    room = -waiting % most
    slack = min(room, math.floor(most * brief.planting.stop_at_row_end))
    for at, batch in enumerate(batches):
        if done[at] >= batch.last or batch.ready > day or left <= 0:
            continue
        first = done[at]
        last = min(batch.last, first + left)
        if last < batch.last and left == last - first:
            last = _at_row_end(places, first, last, slack)
        if last == first:
            break
        taken.append((batch, first, last))
        done[at] = last
        left -= last - first
        if last < batch.last:
            break
    return taken


def _at_row_end(places: Places, first: int, last: int, slack: int) -> int:
    """Go back to the last row end where that leaves no more than ``slack`` undone."""
    lowest = max(first + 1, last - slack)
    ends = [
        place
        for place in range(lowest, last + 1)
        if place == len(places.piece) or places.piece[place] != places.piece[place - 1]
    ]
    return ends[-1] if ends else last


def _planting_day(  # noqa: PLR0917 - what a day is made from
    brief: Brief,
    booked: Sequence[tuple[date, list[tuple[_Batch, int, int]]]],
    at: int,
    places: Places,
    pace: Pace,
    is_south: bool,  # noqa: FBT001
    set_of_piece: Mapping[int, int],
    vine_flow_lph: float,
) -> PlantingDay:
    day, taken = booked[at]
    parts = tuple(
        Planted(batch.lot, batch.delivery.number, last - first, places.named(first, last))
        for batch, first, last in taken
    )
    vines = sum(part.vines for part in parts)
    soaks = soak_times(brief, pace, day, vines)
    ahead = at + brief.planting.holes_ahead
    digs = brief.planting.method in WITH_HOLES and brief.planting.holes_ahead > 0
    later = booked[ahead][1] if digs and ahead < len(booked) else []
    litres = brief.water.at_planting
    by_tanker = brief.first_season.by == "tanker"
    wait = warm_up_days(brief, day, is_south=is_south)
    came = max(batch.delivery.arrives for batch, _, _ in taken)
    return PlantingDay(
        number=at + 1,
        date=day,
        parts=parts,
        jobs=people_by_job(brief.planting.method, brief.work.crew),
        out_of_store=max(day - timedelta(days=wait), came) if wait else None,
        soaks=soaks,
        holes_next=tuple(one for _, a, b in later for one in places.named(a, b)),
        holes_for=booked[ahead][0] if later else None,
        water_m3=vines * litres / LITRES_PER_M3,
        tanker_trips=math.ceil(vines * litres / brief.first_season.tanker - 1e-9)
        if by_tanker
        else 0,
        set_runs=()
        if by_tanker or litres <= 0.0
        else _set_runs(places, taken, set_of_piece, litres / vine_flow_lph),
        wait_h=_wait_h(brief, taken, soaks, day, pace.hours),
        roots_until=_roots_until(brief, taken, soaks, day),
    )


def people_by_job(method: str, crew: int) -> tuple[tuple[str, int], ...]:
    """Share the crew out over the jobs of a method; jobs without anybody are left out.

    Parameters
    ----------
    method : str
        How vines are planted.
    crew : int
        People in all.
    """
    jobs = [row for row in tables.rows(JOBS) if row["method"] == method]
    counts = shared_out(crew, [float(row["share"]) for row in jobs])
    return tuple((row["job"], people) for row, people in zip(jobs, counts, strict=True) if people)


def soak_times(brief: Brief, pace: Pace, day: date, vines: int) -> tuple[Soak, ...]:
    """When the vines of a day go into water, so that none lies in it too long or too short.

    They go in when work ends on the day before, where that is neither too long nor too
    short for any of them; else as late as may be. Where the day is longer than longest less
    shortest soak, they go in in turns.

    Parameters
    ----------
    brief : Brief
        ``nursery.soaking`` is the longest time.
    pace : Pace
        Hours of work and the shortest time.
    day : date
        The day of planting.
    vines : int
        Planted on it.
    """
    longest, shortest, hours = brief.nursery.soaking, pace.least_soak_h, pace.hours
    if longest <= 0.0:
        return ()
    shortest = min(shortest, longest / 2.0)
    turns = max(1, math.ceil(hours / (longest - shortest) - 1e-9))
    begins = datetime.combine(day, time()) + timedelta(hours=brief.planting.start_hour)
    evening = begins + timedelta(hours=hours - DAY_H)
    found = []
    for turn, count in enumerate(shared_out(vines, [1.0] * turns)):
        plant_from = begins + timedelta(hours=hours * turn / turns)
        until = begins + timedelta(hours=hours * (turn + 1) / turns)
        earliest = until - timedelta(hours=longest)
        latest = plant_from - timedelta(hours=shortest)
        start = evening if earliest <= evening <= latest else latest
        most = min(longest, brief.planting.longest_out)
        found.append(Soak(count, start, plant_from, until, start + timedelta(hours=most)))
    return tuple(found)


def _wait_h(
    brief: Brief,
    taken: Sequence[tuple[_Batch, int, int]],
    soaks: Sequence[Soak],
    day: date,
    hours: float,
) -> float:
    """Longest time from store, heap or, without either, the lorry in the morning, to the ground."""
    if brief.planting.keep != "none":
        if not soaks:
            return 0.0
        return max((soak.until - soak.start).total_seconds() for soak in soaks) / 3600.0
    arrives = min(batch.delivery.arrives for batch, _, _ in taken)
    return (day - arrives).days * DAY_H + hours


def _roots_until(
    brief: Brief,
    taken: Sequence[tuple[_Batch, int, int]],
    soaks: Sequence[Soak],
    day: date,
) -> datetime:
    """Hour after which no root may be out of the ground: of the soak, and of the lorry."""
    allowed = timedelta(hours=brief.planting.longest_out)
    opening = timedelta(hours=brief.planting.start_hour)
    until = max(
        (soak.latest for soak in soaks), default=datetime.combine(day, time()) + opening + allowed
    )
    if brief.planting.keep != "none":
        return until
    arrives = min(batch.delivery.arrives for batch, _, _ in taken)
    return min(until, datetime.combine(arrives, time()) + opening + allowed)


def _set_runs(
    places: Places,
    taken: Sequence[tuple[_Batch, int, int]],
    set_of_piece: Mapping[int, int],
    hours: float,
) -> tuple[tuple[int, float], ...]:
    """Find the sets that water what was planted, each once, in the order of work."""
    if not set_of_piece:
        return ((0, hours),)
    pieces = [
        int(piece)
        for _, first, last in taken
        for piece in dict.fromkeys(places.piece[first:last].tolist())
    ]
    numbers = dict.fromkeys(set_of_piece[piece] for piece in pieces if piece in set_of_piece)
    return tuple((number, hours) for number in numbers)
