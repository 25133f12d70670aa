"""Cross alleys are straight, few, even, and leave no row too long."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from aanplant.layout.rows import fit
from tests.layout.ground import bearings, fields


@given(
    field=fields(),
    bearing=bearings,
    longest=st.floats(15.0, 120.0),
    width=st.floats(0.0, 12.0),
)
def test_no_piece_is_longer_than_wanted_and_none_stands_in_an_alley(field, bearing, longest, width):
    rows = fit(field, bearing, 2.5, offset_m=0.0, longest_m=longest, cross_alley_m=width)

    assert rows.length_m.max(initial=0.0) <= longest + 1e-6
    near = rows.alleys.along_m - width / 2.0
    far = rows.alleys.along_m + width / 2.0
    clear = (rows.along_end_m[:, None] <= near + 1e-6) | (rows.along_start_m[:, None] >= far - 1e-6)
    assert clear.all()


@given(field=fields(), bearing=bearings, longest=st.floats(15.0, 120.0))
def test_alleys_take_nothing_but_themselves(field, bearing, longest):
    whole = fit(field, bearing, 2.5, offset_m=0.0)
    rows = fit(field, bearing, 2.5, offset_m=0.0, longest_m=longest, cross_alley_m=6.0)

    taken = [
        np.clip(
            np.minimum(whole.along_end_m, centre + 3.0)
            - np.maximum(whole.along_start_m, centre - 3.0),
            0.0,
            None,
        ).sum()
        for centre in rows.alleys.along_m
    ]
    assert rows.length_m.sum() == pytest.approx(whole.length_m.sum() - sum(taken), abs=1e-6)


@given(length=st.floats(20.0, 900.0), longest=st.floats(15.0, 250.0), width=st.floats(0.0, 12.0))
def test_a_rectangle_is_cut_into_equal_pieces_by_the_fewest_alleys(length, longest, width):
    fewest = max(math.ceil((length + width) / (longest + width) - 1e-9) - 1, 0)
    assume(longest > width)

    rows = fit(
        box(0, 0, 30, length), 0.0, 2.5, offset_m=1.0, longest_m=longest, cross_alley_m=width
    )

    assert len(rows.alleys) == fewest
    even = (length - fewest * width) / (fewest + 1)
    np.testing.assert_allclose(rows.length_m, even, atol=2e-3)


def test_few_alleys_are_enough_for_few_long_rows():
    # One tongue of 250 m in a block of 150 m asks for one alley, not for two.
    tongue = shapely.union_all([box(0, 0, 100, 150), box(40, 0, 60, 250)])

    rows = fit(tongue, 0.0, 2.5, offset_m=1.0, longest_m=200.0, cross_alley_m=6.0)

    np.testing.assert_allclose(rows.alleys.along_m, [125.0], atol=2e-3)


def test_rows_that_start_at_a_slant_share_their_alleys():
    slanted = Polygon([(0, 0), (100, 60), (100, 360), (0, 300)])

    rows = fit(slanted, 0.0, 2.5, offset_m=1.0, longest_m=200.0, cross_alley_m=6.0)

    assert len(rows.alleys) == 1
    assert rows.length_m.max() <= 200.0 + 1e-6
    assert (np.bincount(rows.row)[1:] == 2).all()


def test_without_a_longest_row_there_is_no_alley():
    assert len(fit(box(0, 0, 30, 900), 0.0, 2.5, cross_alley_m=6.0).alleys) == 0


def test_a_negative_alley_is_refused():
    with pytest.raises(ValueError, match="wider"):
        fit(box(0, 0, 30, 90), 0.0, 2.5, longest_m=50.0, cross_alley_m=-1.0)
