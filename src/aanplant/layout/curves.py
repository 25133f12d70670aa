"""Smooth curves and their equidistant offsets: the shape of contour rows.

A base line is smoothed once. Every row then lies at its own distance from it, measured
square to it, so that neighbouring rows are one row width apart everywhere. Seen along the
line, distances to the right are above 0. A row at distance d runs (1 + curvature * d)
times as far as its base line and bends with radius (1 / curvature + d).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

CHORD_ERROR_M = 0.002
"""Curves are drawn as chords that stray no further than this from them."""
LONGEST_CHORD_M = 10.0
_FINE_M = 0.25
_JOINT_M = 1e-3
_HALVINGS = 20
_FEWEST_POINTS = 5
_LOG_STIFFNESS = (-6.0, 12.0)


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve through points, as columns of shape (n,) or (n, 2).

    Parameters
    ----------
    xy : ndarray, shape (n, 2)
        Points of the curve. [m]
    tangent_xy : ndarray, shape (n, 2)
        Unit vectors along it.
    curvature : ndarray, shape (n,)
        1 / radius, above 0 where it bends to the left. [1/m]
    chainage_m : ndarray, shape (n,)
        Distance along it from its start, ascending. [m]
    """

    xy: NDArray[np.float64]
    tangent_xy: NDArray[np.float64]
    curvature: NDArray[np.float64]
    chainage_m: NDArray[np.float64]

    @property
    def length_m(self) -> float:
        """From its first to its last point. [m]."""
        return float(self.chainage_m[-1] - self.chainage_m[0])

    def offset(self, across_m: ArrayLike, chainage_m: ArrayLike) -> NDArray[np.float64]:
        """Points beside the curve, shape (..., 2), ``across_m`` to its right at a chainage."""
        across, at = np.broadcast_arrays(np.asarray(across_m, np.float64), np.asarray(chainage_m))
        foot, along = self._at(at, self.xy), self._at(at, self.tangent_xy)
        right = np.stack([along[..., 1], -along[..., 0]], axis=-1)
        return np.asarray(foot + across[..., None] * right)

    def tangent_at(self, chainage_m: ArrayLike) -> NDArray[np.float64]:
        """Return unit vectors along the curve and along all its offsets, shape (..., 2)."""
        along = self._at(np.asarray(chainage_m, np.float64), self.tangent_xy)
        return np.asarray(along / np.linalg.norm(along, axis=-1, keepdims=True))

    def curvature_at(self, chainage_m: ArrayLike) -> NDArray[np.float64]:
        """1 / radius at a chainage. [1/m]."""
        at = np.asarray(chainage_m, dtype=np.float64)
        return np.asarray(np.interp(at, self.chainage_m, self.curvature))

    def stretch(self, across_m: ArrayLike, chainage_m: ArrayLike) -> NDArray[np.float64]:
        """Length of the offset for a metre of the curve; 0 or less where it folds over."""
        return 1.0 + self.curvature_at(chainage_m) * np.asarray(across_m, dtype=np.float64)

    def _at(self, chainage_m: NDArray[np.float64], values: NDArray[np.float64]) -> NDArray:  # type: ignore[type-arg]
        return np.stack(
            [np.interp(chainage_m, self.chainage_m, column) for column in values.T], axis=-1
        )

    def reversed(self) -> "Curve":
        """Return the same curve walked the other way."""
        return Curve(
            self.xy[::-1], -self.tangent_xy[::-1], -self.curvature[::-1],
            self.chainage_m[-1] + self.chainage_m[0] - self.chainage_m[::-1],
        )  # fmt: skip

    def extended(self, length_m: float) -> "Curve":
        """Add a straight piece at both ends; chainages along the curve stay as they are."""
        before = self.xy[0] - length_m * self.tangent_xy[0]
        after = self.xy[-1] + length_m * self.tangent_xy[-1]
        steps = max(int(np.ceil(length_m / LONGEST_CHORD_M)), 1)
        # A point close to the joint, so that the curve does not seem to bend before it.
        share = np.append(np.linspace(0.0, 1.0, steps + 1)[:-1], 1.0 - _JOINT_M / length_m)[:, None]
        steps += 1
        ends = [
            (before + share * (self.xy[0] - before), self.tangent_xy[0],
             self.chainage_m[0] - length_m * (1.0 - share[:, 0])),
            ((after + share * (self.xy[-1] - after))[::-1], self.tangent_xy[-1],
             (self.chainage_m[-1] + length_m * (1.0 - share[:, 0]))[::-1]),
        ]  # fmt: skip
        straight = np.zeros(steps)
        return Curve(
            np.concatenate([ends[0][0], self.xy, ends[1][0]]),
            np.concatenate([np.tile(ends[0][1], (steps, 1)), self.tangent_xy,
                            np.tile(ends[1][1], (steps, 1))]),
            np.concatenate([straight, self.curvature, straight]),
            np.concatenate([ends[0][2], self.chainage_m, ends[1][2]]),
        )  # fmt: skip


def smoothed(line_xy: NDArray[np.float64], tolerance_m: float, *, reach_m: float = 0.0) -> Curve:
    """Run a smooth curve through a line, as gently as a tolerance allows.

    A natural cubic smoothing spline over the distance along the line, for x and y apart:
    of all curves, the one of least squared second derivative for its mean square
    deviation [1]_. Its stiffness is the greatest at which no point of the line, set a metre
    apart or closer, is further than the tolerance from its place on the curve. The curve
    runs straight out of its ends.

    Parameters
    ----------
    line_xy : ndarray, shape (n, 2)
        Corners of the line, two or more. [m]
    tolerance_m : float
        Greatest distance between the line and the curve, above 0. [m]
    reach_m : float
        Furthest offset that is wanted: its chords too stay within ``CHORD_ERROR_M``. [m]

    Raises
    ------
    ValueError
        If the line has no length or the tolerance is not above 0.

    References
    ----------
    .. [1] Reinsch (1967), Smoothing by spline functions, Numerische Mathematik 10: 177-183.
    """
    if not tolerance_m > 0.0:
        raise ValueError(f"tolerance_m must be above 0, got {tolerance_m}")
    walked, points = _evenly(line_xy)
    from scipy.interpolate import make_smoothing_spline  # noqa: PLC0415 - half a second

    def fitted(log_stiffness: float):  # type: ignore[no-untyped-def]  # noqa: ANN202
        return make_smoothing_spline(walked, points, lam=10.0**log_stiffness)

    def leaves(log_stiffness: float) -> bool:
        away = np.hypot(*(fitted(log_stiffness)(walked) - points).T)
        return bool(away.max() > tolerance_m)

    straight = _straight(walked, points)
    if _furthest_m(straight, points) <= tolerance_m:
        return straight
    low, high = _LOG_STIFFNESS
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if leaves(middle) else (middle, high)
    return _sampled(fitted(low), walked[0], walked[-1], reach_m)


def arc(
    centre_xy: tuple[float, float],
    radius_m: float,
    from_deg: float,
    to_deg: float,
    *,
    reach_m: float = 0.0,
) -> Curve:
    """Part of a circle, from one bearing of its points from the centre to another."""
    turn = np.radians(to_deg - from_deg)
    chord = _chord_m(np.array([1.0 / radius_m]), reach_m)[0]
    steps = int(np.ceil(abs(turn) * radius_m / chord)) + 1
    angle = np.radians(from_deg) + np.linspace(0.0, turn, steps + 1)
    way = 1.0 if turn > 0.0 else -1.0  # growing bearings go with the clock, to the right
    out = np.stack([np.sin(angle), np.cos(angle)], axis=1)
    return Curve(
        np.asarray(centre_xy) + radius_m * out,
        way * np.stack([np.cos(angle), -np.sin(angle)], axis=1),
        np.full(steps + 1, -way / radius_m),
        radius_m * np.abs(angle - angle[0]),
    )


def chord_offset_m(chord_m: ArrayLike, radius_m: ArrayLike) -> NDArray[np.float64]:
    """How far a curve stands off the middle of a chord: chord² / (8 radius). [m]."""
    return np.asarray(np.square(chord_m) / (8.0 * np.asarray(radius_m, np.float64)))


def _evenly(line_xy: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points along a line, about a metre apart, with their distances along it."""
    step = np.hypot(*np.diff(line_xy, axis=0).T)
    kept = np.concatenate([[True], step > 0.0])
    corner = line_xy[kept]
    walked = np.concatenate([[0.0], np.cumsum(step[step > 0.0])])
    if not walked[-1] > 0.0:
        raise ValueError("a line needs two points that are apart")
    at = np.linspace(0.0, walked[-1], max(int(np.ceil(walked[-1])) + 1, _FEWEST_POINTS))
    return at, np.stack([np.interp(at, walked, column) for column in corner.T], axis=1)


def _straight(walked: NDArray[np.float64], points: NDArray[np.float64]) -> Curve:
    """Straight line of least squares through points, from foot to foot of the outer ones."""
    middle = points.mean(axis=0)
    along = np.polyfit(walked, points - middle, 1)[0]
    along /= np.hypot(*along)
    reach = ((points - middle) @ along)[[0, -1]]
    ends = middle + reach[:, None] * along
    return Curve(ends, np.tile(along, (2, 1)), np.zeros(2), reach - reach[0])


def _furthest_m(straight: Curve, points: NDArray[np.float64]) -> float:
    """Greatest distance of points from a straight line. [m]."""
    away = (points - straight.xy[0]) @ np.array(
        [straight.tangent_xy[0, 1], -straight.tangent_xy[0, 0]]
    )
    return float(np.abs(away).max())


def _sampled(spline, start: float, end: float, reach_m: float) -> Curve:  # type: ignore[no-untyped-def]  # noqa: ANN001
    """Points of a spline, close together where it bends."""
    fine = np.linspace(start, end, int(np.ceil((end - start) / _FINE_M)) + 1)
    first, second = spline.derivative(1)(fine), spline.derivative(2)(fine)
    speed = np.hypot(*first.T)
    curvature = (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / speed**3
    chainage = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2.0 * np.diff(fine))])
    chords = speed / _chord_m(curvature, reach_m)
    count = np.concatenate([[0.0], np.cumsum((chords[1:] + chords[:-1]) / 2.0 * np.diff(fine))])
    wanted = np.linspace(0.0, count[-1], int(np.ceil(count[-1])) + 1)
    at = np.interp(wanted, count, fine)
    along = spline.derivative(1)(at)
    return Curve(
        spline(at),
        along / np.hypot(*along.T)[:, None],
        np.interp(at, fine, curvature),
        np.interp(at, fine, chainage),
    )


def _chord_m(curvature: NDArray[np.float64], reach_m: float) -> NDArray[np.float64]:
    """Longest step along the curve whose offsets, out to ``reach_m``, stay near their chords.

    Offset by d a step grows by 1 + |curvature| d, and so does the chord's error.
    """
    bend = np.abs(curvature)
    room = 8.0 * CHORD_ERROR_M / np.maximum(bend * (1.0 + bend * reach_m), 1e-12)
    return np.minimum(np.sqrt(room), LONGEST_CHORD_M)
