"""Uniformity beside worked cases, and the laws between its measures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.errors import InputError
from aanplant.site.soil_classes import rated
from aanplant.water import uniformity
from aanplant.water.emitters import LITRES_PER_HOUR, EmitterLaw

CLASSES = "uniformity_classes.csv"
# Flows of example B, in L/h.
FLOWS = (
    2.05, 1.98, 2.10, 1.88, 1.95, 2.02, 1.76, 2.00, 1.91, 2.08, 1.83, 1.99, 2.04, 1.70, 1.96, 2.01,
)  # fmt: skip


def turbulent(variation=0.05):
    return EmitterLaw(2.0 * LITRES_PER_HOUR, 10.0, 0.5, variation)


def regulating():
    return EmitterLaw(
        2.0 * LITRES_PER_HOUR,
        10.0,
        0.0,
        0.05,
        is_compensating=True,
        lowest_head_m=5.0,
        highest_head_m=35.0,
    )


@pytest.mark.published(
    source="1 - (1 - H)^x, worked by hand", quantity="flow variation by head variation", unit="%"
)
@pytest.mark.parametrize(
    ("exponent", "printed"), [(0.4, 8.539), (0.5, 10.557), (0.6, 12.531), (1.0, 20.0)]
)
def test_flow_variation_of_a_fifth_of_the_head(published, exponent, printed):
    ours = 100 * uniformity.flow_variation_from_head(0.2, exponent)

    published.equal(ours, printed=printed, tolerance=0.0005, label=f"head 20 %, x {exponent}")


@pytest.mark.published(
    source="1 - (1 - q)^(1/x), worked by hand", quantity="head variation allowed", unit="%"
)
def test_head_variation_for_a_tenth_of_the_flow(published):
    published.equal(100 * uniformity.head_variation_for(0.10, 0.5), printed=19.0, tolerance=0.05)


@pytest.mark.published(
    source="Keller and Karmeli (1974) from memory: 2.0 L/h at 10 m, x 0.5, v 0.05, worked by hand",
    quantity="emission uniformity",
    unit="%",
)
def test_emission_uniformity(published):
    two = uniformity.emission_uniformity(1.88, 2.0, 0.05, 2)
    one = uniformity.emission_uniformity(1.88, 2.0, 0.05, 1)

    published.equal(two, printed=89.7793, tolerance=5e-5, label="two drippers a plant")
    published.equal(one, printed=88.0310, tolerance=5e-5, label="one dripper a plant")


@pytest.mark.published(
    source="Keller and Karmeli (1974) from memory: 2.0 L/h at 10 m, x 0.5, v 0.05, two drippers a "
    "plant, EU 90 %, worked by hand",
    quantity="allowable head of a subunit",
    unit="L/h, m",
)
def test_allowable_head_of_a_subunit(published):
    allowed = uniformity.allowable_head(turbulent(), 90.0, 2)

    published.equal(
        allowed.least_flow_m3_s / LITRES_PER_HOUR, printed=1.88462, tolerance=5e-6, label="flow"
    )
    published.equal(allowed.least_head_m, printed=8.87950, tolerance=5e-6, label="least head")
    published.equal(allowed.subunit_m, printed=2.80125, tolerance=5e-6, label="subunit")


@pytest.mark.published(
    source="mean of the lowest quarter of a normal distribution, exactly 1.271106; simulated at "
    "v 0.05: 0.93652",
    quantity="low quarter of drippers at one pressure",
    unit="-",
)
def test_the_low_quarter_of_drippers_that_differ_only_as_made(published):
    even = uniformity.emission_uniformity(1.0, 1.0, 0.05) / 100
    published.equal(even, printed=0.9365, tolerance=5e-5)

    seen = np.random.default_rng(7).normal(1.0, 0.05, 400_000)
    # The simulation's own spread is 0.0001.
    published.equal(
        uniformity.low_quarter_uniformity(seen) / 100, printed=0.9365, tolerance=2e-4,
        label="400 000 drippers",
    )  # fmt: skip


@pytest.mark.published(
    source="Bralts, Wu and Gitlin (1981) from memory: Vh 0.08, x 0.5, v 0.05, worked by hand",
    quantity="statistical uniformity of a design",
    unit="-, %",
)
def test_statistical_uniformity_of_a_design(published):
    varies = uniformity.combined_variation(0.08, 0.5, 0.05)

    published.equal(varies, printed=0.064031, tolerance=5e-7, label="variation")
    published.equal(
        uniformity.statistical_uniformity(varies), printed=93.597, tolerance=5e-4, label="Us"
    )


@pytest.mark.published(
    source="sixteen flows (L/h), worked by hand", quantity="uniformity of a field test", unit="%"
)
def test_uniformity_of_sixteen_flows(published):
    varies = uniformity.coefficient_of_variation
    published.equal(np.mean(FLOWS), printed=1.95375, tolerance=5e-6, label="mean, L/h")
    published.equal(
        uniformity.low_quarter_uniformity(FLOWS), printed=91.7466, tolerance=5e-5, label="DUlq"
    )
    published.equal(
        uniformity.low_quarter_uniformity(FLOWS) / 100 * np.mean(FLOWS),
        printed=1.79250,
        tolerance=5e-6,
        label="low quarter, L/h",
    )
    published.equal(
        uniformity.statistical_uniformity(varies(FLOWS)),
        printed=94.2338,
        tolerance=5e-5,
        label="Us of a sample",
    )
    published.equal(
        uniformity.statistical_uniformity(varies(FLOWS, of_all=True)),
        printed=94.4169,
        tolerance=5e-5,
        label="Us of all",
    )
    published.equal(
        uniformity.christiansen_uniformity(FLOWS), printed=95.5694, tolerance=5e-5, label="CU"
    )


@pytest.mark.published(
    source="EU = 100 - 1.27 (100 - Us), worked by hand",
    quantity="emission uniformity for a statistical one",
    unit="%",
)
@pytest.mark.parametrize(
    ("us", "printed"), [(95, 93.65), (85, 80.95), (75, 68.25), (65, 55.55), (60, 49.20)]
)
def test_pairs_of_uniformities(published, us, printed):
    ours = uniformity.emission_from_statistical(us)

    published.equal(ours, printed=printed, tolerance=0.005, label=f"Us {us} %")


@pytest.mark.parametrize(
    ("measure", "value", "expected"),
    [
        ("Us", 96, "excellent"), ("Us", 87, "good"), ("Us", 78, "fair"), ("Us", 68, "poor"),
        ("Us", 59, "unacceptable"), ("Us", 92, "good to excellent"),
        ("EU", 95, "excellent"), ("EU", 84, "good"), ("EU", 70, "fair"), ("EU", 58, "poor"),
        ("EU", 49, "unacceptable"),
        ("field DU", 91, "excellent"), ("field DU", 85, "good"), ("field DU", 72.7, "fair"),
        ("field DU", 65, "poor"),
        ("flow variation", 9.9, "good"), ("flow variation", 15, "acceptable"),
        ("flow variation", 21, "not acceptable"),
        ("point source CV", 0.04, "excellent"), ("point source CV", 0.06, "average"),
        ("point source CV", 0.10, "marginal"), ("point source CV", 0.12, "poor"),
        ("point source CV", 0.16, "unacceptable"),
        ("line source CV", 0.09, "good"), ("line source CV", 0.15, "average"),
        ("line source CV", 0.3, "marginal to unacceptable"),
    ],
)  # fmt: skip
def test_classes_are_as_the_standards_were_recalled(measure, value, expected):
    assert rated(measure, value, table=CLASSES).name == expected


@pytest.mark.published(
    source="ASAE EP405.1, recalled from memory",
    quantity="emission uniformity to design for",
    unit="%",
)
@pytest.mark.parametrize(
    ("spacing_m", "slope", "line", "printed"),
    [
        (5.0, 0.01, False, (90, 95)), (5.0, 0.05, False, (85, 90)),
        (1.2, 0.01, False, (85, 90)), (1.2, 0.05, False, (80, 90)),
        (0.3, 0.01, True, (80, 90)), (0.3, 0.05, True, (70, 85)),
    ],
)  # fmt: skip
def test_targets_of_a_design(published, spacing_m, slope, line, printed):
    ours = uniformity.target(spacing_m, slope, is_line_source=line)

    label = f"{ours.kind}, {ours.ground}"
    published.equal(ours.low_pct, printed=printed[0], tolerance=0, label=f"{label}, low")
    published.equal(ours.high_pct, printed=printed[1], tolerance=0, label=f"{label}, high")


def test_a_quarter_that_is_no_whole_number_counts_the_last_dripper_in_part():
    flows = [1.0, 2.0, 4.0, 4.0, 4.0, 4.0]

    ours = uniformity.low_quarter_uniformity(flows)

    assert ours == pytest.approx(100 * (1.0 + 0.5 * 2.0) / 1.5 / (19.0 / 6.0))


@given(st.lists(st.floats(0.5, 5), min_size=1, max_size=40), st.integers(2, 5))
def test_the_low_quarter_does_not_depend_on_how_drippers_are_counted(flows, times):
    once = uniformity.low_quarter_uniformity(flows)

    assert uniformity.low_quarter_uniformity(flows * times) == pytest.approx(once)
    assert uniformity.low_quarter_uniformity(flows, [times] * len(flows)) == pytest.approx(once)
    assert once <= 100 * (1 + 1e-12)


@given(st.floats(0.2, 1), st.floats(60, 90))
def test_the_allowed_flow_just_keeps_the_uniformity(exponent, wanted):
    law = EmitterLaw(1e-6, 10.0, exponent, 0.05)

    allowed = uniformity.allowable_head(law, wanted, 2)
    flow = law.flow(allowed.least_head_m)

    assert float(uniformity.emission_uniformity(flow, 1e-6, 0.05, 2)) == pytest.approx(wanted)


def test_a_regulating_dripper_allows_its_whole_range():
    allowed = uniformity.allowable_head(regulating(), 90.0, 2)

    assert (allowed.least_head_m, allowed.subunit_m) == (5.0, 30.0)


def test_a_dripper_that_regulates_a_little_stays_within_its_range():
    law = EmitterLaw(1e-6, 10.0, 0.05, is_compensating=True, lowest_head_m=5.0, highest_head_m=35.0)

    allowed = uniformity.allowable_head(law, 90.0)

    assert allowed.least_head_m == 5.0
    assert allowed.least_flow_m3_s == pytest.approx(1e-6 * 0.5**0.05)
    assert allowed.subunit_m == pytest.approx(12.5)


def test_a_uniformity_that_unlike_drippers_cannot_give_is_refused_with_what_they_can():
    with pytest.raises(InputError, match=r"2.7 points more .* at most 87.3 %, more drippers"):
        uniformity.allowable_head(turbulent(variation=0.10), 90.0)


def test_flow_variation_is_of_the_largest_and_wants_flows():
    assert uniformity.flow_variation([2.0, 1.8, 1.9]) == pytest.approx(0.1)
    with pytest.raises(ValueError, match="not all 0"):
        uniformity.flow_variation([0.0, 0.0])
