"""Rows that bend: many polylines in a few columns, walked by distance from their start."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

_APART_M = 1.0
"""Gap between the keys of two paths; any length above rounding does."""


@dataclass(frozen=True, slots=True)
class Paths:
    """Polylines as columns.

    Parameters
    ----------
    xy : ndarray, shape (n_points, 2)
        Corners, path after path, each from its start to its end. [m]
    first : ndarray, shape (n_paths + 1,), int64
        Path i has the corners ``first[i]`` to ``first[i + 1] - 1``, two or more.
    chainage_m : ndarray, shape (n_points,)
        Distance walked to each corner from the start of its path. [m]
    tangent_xy : ndarray, shape (n_points, 2)
        Unit vectors along the curve that the corners stand for.
    """

    xy: NDArray[np.float64]
    first: NDArray[np.int64]
    chainage_m: NDArray[np.float64]
    tangent_xy: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.first) - 1

    @property
    def length_m(self) -> NDArray[np.float64]:
        """Length of every path, shape (n_paths,). [m]."""
        return np.asarray(self.chainage_m[self.first[1:] - 1], dtype=np.float64)

    def point_at(self, index: ArrayLike, chainage_m: ArrayLike) -> NDArray[np.float64]:
        """Points on paths, shape (..., 2); beyond an end, the end."""
        return self._between_corners(index, chainage_m, self.xy)

    def heading_at(self, index: ArrayLike, chainage_m: ArrayLike) -> NDArray[np.float64]:
        """Return unit vectors along the curves, shape (..., 2)."""
        heading = self._between_corners(index, chainage_m, self.tangent_xy)
        return np.asarray(heading / np.linalg.norm(heading, axis=-1, keepdims=True))

    def _between_corners(
        self, index: ArrayLike, chainage_m: ArrayLike, values: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Interpolate values at corners; all paths at once, laid end to end."""
        path, walked = np.broadcast_arrays(np.asarray(index), np.asarray(chainage_m, np.float64))
        length = self.length_m
        start = np.cumsum(length + _APART_M) - (length + _APART_M)
        key = self.chainage_m + np.repeat(start, np.diff(self.first))
        at = start[path] + np.clip(walked, 0.0, length[path])
        return np.stack([np.interp(at, key, column) for column in values.T], axis=-1)

    def taken(self, order: NDArray[np.int64], *, turned: bool = False) -> "Paths":
        """Take some paths in a new order, from end to start when ``turned``."""
        count = np.diff(self.first)[order]
        first = np.concatenate([[0], np.cumsum(count)])
        step = np.arange(first[-1]) - np.repeat(first[:-1], count)
        if turned:
            step = np.repeat(count - 1, count) - step
        corner = np.repeat(self.first[order], count) + step
        chainage, tangent = self.chainage_m[corner], self.tangent_xy[corner]
        if turned:
            chainage = np.repeat(self.length_m[order], count) - chainage
            tangent = -tangent
        return Paths(self.xy[corner], first, chainage, tangent)

    def between(
        self, index: NDArray[np.int64], start_m: NDArray[np.float64], end_m: NDArray[np.float64]
    ) -> "Paths":
        """Stretches of paths from one chainage to another, shape (n,) each."""
        parts = [
            self._stretch(int(path), float(start), float(end))
            for path, start, end in zip(index, start_m, end_m, strict=True)
        ]
        return join(parts)

    def _stretch(self, path: int, start_m: float, end_m: float) -> tuple[NDArray[np.float64], ...]:
        own = slice(int(self.first[path]), int(self.first[path + 1]))
        inside = (self.chainage_m[own] > start_m) & (self.chainage_m[own] < end_m)
        ends = np.array([start_m, end_m])
        xy, tangent = self.point_at(path, ends), self.heading_at(path, ends)
        return (
            np.concatenate([xy[:1], self.xy[own][inside], xy[1:]]),
            np.concatenate([tangent[:1], self.tangent_xy[own][inside], tangent[1:]]),
        )

    def lines(self) -> NDArray[np.object_]:
        """Paths as shapely lines, shape (n_paths,)."""
        owner = np.repeat(np.arange(len(self)), np.diff(self.first))
        return np.asarray(shapely.linestrings(self.xy, indices=owner), dtype=object)


def join(parts: list[tuple[NDArray[np.float64], ...]]) -> Paths:
    """Make paths of single ones, each its corners and its unit vectors, shape (n, 2) both."""
    if not parts:
        none = np.empty((0, 2))
        return Paths(none, np.zeros(1, np.int64), np.empty(0), none)
    first = np.concatenate([[0], np.cumsum([len(xy) for xy, _ in parts])]).astype(np.int64)
    xy = np.concatenate([xy for xy, _ in parts])
    return from_corners(xy, first, np.concatenate([tangent for _, tangent in parts]))


def from_corners(
    xy: NDArray[np.float64], first: NDArray[np.int64], tangent_xy: NDArray[np.float64]
) -> Paths:
    """Make paths of their corners, measuring the way along each."""
    step = np.zeros(len(xy))
    step[1:] = np.hypot(*np.diff(xy, axis=0).T)
    step[first[:-1]] = 0.0
    walked = np.cumsum(step)
    walked -= np.repeat(walked[first[:-1]], np.diff(first))
    return Paths(xy, first, walked, tangent_xy)
