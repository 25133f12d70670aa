"""Which vines are planted on which day, and what each day needs."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from aanplant import tables
from aanplant.brief import Brief
from aanplant.work.lot_rows import LotRows
from aanplant.work.nursery_order import shared_out
from aanplant.work.planting_day import Places, Planted, PlantingDay
from aanplant.work.planting_pace import WITH_HOLES, Pace
from aanplant.work.roots_out import longest_wait_h, roots_until, soak_times, warm_up_days
from aanplant.work.tasks import Delivery

JOBS = "planting_jobs.csv"
LITRES_PER_M3 = 1000.0


@dataclass(frozen=True, slots=True)
class _Batch:
    """Places filled from one lot of one delivery, from ``first`` up to ``last``."""

    lot: str
    delivery: Delivery
    ready: date
    first: int
    last: int


_Booked = tuple[date, list[tuple[_Batch, int, int]]]
"""A day, and what is planted on it: places of a batch from one up to another."""


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
    set_flow_m3_h: Mapping[int, float],
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
    set_flow_m3_h : mapping of int to float
        Flow of all drippers of each set; of the block as 0 where none are planned. [m3/h]
    vine_flow_lph : float
        Flow of the drippers of one vine. [L/h]
    """
    batches = list(_batches(brief, lots, deliveries, is_south=is_south))
    booked: list[_Booked] = []
    done = {at: batch.first for at, batch in enumerate(batches)}
    day = min((batch.ready for batch in batches), default=date.min)
    while any(done[at] < batch.last for at, batch in enumerate(batches)):
        works = day.weekday() in week_days and day not in days_off
        if works and (taken := _day(brief, batches, done, day, places, pace.vines_per_day)):
            booked.append((day, taken))
        day += timedelta(days=1)
    usual = _usual_days(booked)
    return tuple(
        _planting_day(brief, booked, at, places, pace, is_south, set_of_piece,
                      set_flow_m3_h, vine_flow_lph, usual[at])
        for at in range(len(booked))
    )  # fmt: skip


def _usual_days(booked: Sequence[_Booked]) -> tuple[date, ...]:
    """Days by which each day's planting is done in usual weather, by the calendar's reckoning."""
    days_of: dict[int, list[int]] = {}
    for at, (_, taken) in enumerate(booked):
        for number in {batch.delivery.number for batch, _, _ in taken}:
            days_of.setdefault(number, []).append(at)
    usual = [day for day, _ in booked]
    for at, (_, taken) in enumerate(booked):
        for delivery in (batch.delivery for batch, _, _ in taken):
            if not delivery.done_by:
                continue
            own = days_of[delivery.number]
            # The calendar may reckon with a day more or less than the rows come to.
            done = math.ceil((own.index(at) + 1) * len(delivery.done_by) / len(own) - 1e-9)
            usual[at] = max(usual[at], delivery.done_by[done - 1])
    return tuple(usual)


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
    booked: Sequence[_Booked],
    at: int,
    places: Places,
    pace: Pace,
    is_south: bool,  # noqa: FBT001
    set_of_piece: Mapping[int, int],
    set_flow_m3_h: Mapping[int, float],
    vine_flow_lph: float,
    usual: date,
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
    needed_m3 = vines * litres / LITRES_PER_M3
    is_piped = not by_tanker and litres > 0.0
    runs = _set_runs(places, taken, set_of_piece, litres / vine_flow_lph) if is_piped else ()
    flows = sum(hours * set_flow_m3_h[number] for number, hours in runs)
    came = [batch.delivery.arrives for batch, _, _ in taken]
    return PlantingDay(
        number=at + 1,
        date=day,
        usual=usual,
        parts=parts,
        jobs=people_by_job(brief.planting.method, brief.work.crew),
        out_of_store=max(day - timedelta(days=wait), *came) if wait else None,
        soaks=soaks,
        holes_next=tuple(one for _, a, b in later for one in places.named(a, b)),
        holes_for=booked[ahead][0] if later else None,
        water_m3=needed_m3,
        pumped_m3=flows if runs else needed_m3,
        tanker_trips=math.ceil(vines * litres / brief.first_season.tanker - 1e-9)
        if by_tanker
        else 0,
        set_runs=runs,
        wait_h=longest_wait_h(brief, min(came), soaks, usual, pace.hours),
        roots_until=roots_until(brief, min(came), soaks, day),
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
