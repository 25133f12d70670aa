"""Does the water suffice: the year's need beside the right, the store, the canal and the flow."""

import re
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MONTH_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MONTHS = 12
DECADE = 10
_PART = re.compile(r"^([a-z]{3})[a-z]*(?:\s*[-–]\s*([a-z]{3})[a-z]*)?$")


@dataclass(frozen=True)
class WaterShortage:
    """One way in which the water does not suffice, to be put in words.

    Parameters
    ----------
    kind : str
        ``no_right``, ``right_taken``, ``right_short``, ``outside_months``, or ``flow_short``.
    age : int or None
        First year of age at which it shows, 1 for the first; None for all.
    value, limit : float
        What is needed and what there is, in ``unit``.
    unit : str
        Of both.
    """

    kind: str
    age: int | None
    value: float
    limit: float
    unit: str


@dataclass(frozen=True)
class RightCheck:
    """A year's need beside the water right, arrays of shape (n_ages,).

    Parameters
    ----------
    left_m3, left_short_m3 : float
        Of the right, after other blocks, in a full year and in one of short supply. [m3]
    storage_m3 : float
        Water stored for the season. [m3]
    inside_m3, outside_m3 : ndarray
        Need at the assurance, in the months of the right and in the others. [m3]
    assurance : float
        Share of years whose need these are. [-]
    probability : ndarray
        Share of years in which the water suffices, short supply counted. [-]
    worst_m3 : ndarray
        By how much the thirstiest year is short, 0 when it isn't. [m3]
    decade_m3 : ndarray
        Mean need of the thirstiest ten years on end; nan with fewer years. [m3]
    decade_suffices : ndarray
        Share of those ten years in which the whole right suffices; nan with fewer. [-]
    shortages : tuple of WaterShortage
        What to say.
    """

    left_m3: float
    left_short_m3: float
    storage_m3: float
    inside_m3: Array
    outside_m3: Array
    assurance: float
    probability: Array
    worst_m3: Array
    decade_m3: Array
    decade_suffices: Array
    shortages: tuple[WaterShortage, ...]


def months_of(text: str) -> NDArray[np.bool_]:
    """Read months such as "Sep-Apr" or "Sep-Nov, Jan"; all of them when empty.

    Returns
    -------
    ndarray of bool, shape (12,)
        January first.

    Raises
    ------
    ValueError
        If a part names no month.
    """
    counted = np.zeros(MONTHS, dtype=np.bool_)
    parts = [part.strip() for part in text.lower().split(",") if part.strip()]
    if not parts:
        return ~counted
    for part in parts:
        match = _PART.match(part)
        names = [name for name in match.groups() if name] if match else []
        if not names or any(name not in MONTH_NAMES for name in names):
            raise ValueError(f"{part!r} is no month, nor months such as Sep-Apr")
        first, last = MONTH_NAMES.index(names[0]), MONTH_NAMES.index(names[-1])
        length = (last - first) % MONTHS + 1
        counted[(first + np.arange(length)) % MONTHS] = True
    return counted


def against_right(
    need_by_month_m3: Array,
    *,
    right_m3: float,
    committed_m3: float = 0.0,
    storage_m3: float = 0.0,
    is_month: NDArray[np.bool_] | None = None,
    short_years: float = 0.0,
    short_supply: float = 1.0,
    assurance: float = 0.9,
) -> RightCheck:
    """Set every year's need beside the water right.

    In the months of the right its water is drawn first, then the store; in other months
    only the store gives. Whether a year is one of short supply does not hang on its weather.

    Parameters
    ----------
    need_by_month_m3 : ndarray, shape (12, n_years, n_ages)
        Water to draw, January first, years in order. [m3]
    right_m3, committed_m3, storage_m3 : float
        The right in a year, what other blocks take of it, and the store. [m3]
    is_month : ndarray of bool, shape (12,), optional
        Months of the right; all when left out.
    short_years : float
        Share of years in which the source gives less than the right. [-]
    short_supply : float
        Share of the right that it gives then. [-]
    assurance : float
        Share of years whose need is to be met. [-]

    Raises
    ------
    ValueError
        If a volume is negative or a share is outside 0 to 1.
    """
    if min(right_m3, committed_m3, storage_m3) < 0.0:
        raise ValueError("volumes can't be negative")
    if not all(0.0 <= share <= 1.0 for share in (short_years, short_supply, assurance)):
        raise ValueError("shares must be in [0, 1]")
    counted = np.ones(MONTHS, dtype=np.bool_) if is_month is None else is_month
    # Axes: year, age.
    inside = need_by_month_m3[counted].sum(axis=0)
    outside = need_by_month_m3[~counted].sum(axis=0)
    left = max(right_m3 - committed_m3, 0.0)
    left_short = max(right_m3 * short_supply - committed_m3, 0.0)

    def lacking(left_of_right: float) -> Array:
        stored = storage_m3 - outside
        over = np.maximum(inside - left_of_right - np.maximum(stored, 0.0), 0.0)
        return np.asarray(np.maximum(-stored, 0.0) + over)

    full, short = lacking(left), lacking(left_short)
    enough = (1.0 - short_years) * (full <= 0.0).mean(axis=0)
    enough = enough + short_years * (short <= 0.0).mean(axis=0)
    decade, suffices = dry_decade(inside + outside, full <= 0.0)
    needed, others = (np.quantile(one, assurance, axis=0) for one in (inside, outside))
    check = RightCheck(
        left, left_short, storage_m3, needed, others, assurance, enough,
        full.max(axis=0), decade, suffices, (),
    )  # fmt: skip
    return _with_shortages(check, right_m3, committed_m3)


def dry_decade(need_m3: Array, suffices: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Mean need of the thirstiest ten years on end, and how many of them were met.

    Parameters
    ----------
    need_m3 : ndarray, shape (n_years, n_ages)
        Years in order. [m3]
    suffices : ndarray of bool, shape (n_years, n_ages)
        Whether the water sufficed.

    Returns
    -------
    tuple of ndarray, shape (n_ages,)
        nan with fewer than ten years. [m3, -]
    """
    years, ages = need_m3.shape
    if years < DECADE:
        return np.full(ages, np.nan), np.full(ages, np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(need_m3, DECADE, axis=0).mean(axis=-1)
    met = np.lib.stride_tricks.sliding_window_view(suffices, DECADE, axis=0).mean(axis=-1)
    worst = windows.argmax(axis=0)
    age = np.arange(ages)
    return windows[worst, age], met[worst, age]


def store_for_turns(daily_m3: Array, *, every_days: int, turn_m3: float) -> Array:
    """Smallest store that carries the need from turn to turn of a canal. [m3].

    The store is full at the first day, a turn comes on it and every so many days; what
    does not fit runs past. Where a turn gives less than what is used until the next the
    store grows with the season.

    Parameters
    ----------
    daily_m3 : ndarray, shape (days, ...)
        Water to draw each day. [m3]
    every_days : int
        From turn to turn. [d]
    turn_m3 : float
        Water of a turn. [m3]

    Returns
    -------
    ndarray, shape (...)
        By year and whatever else runs side by side. [m3]
    """
    if every_days < 1 or turn_m3 < 0.0:
        raise ValueError("every_days must be at least 1 and turn_m3 not negative")
    lacking = np.zeros(daily_m3.shape[1:])
    deepest = np.zeros_like(lacking)
    for day, need in enumerate(daily_m3):
        if day % every_days == 0:
            lacking = np.maximum(lacking - turn_m3, 0.0)
        lacking = lacking + need
        deepest = np.maximum(deepest, lacking)
    return deepest


def check_flow(
    peak_m3_d: Array, *, flow_m3_h: float, hours_a_day: float
) -> tuple[Array, tuple[WaterShortage, ...]]:
    """Hours that the peak day takes at the tested flow, and what to say when a day is too short.

    Parameters
    ----------
    peak_m3_d : ndarray, shape (n_ages,)
        Water to draw on a day of the peak, the youngest first. [m3/d]
    flow_m3_h : float
        Lowest tested flow. [m3/h]
    hours_a_day : float
        Hours in which water may run. [h]
    """
    if flow_m3_h < 0.0 or hours_a_day <= 0.0:
        raise ValueError("flow_m3_h not negative and hours_a_day above 0")
    peak = np.asarray(peak_m3_d, dtype=np.float64)
    with np.errstate(divide="ignore", invalid="ignore"):
        hours = np.where(peak > 0.0, peak / flow_m3_h, 0.0)
    late = np.flatnonzero(hours > hours_a_day)
    if not len(late):
        return hours, ()
    worst = int(peak.argmax())
    return hours, (
        WaterShortage(
            "flow_short",
            int(late[0]) + 1,
            float(peak[worst] / hours_a_day),
            flow_m3_h,
            "m3/h",
        ),
    )


def _with_shortages(check: RightCheck, right_m3: float, committed_m3: float) -> RightCheck:
    found: list[WaterShortage] = []
    need = check.inside_m3 + check.outside_m3
    most = float(need.max())
    if most <= 0.0:
        return check
    if right_m3 <= 0.0:
        found.append(WaterShortage("no_right", None, most, 0.0, "m3"))
    elif committed_m3 >= right_m3:
        found.append(WaterShortage("right_taken", None, committed_m3, right_m3, "m3"))
    else:
        stored = np.maximum(check.storage_m3 - check.outside_m3, 0.0)
        over = np.flatnonzero(check.inside_m3 > check.left_m3 + stored)
        if len(over):
            worst = int(check.inside_m3.argmax())
            found.append(
                WaterShortage(
                    "right_short",
                    int(over[0]) + 1,
                    float(check.inside_m3[worst]),
                    float(check.left_m3 + stored[worst]),
                    "m3",
                )
            )
    dry = np.flatnonzero(check.outside_m3 > check.storage_m3)
    if len(dry):
        worst = int(check.outside_m3.argmax())
        found.append(
            WaterShortage(
                "outside_months",
                int(dry[0]) + 1,
                float(check.outside_m3[worst]),
                check.storage_m3,
                "m3",
            )
        )
    return replace(check, shortages=tuple(found))
