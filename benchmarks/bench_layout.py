"""Filling a block with vines, beside a grid of points tested with shapely.contains_xy."""

import tracemalloc
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon

from aanplant.layout.direction import sweep
from aanplant.layout.positions import Positions, place
from aanplant.layout.rows import fit
from benchmarks.timing import Result, best_of

ROW_WIDTH_M, VINE_SPACING_M, BEARING_DEG, OFFSET_M = 2.5, 1.2, 23.0, 0.7
HECTARE_M2 = 10_000.0
SEED = 7


def block(hectares):
    """Irregular, concave block: 60 corners outside, 24 around a hole."""
    noise = np.random.default_rng(SEED)
    angle = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    radius = 1.0 + 0.18 * np.sin(3 * angle) + 0.12 * np.cos(5 * angle + 1)
    radius += noise.uniform(-0.1, 0.1, 60)
    outer = np.stack([radius * np.cos(angle), 0.8 * radius * np.sin(angle)], axis=1)
    angle = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    radius = 0.15 * (1.0 + noise.uniform(-0.2, 0.2, 24))
    hole = np.stack([0.2 + radius * np.cos(angle), 0.1 + radius * np.sin(angle)], axis=1)
    shape = Polygon(outer, [hole])
    size = np.sqrt(hectares * HECTARE_M2 / shape.area)
    return affinity.scale(shape, size, size, origin=(0, 0))


def ours(field, bearing_deg=BEARING_DEG) -> Positions:
    """Fit rows at a given offset and place vines and posts."""
    rows = fit(field, bearing_deg, ROW_WIDTH_M, offset_m=OFFSET_M)
    return place(rows, VINE_SPACING_M)


def by_grid(field, bearing_deg=BEARING_DEG):
    """All lattice points around the field, then those it contains."""
    angle = np.radians(bearing_deg)
    along, across = np.array([[np.sin(angle), np.cos(angle)], [np.cos(angle), -np.sin(angle)]])
    corners = shapely.get_coordinates(field)
    s, t = corners @ along, corners @ across
    line = np.arange(
        np.ceil((t.min() - OFFSET_M) / ROW_WIDTH_M), (t.max() - OFFSET_M) / ROW_WIDTH_M
    )
    point = np.arange(np.ceil(s.min() / VINE_SPACING_M), s.max() / VINE_SPACING_M)
    t = (OFFSET_M + line * ROW_WIDTH_M)[:, None]
    s = point * VINE_SPACING_M
    x = (t * across[0] + s * along[0]).ravel()
    y = (t * across[1] + s * along[1]).ravel()
    shapely.prepare(field)
    inside = shapely.contains_xy(field, x, y)
    return np.stack([x[inside], y[inside]], axis=1)


def in_order(xy):
    """Points sorted so that two sets can be set side by side."""
    return xy[np.lexsort(np.round(xy, 4).T)]


def peak_bytes_per_vine(field):
    """Memory taken above what was there before, results included."""
    tracemalloc.start()
    vines = len(ours(field))
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return peak / vines


def fill(hectares, reach, runs):
    """One line of the table: a block filled in both ways, with the same vines."""
    field = block(hectares)
    vines = ours(field).xy
    reference = by_grid(field)
    assert vines.shape == reference.shape, "the counts differ"
    np.testing.assert_allclose(in_order(vines), in_order(reference), atol=1e-9)
    ours_s, theirs_s = best_of(runs, lambda: ours(field), lambda: by_grid(field))
    return Result(
        work=f"fill {hectares:,} ha with {len(vines):,} vines",
        beside="grid + shapely.contains_xy",
        ours_s=ours_s,
        theirs_s=theirs_s,
        reach=reach,
        note=f"{peak_bytes_per_vine(field):.0f} B a vine (60 allowed), equal counts and places",
    )


def directions():
    """180 bearings and 10 offsets; the grid's time is that of 18 of the 1,800 fills."""
    field = block(20)
    sample = np.arange(0.0, 180.0, 10.0)
    ours_s, theirs_s = best_of(
        3,
        lambda: sweep(field, ROW_WIDTH_M, VINE_SPACING_M),
        lambda: [by_grid(field, bearing) for bearing in sample],
    )
    swept = sweep(field, ROW_WIDTH_M, VINE_SPACING_M, bearings_deg=sample, offsets=1)
    assert swept.vines.tolist() == [
        len(place(fit(field, bearing, ROW_WIDTH_M, offset_m=0.0), VINE_SPACING_M))
        for bearing in sample
    ]
    return Result(
        work="180 bearings x 10 offsets, 20 ha",
        beside="grid + shapely.contains_xy",
        ours_s=ours_s,
        theirs_s=theirs_s / len(sample) * 1_800,
        reach=60.0,
        note="theirs reckoned from 18 of 1,800 fills",
    )


def results() -> Iterator[Result]:
    """Lines of the table, one after another."""
    yield fill(20, reach=4.0, runs=21)
    yield fill(1_000, reach=10.0, runs=7)
    yield directions()
