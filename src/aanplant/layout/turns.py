"""How a machine turns from one alley into the next: length, room and time."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

TurnKind = Literal["u", "omega", "fishtail"]
PATH_STEP = np.radians(5.0)
"""Turn paths are drawn with a point every 5 degrees: 3 mm inside an arc of 3.5 m."""


@dataclass(frozen=True, slots=True)
class Machine:
    """The machine that works the rows (defaults: common practice, no source).

    Parameters
    ----------
    width_m : float
        Its own width. [m]
    turning_radius_m : float
        Of its middle. [m]
    row_speed_m_s, turn_speed_m_s : float
        In the rows and on the headland; 6 and 4 km/h. [m/s]
    stop_s : float
        Time lost when it stops to change direction. [s]
    """

    width_m: float = 1.8
    turning_radius_m: float = 3.5
    row_speed_m_s: float = 6.0 / 3.6
    turn_speed_m_s: float = 4.0 / 3.6
    stop_s: float = 4.0

    def pass_time_s(
        self,
        row_length_m: float | NDArray[np.float64],
        turns: float | NDArray[np.float64],
        turn: "Turn",
    ) -> float | NDArray[np.float64]:
        """Time of one pass with this machine, as the function of the same name."""
        return pass_time_s(
            row_length_m,
            turns,
            turn,
            row_speed_m_s=self.row_speed_m_s,
            turn_speed_m_s=self.turn_speed_m_s,
            stop_s=self.stop_s,
        )


class Turn(NamedTuple):
    """A way of turning between two alleys.

    ``length_m`` is driven from alley to alley, ``depth_m`` is the furthest the machine's
    middle goes beyond the start of the turn (add half its width), ``half_extent_m`` the
    furthest it goes sideways from mid-way between the alleys. [m]
    """

    kind: TurnKind
    length_m: float
    depth_m: float
    half_extent_m: float
    stops: int


def u_turn(radius_m: float, step_m: float) -> Turn:
    """Two quarter circles and a straight: pi r + w - 2r, for w >= 2r.

    Parameters
    ----------
    radius_m : float
        Turning radius r of the machine's middle. [m]
    step_m : float
        Alley to alley, w. [m]

    Raises
    ------
    ValueError
        If the alleys are closer than 2r, or a distance is not above 0.
    """
    _check(radius_m, step_m)
    if step_m < 2.0 * radius_m:
        raise ValueError(f"a U turn needs alleys {2.0 * radius_m} m apart, got {step_m}")
    return Turn("u", np.pi * radius_m + step_m - 2.0 * radius_m, radius_m, step_m / 2.0, 0)


def omega_turn(radius_m: float, step_m: float) -> Turn:
    """Swing out, then nearly a full circle: r (3 pi - 4 asin((2r + w) / 4r)), for w <= 2r.

    Depth r + sqrt(4 r^2 - (r + w/2)^2). Parameters and errors as ``u_turn``, but for
    alleys further apart than 2r.
    """
    _check(radius_m, step_m)
    if step_m > 2.0 * radius_m:
        raise ValueError(f"an omega turn needs alleys within {2.0 * radius_m} m, got {step_m}")
    length = radius_m * (
        3.0 * np.pi - 4.0 * np.arcsin((2.0 * radius_m + step_m) / (4.0 * radius_m))
    )
    depth = radius_m + _bulb_rise(radius_m, step_m)
    return Turn("omega", float(length), float(depth), radius_m, 0)


def fishtail_turn(radius_m: float, step_m: float) -> Turn:
    """Quarter circle, back up, quarter circle: (pi + 2) r - w and two stops, for w <= 2r.

    Parameters and errors as ``omega_turn``.
    """
    _check(radius_m, step_m)
    if step_m > 2.0 * radius_m:
        raise ValueError(f"a fishtail needs alleys within {2.0 * radius_m} m, got {step_m}")
    sideways = max(step_m / 2.0, radius_m - step_m / 2.0)
    return Turn("fishtail", (np.pi + 2.0) * radius_m - step_m, radius_m, sideways, 2)


def possible(radius_m: float, step_m: float) -> tuple[Turn, ...]:
    """List turns between alleys ``step_m`` apart, best first: without stops, then shortest."""
    if step_m >= 2.0 * radius_m:
        return (u_turn(radius_m, step_m),)
    return (omega_turn(radius_m, step_m), fishtail_turn(radius_m, step_m))


def fitting(
    radius_m: float, step_m: float, *, room_m: float, machine_width_m: float
) -> Turn | None:
    """Best turn that goes into ``room_m`` beyond the rows, half the machine's width included."""
    for turn in possible(radius_m, step_m):
        if turn.depth_m + machine_width_m / 2.0 <= room_m:
            return turn
    return None


def path(turn: Turn, radius_m: float, step_m: float) -> NDArray[np.float64]:
    """Way of the machine's middle, shape (n, 2): sideways from mid-way, outward from the start.

    It enters at (-step / 2, 0) heading outward and leaves at (step / 2, 0) heading inward.
    """
    half, r = step_m / 2.0, radius_m
    if turn.kind == "omega":
        rise = _bulb_rise(r, step_m)
        swing = np.arccos((r + half) / (2.0 * r))
        parts = [
            _arc(-half - r, 0.0, r, 0.0, swing),
            _arc(0.0, rise, r, np.pi + swing, -swing),
            _arc(half + r, 0.0, r, np.pi - swing, np.pi),
        ]
    else:
        # A U turn drives on between its two arcs, a fishtail backs up.
        parts = [
            _arc(-half + r, 0.0, r, np.pi, np.pi / 2.0),
            _arc(half - r, 0.0, r, np.pi / 2.0, 0.0),
        ]
    return np.concatenate(parts)


def pass_time_s(
    row_length_m: float | NDArray[np.float64],
    turns: float | NDArray[np.float64],
    turn: Turn,
    *,
    row_speed_m_s: float,
    turn_speed_m_s: float,
    stop_s: float,
) -> float | NDArray[np.float64]:
    """Time of one pass: rows at their speed, turns at theirs, and the stops.

    Parameters
    ----------
    row_length_m : float or ndarray
        All rows together, each driven once. [m]
    turns : float or ndarray
        Number of turns.
    turn : Turn
        How they are made.
    row_speed_m_s, turn_speed_m_s : float
        Speeds. [m/s]
    stop_s : float
        Time lost by one stop. [s]

    Returns
    -------
    float or ndarray
        [s]
    """
    each = turn.length_m / turn_speed_m_s + turn.stops * stop_s
    return row_length_m / row_speed_m_s + turns * each


def field_efficiency(row_length_m: float, turn: Turn, machine: Machine) -> float:
    """Share of the time spent in rows of ``row_length_m``, with one turn a row. [-]."""
    in_row = row_length_m / machine.row_speed_m_s
    return float(in_row / machine.pass_time_s(row_length_m, 1.0, turn))


def _check(radius_m: float, step_m: float) -> None:
    if not (radius_m > 0.0 and step_m > 0.0):
        raise ValueError(f"radius and step must be above 0, got {radius_m} and {step_m}")


def _bulb_rise(radius_m: float, step_m: float) -> float:
    """Height of the omega's full circle above the start of the turn. [m]."""
    # 4 r^2 - (r + w/2)^2 in factors, so that it never rounds below zero.
    return float(np.sqrt((radius_m - step_m / 2.0) * (3.0 * radius_m + step_m / 2.0)))


def _arc(
    x: float, y: float, radius_m: float, start_rad: float, end_rad: float
) -> NDArray[np.float64]:
    """Points on a circle around (x, y), angles from the sideways axis. [m]."""
    count = int(np.ceil(abs(end_rad - start_rad) / PATH_STEP)) + 2
    angle = np.linspace(start_rad, end_rad, count)
    return np.stack([x + radius_m * np.cos(angle), y + radius_m * np.sin(angle)], axis=1)
