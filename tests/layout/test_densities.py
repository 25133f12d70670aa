"""How many vines go into a hectare or an acre, beside what others printed."""

import numpy as np
import pytest
from shapely.geometry import box

from aanplant.layout.plantable import plantable
from aanplant.layout.positions import count, place
from aanplant.layout.rows import fit

FOOT_M = 0.3048
ACRE_M2 = 4046.8564224
"""International acre, exact."""
HECTARE_M2 = 10_000.0


def vines_per_area(row_width_m, vine_spacing_m, area_m2, *, pattern="square"):
    """Vines of a field made of whole cells, so that its edge takes nothing away."""
    rows_across, vines_along = 60, 80
    field = box(0, 0, rows_across * row_width_m, vines_along * vine_spacing_m)
    rows = fit(field, 0.0, row_width_m, offset_m=row_width_m / 2)
    vines = place(rows, vine_spacing_m, pattern=pattern, phase_m=vine_spacing_m / 4)
    return len(vines) / field.area * area_m2


@pytest.mark.published(
    source="Hunter et al., Shiraz/101-14 in-row spacing trial (abstract)",
    quantity="vines per hectare",
    unit="1/ha",
)
@pytest.mark.parametrize(("vine_m", "printed"), [(0.3, 15151), (4.5, 1010)])
def test_density_of_the_spacing_trial(published, vine_m, printed):
    # The trial prints whole vines, cut off and not rounded.
    published.equal(
        np.floor(vines_per_area(2.2, vine_m, HECTARE_M2)), printed=printed, tolerance=0.5,
        label=f"2.2 x {vine_m} m",
    )  # fmt: skip


@pytest.mark.published(
    source="Hunter 1998, Pinot noir spacing (SAJEV, abstract): 6 buds/m2",
    quantity="buds on a vine at 6 buds/m2",
    unit="buds",
)
@pytest.mark.parametrize(
    ("row_m", "vine_m", "printed"),
    [(3, 3, 54), (3, 1.5, 27), (2, 2, 24), (2, 1, 12), (1, 1, 6), (1, 0.5, 3)],
)
def test_buds_of_the_pinot_noir_trial(published, row_m, vine_m, printed):
    buds = 6.0 * HECTARE_M2 / vines_per_area(row_m, vine_m, HECTARE_M2)

    published.equal(buds, printed=printed, tolerance=0.5, label=f"{row_m} x {vine_m} m")


@pytest.mark.published(
    source="Van Zyl & Hoffman, Soil preparation for wine and table grapes (South Africa)",
    quantity="vines per hectare in double rows",
    unit="1/ha",
)
@pytest.mark.parametrize(
    ("narrow_m", "wide_m", "vine_m", "printed"), [(1.2, 3.5, 1.2, 3546), (2.0, 3.7, 1.5, 2339)]
)
def test_density_of_double_rows(published, narrow_m, wide_m, vine_m, printed):
    pair_m = narrow_m + wide_m
    field = box(0, 0, 60 * pair_m, 80 * vine_m)

    vines = sum(
        count(fit(field, 0.0, pair_m, offset_m=offset), vine_m, phase_m=vine_m / 2).sum()
        for offset in (wide_m / 2, wide_m / 2 + narrow_m)
    )

    # 2339.18 is printed as 2339, 3546.10 as 3546.
    published.equal(
        vines / field.area * HECTARE_M2, printed=printed, tolerance=0.5,
        label=f"{wide_m} + {narrow_m} m, vine {vine_m} m",
    )  # fmt: skip


PER_ACRE = [
    ("Carpio & Safley, North Carolina Chardonnay budget", 10, 7, 622),
    ("UC Cooperative Extension, Lodi Cabernet Sauvignon cost study 2012", 11, 5, 792),
    ("Nagaoka & Kamins, vineyard layout", 11, 7, 566),
    ("a winery's history page, rows 12 ft", 12, 8, 454),
]


@pytest.mark.parametrize(
    ("row_ft", "vine_ft", "printed"),
    [
        pytest.param(
            row, vine, printed,
            marks=pytest.mark.published(source=source, quantity="vines per acre", unit="1/acre"),
        )
        for source, row, vine, printed in PER_ACRE
    ],
)  # fmt: skip
def test_density_per_acre(published, row_ft, vine_ft, printed):
    density = vines_per_area(row_ft * FOOT_M, vine_ft * FOOT_M, ACRE_M2)

    published.equal(density, printed=printed, tolerance=0.5, label=f"{row_ft} x {vine_ft} ft")


@pytest.mark.published(
    source="Lake Erie regional grape programme, cost page: 658 printed with about 5 % "
    "of the rows' length lost to headlands (4606 of 4840 ft)",
    quantity="vines per acre",
    unit="1/acre",
)
def test_density_per_acre_less_headlands(published):
    density = vines_per_area(9 * FOOT_M, 7 * FOOT_M, ACRE_M2) * 4606 / 4840

    published.equal(density, printed=658, tolerance=0.5, label="9 x 7 ft")


@pytest.mark.published(
    source="area of a cell, 2 / (sqrt(3) a^2): lattice of equilateral triangles, side 2 m",
    quantity="vines per hectare, rows offset (quincunx)",
    unit="1/ha",
)
def test_density_of_equilateral_triangles(published):
    density = vines_per_area(2.0 * np.sqrt(0.75), 2.0, HECTARE_M2, pattern="offset")

    published.equal(density, printed=2886.75, tolerance=0.005, label="side 2 m")


def test_all_neighbours_in_a_quincunx_of_equilateral_triangles_are_equally_far():
    side = 2.0
    rows = fit(box(0, 0, 30, 30), 0.0, side * np.sqrt(0.75), offset_m=0.0)
    xy = place(rows, side, pattern="offset").xy

    apart = np.linalg.norm(xy[:, None] - xy[None, :], axis=2)
    np.fill_diagonal(apart, np.inf)
    inner = (np.abs(xy - 15.0) < 11.0).all(axis=1)
    np.testing.assert_allclose(np.sort(apart[inner], axis=1)[:, :6], side, atol=1e-9)


@pytest.mark.published(
    source="half-open counting by hand: box of 100 x 50 m, 2.5 x 1.2 m, lattice in its centre",
    quantity="vines in a box",
    unit="vines",
)
def test_a_box_counts_one_of_two_edges(published):
    rows = fit(box(-50, -25, 50, 25), 0.0, 2.5, offset_m=0.0)

    published.equal(len(rows), printed=40, tolerance=0, label="rows")
    published.equal(len(place(rows, 1.2)), printed=1640, tolerance=0, label="vines")


def test_offsets_and_bearings_hardly_change_the_count_of_a_large_block():
    # Expected count = area / (row width x vine spacing).
    field = box(0, 0, 400, 500)

    counts = [
        count(fit(field, bearing, 2.5, offset_m=0.4), 1.2).sum() for bearing in range(0, 180, 15)
    ]

    np.testing.assert_allclose(counts, 400 * 500 / (2.5 * 1.2), rtol=0.005)


# --- a whole layout ---------------------------------------------------------------------------

CAROLINA = (
    "Carpio & Safley, North Carolina Chardonnay budget: two pieces of 330 x 660 ft beside a "
    "30 ft alley, turn rows of 40 ft, rows 10 ft, vines 7 ft"
)


def carolina():
    """Field and rows of the printed layout; rows run 330 ft, 66 to a piece."""
    field = box(0, 0, 660 * FOOT_M, (40 + 330 + 30 + 330 + 40) * FOOT_M)
    rows = fit(
        field, 0.0, 10 * FOOT_M,
        headland_m=40 * FOOT_M, offset_m=5 * FOOT_M, longest_m=330 * FOOT_M,
        cross_alley_m=30 * FOOT_M,
    )  # fmt: skip
    return field, rows


@pytest.mark.published(source=CAROLINA, quantity="vineyard with its turn rows", unit="acre")
def test_gross_area_of_the_carolina_vineyard(published):
    field, _ = carolina()

    published.equal(field.area / ACRE_M2, printed=11.7, tolerance=0.05)


@pytest.mark.published(source=CAROLINA, quantity="planted area", unit="acre")
def test_net_area_of_the_carolina_vineyard(published):
    field, rows = carolina()

    ground = plantable(field, 0.0, headland_m=40 * FOOT_M, side_margin_m=0.0)
    alley = rows.alleys.width_m * 660 * FOOT_M

    published.equal((ground.area - alley) / ACRE_M2, printed=10, tolerance=0.5)


@pytest.mark.published(source=CAROLINA, quantity="rows in each piece", unit="rows")
def test_rows_of_the_carolina_vineyard(published):
    _, rows = carolina()

    published.equal(np.count_nonzero(rows.part == 1), printed=66, tolerance=0, label="first")
    published.equal(np.count_nonzero(rows.part == 2), printed=66, tolerance=0, label="second")
    np.testing.assert_allclose(rows.length_m, 330 * FOOT_M, atol=2e-3)


@pytest.mark.published(source=CAROLINA, quantity="vines per planted acre", unit="1/acre")
def test_vines_of_the_carolina_vineyard(published):
    _, rows = carolina()

    # The budget divides the length of row by the spacing: 6222.9 vines on 10 acres.
    vines = rows.length_m.sum() / (7 * FOOT_M)

    published.equal(vines / 10.0, printed=622, tolerance=0.5)
    # Whole vines, with half a spacing from each end post: 330 / 7 ft hold 47.
    placed = place(rows, 7 * FOOT_M, pattern="free", end_gap_m=3.5 * FOOT_M)
    assert len(placed) == 2 * 66 * 47
