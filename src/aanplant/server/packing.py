"""Places, lines and shapes as the flat arrays that go over the wire."""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Arrays = dict[str, NDArray[Any]]
Layer = tuple[Arrays, dict[str, Any]]


def single(xy: NDArray[np.float64]) -> NDArray[np.float32]:
    """Places in single precision."""
    return np.asarray(xy, np.float32)


def lines_of(name: str, lines: Sequence[NDArray[np.float64]]) -> Arrays:
    """Lines one after the other, and where each begins, with one more entry at the end."""
    first = np.cumsum([0, *(len(line) for line in lines)])
    corners = np.concatenate(lines) if lines else np.empty((0, 2))
    return {f"{name}_xy": single(corners), f"{name}_first": first.astype(np.int32)}


def shapes_of(name: str, shapes: Iterable[BaseGeometry]) -> Arrays:
    """Lines, points and rings of some shapes; ``…_shape`` tells whose each is."""
    owners: list[int] = []
    lines: list[NDArray[np.float64]] = []
    for owner, shape in enumerate(shapes):
        for part in shapely.get_parts(shape).tolist():
            rings = shapely.get_rings(part).tolist() if part.geom_type == "Polygon" else [part]
            lines += [shapely.get_coordinates(ring) for ring in rings]
            owners += [owner] * len(rings)
    return {**lines_of(name, lines), f"{name}_shape": np.array(owners, np.uint16)}
