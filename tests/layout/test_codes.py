"""Codes of vines, posts and anchors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.layout.codes import (
    anchor_codes,
    corner_codes,
    end_numbers,
    end_post_codes,
    line_post_codes,
    vine_codes,
)

PLACES = st.lists(st.tuples(st.integers(1, 3000), st.integers(1, 3000)), min_size=1, unique=True)


@pytest.mark.parametrize(
    ("row", "number", "code"),
    [(12, 34, "12-034"), (3, 5, "03-005"), (137, 8, "137-008"), (12, 1204, "12-1204")],
)
def test_a_vine_is_called_by_its_row_and_number(row, number, code):
    assert vine_codes([row], [number]).tolist() == [code]


def test_posts_and_anchors_of_a_cut_row_are_counted_along_it():
    ends = end_numbers([1, 1, 2, 2], [True, False, True, False])

    assert end_post_codes([12] * 4, ends).tolist() == ["12E1", "12E2", "12E3", "12E4"]
    assert anchor_codes([12] * 4, ends).tolist() == ["12A1", "12A2", "12A3", "12A4"]
    assert line_post_codes([7, 7], [1, 12]).tolist() == ["07P01", "07P12"]
    assert corner_codes(2).tolist() == ["C01", "C02"]


def test_nothing_has_no_codes():
    assert vine_codes([], []).tolist() == []
    assert corner_codes(0).tolist() == []


@given(PLACES)
def test_no_two_places_share_a_code(places):
    row, number = np.array(places).T
    codes = np.concatenate(
        [make(row, number) for make in (vine_codes, line_post_codes, end_post_codes, anchor_codes)]
    )

    assert len(set(codes.tolist())) == 4 * len(places)


@given(PLACES, st.integers(0, 50))
def test_a_code_does_not_depend_on_what_else_stands_in_the_block(places, pick):
    row, number = np.array(places).T
    one = pick % len(places)

    assert vine_codes(row, number)[one] == vine_codes(row[one : one + 1], number[one : one + 1])[0]
