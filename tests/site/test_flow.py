"""Where water runs, beside a plain priority flood and the balance of all cells."""

import heapq

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.site.flow import drain
from tests.site.hills import model_of_matplotlib

AROUND = [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j]


def priority_flood(z):
    """Fill hollows one node at a time (Barnes, Lehman and Mulla 2014, algorithm 1)."""
    filled, done = z.copy(), np.isnan(z)
    queue: list[tuple[float, int, int]] = []
    rows, columns = z.shape

    def neighbours(row, column):
        for up, right in AROUND:
            yield row + up, column + right

    def is_inside(row, column):
        return 0 <= row < rows and 0 <= column < columns

    for row, column in np.argwhere(~done):
        if any(not is_inside(*n) or np.isnan(z[n]) for n in neighbours(row, column)):
            heapq.heappush(queue, (z[row, column], row, column))
            done[row, column] = True
    while queue:
        level, row, column = heapq.heappop(queue)
        for near in neighbours(row, column):
            if is_inside(*near) and not done[near]:
                filled[near] = max(z[near], level)
                done[near] = True
                heapq.heappush(queue, (filled[near], *near))
    return filled


@given(
    st.integers(3, 12),
    st.integers(3, 12),
    st.integers(0, 2**32 - 1),
    st.floats(0.0, 0.3),
    st.integers(0, 2),
)
def test_hollows_fill_as_by_a_priority_flood_and_all_ground_drains_out(
    rows, columns, seed, holes, digits
):
    random = np.random.default_rng(seed)
    z = np.round(random.uniform(0.0, 5.0, (rows, columns)), digits)  # with level ground
    z[random.uniform(size=z.shape) < holes] = np.nan
    z[rows // 2, columns // 2] = 2.0

    drained = drain(z, 2.0, 3.0)

    known = ~np.isnan(z)
    assert np.array_equal(drained.filled_m, priority_flood(z), equal_nan=True)
    out = known & (drained.receiver < 0)
    assert drained.upslope_m2[out].sum() == pytest.approx(6.0 * known.sum())
    assert (drained.upslope_m2[known] >= 6.0).all()
    assert np.isnan(drained.upslope_m2[~known]).all()
    fed = drained.receiver[known & (drained.receiver >= 0)]
    assert (
        drained.filled_m.ravel()[fed] <= drained.filled_m[known & (drained.receiver >= 0)]
    ).all()


def test_water_of_a_valley_runs_along_its_floor():
    x, y = np.meshgrid(np.arange(-10, 11) * 5.0, np.arange(31) * 5.0)
    valley = 0.2 * np.abs(x) + 0.1 * y  # falls to the south

    upslope = drain(valley, 5.0, 5.0).upslope_m2

    assert upslope[0, 10] == upslope.max()
    assert (np.diff(upslope[:, 10]) < 0).all()
    assert upslope.max() > 0.9 * valley.size * 25.0


def test_a_bowl_fills_to_its_lip():
    x, y = np.meshgrid(np.arange(-20, 21) * 1.0, np.arange(-20, 21) * 1.0)
    hill = 10.0 - 0.05 * x - 2.0 * np.exp(-(x**2 + y**2) / 50.0)

    depth = drain(hill, 1.0, 1.0).filled_m - hill

    wet = depth > 0
    along = np.linspace(0.0, 20.0, 20001)
    line = -0.05 * along - 2.0 * np.exp(-(along**2) / 50.0)
    lowest = int(line.argmin())
    assert depth.max() == pytest.approx(line[lowest : lowest + 15000].max() - line.min(), abs=0.02)
    level = (hill + depth)[wet]
    assert np.ptp(level) == pytest.approx(0.0, abs=1e-12)
    assert wet[20, 20]
    assert not wet[0].any()


def test_a_whole_height_model_drains():
    z = model_of_matplotlib()

    drained = drain(z, 74.57, 92.47)

    assert np.array_equal(drained.filled_m, priority_flood(z))
    out = drained.receiver < 0
    assert drained.upslope_m2[out].sum() == pytest.approx(z.size * 74.57 * 92.47)
