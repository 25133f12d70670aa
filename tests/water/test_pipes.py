"""Pipe classes beside printed sizes, what a metre of pipe and of head costs."""

from decimal import Decimal

import numpy as np
import pytest

from aanplant import tables
from aanplant.errors import InputError
from aanplant.inputs import PriceLine
from aanplant.water.pipe_cost import capital_recovery, energy_kwh_per_m, price_per_m
from aanplant.water.pipes import pipes_of, rating_pa, rating_stress_mpa, wall_m

OUTSIDE_MM = (32, 40, 50, 63, 75, 90, 110, 125, 140, 160, 200, 250)


def printed_by_size(text, outside_mm=OUTSIDE_MM[2:]):
    return zip(outside_mm, map(float, text.split()), strict=True)


def the(material, series, outside_mm):
    (found,) = (
        pipe for pipe in pipes_of(material, series) if round(pipe.outside_m * 1e3) == outside_mm
    )
    return found


@pytest.mark.published(
    source="two public sheets of PE100 pipe to ISO 4427 and EN 12201",
    quantity="least wall",
    unit="mm",
)
@pytest.mark.parametrize(
    ("series", "walls"),
    [
        ("SDR 17", "2.0 2.4 3.0 3.8 4.5 5.4 6.6 7.4 8.3 9.5 11.9 14.8"),
        ("SDR 11", "3.0 3.7 4.6 5.8 6.8 8.2 10.0 11.4 12.7 14.6 18.2 22.7"),
    ],
)
def test_walls_of_polyethylene(published, series, walls):
    for outside, wall in printed_by_size(walls, OUTSIDE_MM):
        pipe = the("PE100", series, outside)

        published.equal(
            pipe.wall_m * 1e3, printed=wall, tolerance=0.05, label=f"{series}, {outside} mm"
        )
        assert pipe.bore_m == pytest.approx(pipe.outside_m - 2.0 * pipe.wall_m)


@pytest.mark.published(
    source="public sheet of PE100 pipe to ISO 4427 and EN 12201", quantity="mean bore", unit="mm"
)
def test_bores_of_light_polyethylene(published):
    bores = "45.85 57.80 69.00 82.75 101.30 115.10 128.85 147.20 184.15 230.25"
    for outside, bore in printed_by_size(bores):
        ours = the("PE100", "SDR 26", outside).bore_m * 1e3

        published.equal(ours, printed=bore, tolerance=0.005, label=f"SDR 26, {outside} mm")


@pytest.mark.published(
    source="public page on PE100 pipe quoting EN 12201 and ISO 4427",
    quantity="rated pressure of PE100",
    unit="bar",
)
@pytest.mark.parametrize(
    ("sdr", "bar", "last"), [(33, 5, 0.5), (26, 6.3, 0.05), (17, 10, 0.5), (11, 16, 0.5)]
)
def test_ratings_of_polyethylene(published, sdr, bar, last):
    # SDR 26 gives 6.4 and is sold as 6.3, the nearest of the preferred numbers.
    tolerance = 0.1 if sdr == 26 else last

    ours = rating_pa(sdr, rating_stress_mpa("PE100")) / 1e5

    published.equal(ours, printed=bar, tolerance=tolerance, label=f"SDR {sdr}")


@pytest.mark.published(
    source="wall of SANS 966-1 by its formula, from memory, worked by hand",
    quantity="wall and bore of PVC-U",
    unit="mm",
)
@pytest.mark.parametrize(
    ("number", "walls", "bores"),
    [
        (
            6,
            "1.5 1.9 2.2 2.7 3.3 3.7 4.1 4.7 5.9 7.3",
            "47.0 59.2 70.6 84.6 103.4 117.6 131.8 150.6 188.2 235.4",
        ),
        (
            9,
            "2.2 2.8 3.3 3.9 4.8 5.4 6.1 6.9 8.7 10.8",
            "45.6 57.4 68.4 82.2 100.4 114.2 127.8 146.2 182.6 228.4",
        ),
        (
            12,
            "2.9 3.6 4.3 5.1 6.3 7.1 8.0 9.1 11.4 14.2",
            "44.2 55.8 66.4 79.8 97.4 110.8 124.0 141.8 177.2 221.6",
        ),
    ],
)
def test_walls_and_bores_of_pvc(published, number, walls, bores):
    both = zip(printed_by_size(walls), printed_by_size(bores), strict=True)
    for (outside, wall), (_, bore) in both:
        pipe = the("PVC-U", f"class {number}", outside)
        ours = wall_m(outside / 1e3, number * 1e5, rating_stress_mpa("PVC-U"))
        label = f"class {number}, {outside} mm"

        published.equal(ours * 1e3, printed=wall, tolerance=0.05, label=f"wall, {label}")
        published.equal(pipe.bore_m * 1e3, printed=bore, tolerance=0.05, label=f"bore, {label}")
        assert pipe.wall_m == pytest.approx(ours)
        assert pipe.rated_pa == number * 1e5


@pytest.mark.published(
    source="bore by 1.5 m/s, worked by hand", quantity="flow of PVC-U class 6", unit="m3/h"
)
def test_flow_at_the_limit_of_velocity(published):
    flows = "9.4 14.9 21.1 30.4 45.3 58.7 73.7 96.2 150.2 235.0"
    for outside, flow in printed_by_size(flows):
        ours = the("PVC-U", "class 6", outside).flow_at(1.5) * 3600.0

        # The 250 mm row was printed from a hair more bore: 235.0 for our 235.01.
        published.equal(ours, printed=flow, tolerance=0.05, label=f"{outside} mm")


@pytest.mark.published(
    source="i (1 + i)^n / ((1 + i)^n - 1), worked by hand",
    quantity="capital recovery",
    unit="1/year",
)
@pytest.mark.parametrize(("rate", "years", "printed"), [(0.10, 15, 0.131474), (0.08, 20, 0.101852)])
def test_share_of_a_year(published, rate, years, printed):
    published.equal(
        capital_recovery(rate, years), printed=printed, tolerance=5e-7, label=f"{rate:g}, {years}"
    )


def test_without_interest_every_year_pays_its_part():
    assert capital_recovery([0.0, 1e-9], 15.0) == pytest.approx([1.0 / 15.0] * 2, rel=1e-6)
    with pytest.raises(ValueError, match="interest"):
        capital_recovery(-0.1, 10.0)


@pytest.mark.published(
    source="rho g Q t / efficiency, worked by hand",
    quantity="energy of a metre of head",
    unit="kWh",
)
def test_energy_of_a_metre_of_head(published):
    ours = energy_kwh_per_m(26.667 / 3600.0, 1000.0, 0.70 * 0.90)

    published.equal(ours, printed=115.10, tolerance=0.005)


def test_pipe_is_priced_by_the_metre_and_not_known_without_a_price():
    pipes = pipes_of("PVC-U", "class 6")[:2]
    prices = (
        PriceLine("pipe-pvc-u-class-6-50", "m", Decimal("28.50"), None),
        PriceLine("pipe-pvc-u-class-6-63", "m", None, None),
    )

    found = price_per_m(pipes, prices)

    np.testing.assert_array_equal(found, [28.5, np.nan])


def test_a_price_for_a_roll_is_refused_with_its_item():
    roll = PriceLine("pipe-ldpe-pn-3-14.2", "roll", Decimal(900), None)

    with pytest.raises(InputError, match=r"pipe-ldpe-pn-3-14\.2: unit: found 'roll'"):
        price_per_m(pipes_of("LDPE"), (roll,))


def test_every_pipe_has_its_own_item_and_a_bore_between_its_walls():
    pipes = [pipe for name in ("PE100", "PVC-U", "LDPE") for pipe in pipes_of(name)]

    assert len({pipe.item for pipe in pipes}) == len(pipes) == len(tables.rows("pipes.csv"))
    for pipe in pipes:
        assert pipe.bore_m == pytest.approx(pipe.outside_m - 2.0 * pipe.wall_m, abs=1e-8)
        assert pipe.weight_kg_m > 0.0
        assert pipe.rated_head_m == pytest.approx(pipe.rated_pa / 9789.0, rel=1e-3)


def test_a_material_that_is_not_known_is_a_key_error():
    with pytest.raises(KeyError, match="copper"):
        pipes_of("copper")
