"""What alternatives cost and are worth beside the first, in a sentence; sums by hand."""

from decimal import Decimal

import pytest

from aanplant.report.alternatives import Outcome, cost_told


def outcome(cost: str, npv: float | None) -> Outcome:
    return Outcome({}, Decimal(cost), npv, lacks_prices=False, currency="ZAR", unpriced=0, stops=0)


@pytest.mark.parametrize(
    ("cost", "npv", "told"),
    [
        (
            "1500.40", 260.0,
            "b costs 500 ZAR more to establish than a and its net present value is 60 ZAR higher.",
        ),
        (
            "900", 150.0,
            "b costs 100 ZAR less to establish than a and its net present value is 50 ZAR lower.",
        ),
        ("1000.2", 200.3, "b costs as much to establish as a and has the same net present value."),
        ("900", None, "b costs 100 ZAR less to establish than a."),
    ],
)  # fmt: skip
def test_what_differs_is_told_and_what_does_not_is_called_the_same(cost, npv, told):
    first = outcome("1000", 200.0)

    said = cost_told(outcome(cost, npv), first, name="b", beside="a")

    assert said.replace("\u202f", " ") == told
