"""Rows at many offsets are found at once, and are those of each offset alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.layout.direction import sweep
from aanplant.layout.lattice import Lattice
from aanplant.layout.offsets import most_vines
from aanplant.layout.positions import count
from aanplant.layout.rows import Rows, fit
from tests.layout.ground import bearings, fields

OFFSETS = tuple(step * 2.5 / 7 for step in range(7))


def assert_same_rows(found, expected):
    assert found.line.tolist() == expected.line.tolist()
    assert found.offset_m == pytest.approx(expected.offset_m)
    np.testing.assert_allclose(found.start_xy, expected.start_xy, atol=1e-9)
    np.testing.assert_allclose(found.end_xy, expected.end_xy, atol=1e-9)
    np.testing.assert_allclose(found.alleys.along_m, expected.alleys.along_m, atol=1e-9)
    assert found.dropped_count == expected.dropped_count


@given(
    field=fields(),
    bearing=bearings,
    room=st.sampled_from([
        {},
        {"headland_m": 9.5, "side_margin_m": 3.0, "shortest_m": 20.0},
        {"headland_m": 6.0, "headland_rule": "square to the edge", "longest_m": 60.0,
         "cross_alley_m": 8.0},
    ]),
)  # fmt: skip
def test_the_rows_with_most_vines_are_those_fitted_at_their_offset(field, bearing, room):
    found = most_vines(field, bearing, 2.5, OFFSETS, Lattice(1.2, "square", 0.6, 0.0), **room)

    each = [fit(field, bearing, 2.5, offset_m=offset, **room) for offset in OFFSETS]
    vines = [count(rows, 1.2, end_gap_m=0.6).sum() for rows in each]
    assert_same_rows(found, each[int(np.argmax(vines))])


@given(field=fields(), some=st.lists(bearings, min_size=1, max_size=3, unique=True))
def test_a_sweep_shows_the_rows_of_each_bearing_as_they_are_fitted(field, some):
    room = {"headland_m": 9.5, "side_margin_m": 3.0, "longest_m": 80.0, "cross_alley_m": 6.0}
    seen: list[Rows] = []

    swept = sweep(field, 2.5, 1.2, bearings_deg=some, offsets=4, look_at=seen.append, **room)

    assert [rows.bearing_deg for rows in seen] == some
    for rows, offset_m in zip(seen, swept.offset_m.tolist(), strict=True):
        assert_same_rows(rows, fit(field, rows.bearing_deg, 2.5, offset_m=offset_m, **room))
