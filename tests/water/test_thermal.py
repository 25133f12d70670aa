"""How drippers creep along a warming line, by hand and by laws that must hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.water.thermal import drift, from_held_m, movement_m, nearest_dripper_m

SMALLEST = (
    '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
    "[water.emitter]\nflow = 2.3\nspacing = 0.6\n"
)
VINES = np.arange(0.6, 100.0, 1.2)


def brief_with(line=""):
    return parse_brief(f"{SMALLEST}[dripper_line]\n{line}\n", "brief.toml")


@pytest.mark.published(
    source="0.2 mm for each metre and kelvin, worked by hand",
    quantity="movement of a warming line",
    unit="m",
)
def test_a_line_of_a_hundred_metres_warms_by_thirty_degrees(published):
    published.equal(float(movement_m(100.0, 30.0, 60.0, 0.2e-3)), printed=0.60, tolerance=0.005)
    published.equal(
        float(movement_m(100.0, 30.0, 5.0, 0.2e-3)),
        printed=-0.50,
        tolerance=0.005,
        label="cools to 5",
    )


def test_a_line_held_in_the_middle_moves_half_as_far_and_both_ways():
    inlet = from_held_m([0.0, 50.0, 100.0], 100.0)
    middle = from_held_m([0.0, 50.0, 100.0], 100.0, held="middle")

    assert inlet.tolist() == [0.0, 50.0, 100.0]
    assert middle.tolist() == [-50.0, 0.0, 50.0]


def test_ties_keep_the_line_in_place():
    tied = from_held_m([3.0, 12.0, 29.0], 100.0, every_m=6.0)

    assert tied.tolist() == [3.0, 0.0, 5.0]


def test_a_line_laid_dripper_to_vine_leaves_it_by_half_a_spacing_at_the_worst():
    found = drift(brief_with(), VINES, 100.0, wetted_radius_m=0.2)

    assert found.laid_m == pytest.approx(0.0)
    assert found.worst_m == pytest.approx(0.3, abs=0.01)
    assert found.moved_hot_m[-1] == pytest.approx((VINES[-1]) * 0.2e-3 * 30.0)
    assert found.breach is None  # roots reach 0.1 m, water 0.2 m


def test_on_sand_the_water_may_miss_the_roots_and_the_worst_vine_is_named():
    found = drift(brief_with(), VINES, 100.0, wetted_radius_m=0.15)

    assert found.breach is not None
    assert (found.breach.kind, found.breach.unit) == ("dripper_out_of_reach", "m")
    assert found.breach.limit == pytest.approx(0.25)
    row = found.breach.row
    assert max(found.cold_m[row], found.hot_m[row]) == found.breach.value == found.worst_m


def test_all_rows_at_once_are_as_each_by_itself():
    rows = {60.0: np.arange(0.6, 60, 1.2), 100.0: VINES}
    radius = {60.0: 0.3, 100.0: 0.12}
    each = [
        drift(brief_with(), vines, length, wetted_radius_m=radius[length], first_m=0.1)
        for length, vines in rows.items()
    ]

    vine_m = np.concatenate(list(rows.values()))
    length_m = np.repeat(list(rows), [len(vines) for vines in rows.values()])
    radius_m = np.vectorize(radius.get)(length_m)
    both = drift(brief_with(), vine_m, length_m, wetted_radius_m=radius_m, first_m=0.1)

    assert both.hot_m == pytest.approx(np.concatenate([one.hot_m for one in each]))
    assert each[0].breach is None
    assert both.breach.row == each[1].breach.row + len(rows[60.0])


def test_ties_mend_it():
    found = drift(brief_with("held_every = 6"), VINES, 100.0, wetted_radius_m=0.15)

    assert found.worst_m < 0.04
    assert found.breach is None


@given(
    st.floats(0, 200), st.floats(-2, 2), st.floats(0.2, 2.0), st.floats(0, 1), st.integers(-3, 3)
)
def test_a_vine_is_never_farther_than_half_a_spacing_from_a_dripper(
    vine_m, moved_m, spacing_m, first_m, steps
):  # fmt: skip
    distance = float(nearest_dripper_m(vine_m, moved_m, spacing_m, first_m))
    again = float(nearest_dripper_m(vine_m, moved_m + steps * spacing_m, spacing_m, first_m))

    assert -1e-9 <= distance <= spacing_m / 2 + 1e-9
    assert again == pytest.approx(distance, abs=1e-9)


def test_a_row_without_vines_says_nothing():
    found = drift(brief_with(), [], 100.0, wetted_radius_m=0.1)

    assert (found.worst_m, found.breach) == (0.0, None)


def test_a_wall_colder_than_ice_is_refused():
    with pytest.raises(InputError, match="between -20 and 60 degC"):
        brief_with("coldest = -40")
