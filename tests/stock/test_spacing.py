"""Spacing beside the rules: what is said, and what is left in peace."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.stock.spacing import POTENTIALS, in_row_range, rule
from tests.report.blocks import planned, rectangle

FOOT_M = 0.3048


def messages(**vines):
    plan = planned(rectangle(60, 60), **vines)
    return [finding.message for finding in plan.stock.findings]


@pytest.mark.published(
    source="US university lecture notes on vineyard design: rows of 8-9 and 10-12 ft",
    quantity="row width by canopy",
    unit="m",
)
@pytest.mark.parametrize(("form", "low_ft", "high_ft"), [("vertical", 8, 9), ("divided", 10, 12)])
def test_row_widths_in_feet(published, form, low_ft, high_ft):
    usual = rule("row width", form)

    published.equal(low_ft * FOOT_M, printed=usual.low, tolerance=0.05, label=f"{form}, least")
    published.equal(high_ft * FOOT_M, printed=usual.high, tolerance=0.05, label=f"{form}, most")


@given(st.one_of(st.none(), st.floats(1, 5)), st.one_of(st.none(), st.floats(1, 5)))
def test_richer_soil_and_stronger_vines_never_stand_closer(one, other):
    ranges = [in_row_range(potential, one) for potential in POTENTIALS]
    assert ranges == sorted(ranges, key=lambda meant: (meant.low, meant.high))
    if one is not None and other is not None:
        weak, strong = sorted((one, other))
        for potential in POTENTIALS:
            near, far = in_row_range(potential, weak), in_row_range(potential, strong)
            assert near.low <= far.low
            assert near.high <= far.high


def test_usual_rows_are_left_in_peace_and_the_missing_soil_is_named():
    said = messages(row_width=2.5, vine_spacing=1.2)

    assert "stock.row_width_unusual" not in said
    assert "stock.machine_room" not in said
    assert "stock.spacing_soil_unknown" in said


def test_very_wide_rows_are_at_most_noted():
    plan = planned(rectangle(60, 60), row_width=6.0, vine_spacing=1.2)

    levels = {
        finding.level
        for finding in plan.stock.findings
        if finding.message.startswith(("stock.row_width", "stock.vine_spacing", "stock.spacing"))
    }
    assert levels <= {"note"}


def test_a_row_too_narrow_for_the_machine_is_a_care():
    assert "stock.machine_room" in messages(row_width=2.0, vine_spacing=1.2)


def test_a_canopy_higher_than_the_row_is_wide_is_a_care():
    assert "stock.canopy_shades" in messages(row_width=1.1, vine_spacing=1.2)


def test_machine_room_is_the_row_less_the_machine():
    plan = planned(rectangle(60, 60), row_width=2.75, vine_spacing=1.2)

    figures = {figure.key: figure.value for figure in plan.stock.figures}

    assert np.isclose(figures["stock.machine_room"], 2.75 - 1.5)
    assert np.isclose(figures["stock.canopy_to_row"], 1.2 / 2.75)
