"""The fixture that sets our numbers beside the printed ones."""

import pytest

from tests.conftest import Check, Published, plain

ABOUT = {"source": "a table", "quantity": "depth", "unit": "mm"}


def test_a_number_within_half_the_last_printed_digit_passes_and_is_kept():
    checks: list[Check] = []

    Published(ABOUT, checks).equal(3.8824, printed=3.88, tolerance=0.005, label="July")

    assert checks == [Check("depth, July", "a table", "3.88", "3.882", "0.002", "mm")]


def test_a_number_on_the_edge_of_the_tolerance_passes():
    checks: list[Check] = []

    Published(ABOUT, checks).equal(0.35, printed=0.3, tolerance=0.05)

    assert checks[0].difference == "0.05"


@pytest.mark.parametrize("ours", [3.8851, 3.8749, float("nan")])
def test_a_number_outside_the_tolerance_fails(ours):
    with pytest.raises(AssertionError, match=r"printed 3\.88"):
        Published(ABOUT, []).equal(ours, printed=3.88, tolerance=0.005)


@pytest.mark.parametrize(
    ("number", "digits", "text"),
    [(-0.0001, 2, "0"), (2.5, 3, "2.5"), (1200.0, 0, "1200"), (1e-7, 9, "0.0000001")],
)
def test_a_number_is_written_plainly(number, digits, text):
    assert plain(number, digits) == text


def test_a_row_of_the_page_keeps_its_columns_when_a_name_holds_a_bar():
    row = Check("a|b", "s", "1", "1", "0", "-").as_row()

    assert row == "| a\\|b | s | 1 | 1 | 0 | - |\n"
