"""Loads on line posts beside worked numbers, and the laws they keep."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.layout.side_load import side_load_n
from aanplant.trellis.loads import (
    canopy_n_per_m,
    crop_kg_per_m,
    crop_n_per_m,
    drag_coefficient,
    gust_at_height_m_s,
    hold_down_n,
    post_loads,
    rows_from_the_edge,
    shelter_factor,
    slope_change_deg,
    wind_force_n,
    wind_pressure_pa,
)

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
BY_HAND = "worked by hand from the formula in docs/posts.md"
gusts = st.floats(1.0, 70.0)


def brief_with(text=""):
    return parse_brief(SMALLEST + text, "brief.toml")


@pytest.mark.published(
    source="half of 1.226 kg/m3 times the square of the speed, worked by hand",
    quantity="pressure of the wind",
    unit="Pa",
)
@pytest.mark.parametrize(
    ("speed", "printed"), [(20, 245.2), (25, 383.1), (30, 551.7), (35, 750.9), (40, 980.8)]
)
def test_pressure_of_the_wind(published, speed, printed):
    published.equal(wind_pressure_pa(speed), printed=printed, tolerance=0.05, label=f"{speed} m/s")


@pytest.mark.published(
    source="porosity to the power 0.4 of Guan et al. (2003), drag from memory; worked by hand",
    quantity="drag of foliage",
    unit="-",
)
@pytest.mark.parametrize(
    ("porosity", "printed"), [(0.1, 0.874), (0.2, 0.741), (0.3, 0.626), (0.4, 0.522), (0.5, 0.424)]
)
def test_drag_of_foliage(published, porosity, printed):
    published.equal(
        drag_coefficient(porosity), printed=printed, tolerance=5e-4, label=f"porosity {porosity}"
    )


@pytest.mark.published(source=BY_HAND, quantity="wind on a line post", unit="N, N m")
def test_wind_on_a_line_post(published):
    force = wind_force_n(wind_pressure_pa(25.0), 0.6, 1.2, 6.0)

    published.equal(force, printed=1655, tolerance=0.5, label="force")
    published.equal(force * 1.3, printed=2152, tolerance=0.5, label="at the ground line")


@pytest.mark.published(
    source="FAO Irrigation and Drainage Paper 56 (1998), example 14",
    quantity="wind at 2 m of 3.2 m/s at 10 m",
    unit="m/s",
)
def test_wind_comes_down_to_two_metres(published):
    published.equal(gust_at_height_m_s(3.2, 2.0), printed=2.4, tolerance=0.05)


@pytest.mark.published(source=BY_HAND, quantity="crop on a metre of row", unit="kg/m")
@pytest.mark.parametrize(
    ("crop", "width", "printed"), [(10, 2.5, 2.5), (20, 2.5, 5.0), (30, 2.7, 8.1)]
)
def test_crop_on_a_metre_of_row(published, crop, width, printed):
    published.equal(
        crop_kg_per_m(crop, width), printed=printed, tolerance=0.05, label=f"{crop} t/ha, {width} m"
    )


@pytest.mark.published(source=BY_HAND, quantity="wires that turn at a post", unit="N")
def test_pull_of_wires_in_a_dip_and_on_a_curve(published):
    published.equal(
        hold_down_n(4500.0, 6.0), printed=471.0, tolerance=0.05, label="dip of 6 degrees"
    )
    published.equal(
        side_load_n(4500.0, 6.0, 200.0), printed=135, tolerance=0.5, label="radius of 200 m"
    )


def test_the_crop_grows_with_the_years_of_the_brief():
    brief = brief_with("[trellis]\nyield_full = 10\nyield_by_year = [0, 0.5, 1]\n")

    assert crop_n_per_m(brief) == pytest.approx(np.array([0.0, 1.25, 2.5]) * 9.80665)
    assert canopy_n_per_m(brief) == pytest.approx(4.0 * 9.80665)


def test_two_rows_of_each_side_meet_the_full_wind():
    deep = rows_from_the_edge(np.arange(3, 10), 3, 9)

    assert deep.tolist() == [1, 2, 3, 4, 3, 2, 1]
    assert shelter_factor(deep, 2, 0.4).tolist() == [1.0, 1.0, 0.4, 0.4, 0.4, 1.0, 1.0]


def test_wires_lift_posts_in_dips_and_press_on_crests_of_every_row():
    along = [0.0, 6.0, 12.0, 18.0, 0.0, 6.0, 12.0]
    height = [1.0, 0.0, 1.0, 0.0, 5.0, 5.0, 5.0]
    row = [0, 0, 0, 0, 1, 1, 1]

    turn = slope_change_deg(along, height, row)

    steep = 2.0 * np.degrees(np.arctan2(1.0, 6.0))
    assert turn == pytest.approx([0.0, steep, -steep, 0.0, 0.0, 0.0, 0.0])
    assert hold_down_n(1000.0, turn)[1] == pytest.approx(2000.0 / np.sqrt(37.0))


def test_posts_at_one_place_are_refused():
    with pytest.raises(ValueError, match="follow one another"):
        slope_change_deg([0.0, 6.0, 6.0], [0.0, 0.0, 0.0], [0, 0, 0])


@given(gusts, gusts)
def test_more_wind_never_loads_a_post_less(one, other):
    loads = post_loads(brief_with(), [4.8, 6.0, 7.2], 0.75, side_n=100.0, side_height_m=1.1)
    low, high = sorted((one, other))

    assert np.all(loads.force_n(high) >= loads.force_n(low))
    assert np.all(loads.moment_nm(high) >= loads.moment_nm(low))


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_denser_foliage_never_drags_less(one, other):
    low, high = sorted((one, other))

    assert drag_coefficient(low) >= drag_coefficient(high)


@pytest.mark.parametrize("spacing", [0.0, -6.0, float("nan")])
def test_a_post_spacing_of_nothing_is_refused(spacing):
    with pytest.raises(ValueError, match="post_spacing_m must be above 0"):
        wind_force_n(400.0, 0.6, 1.2, [6.0, spacing])


@pytest.mark.parametrize(
    ("text", "where", "told"),
    [
        ("[trellis]\npost_every = 0\n", "trellis.post_every", "greater than or equal to 1"),
        ("[posts]\nwind = 120\n", "posts.wind", 'is it km/h? Then write "120 km/h"'),
        ('[posts]\nwind = "110 m/s"\n', "posts.wind", 'is it km/h? Then write "110 km/h"'),
        ('[posts]\nwind = "300 km/h"\n', "posts.wind", "between 5 and 70 m/s"),
        ("[posts]\nwind = 1\n", "posts.wind", "between 5 and 70 m/s"),
        ('[posts]\nwind = "gale"\n', "posts.wind", "a quantity in m/s"),
        ('[posts]\ngroup = "sofwood"\n', "posts.group", '"softwood" or "young softwood"'),
        ('[posts]\nsize = "75-110"\n', "posts.size", '"75-100"'),
        ('[posts]\nsoil = "clay"\n', "posts.soil", '"clay or silt"'),
        ("[posts]\nporosity = 1.2\n", "posts.porosity", "between 0 and 0.95"),
        ('[posts]\nset_by = "hammer"\n', "posts.set_by", "'driving' or 'digging and ramming'"),
        ("[trellis]\nyield_by_year = []\n", "trellis.yield_by_year", "at least 1 item"),
        ('[trellis]\nyield_full = "200 t/ha"\n', "trellis.yield_full", "between 0 and 80 t/ha"),
    ],
)
def test_what_no_post_can_be_loaded_with_is_refused(text, where, told):
    with pytest.raises(InputError) as caught:
        brief_with(text)

    assert caught.value.where == f"brief.toml: {where}"
    assert told in caught.value.expected


def test_a_gust_with_its_unit_is_read():
    assert brief_with('[posts]\nwind = "120 km/h"\n').posts.wind == pytest.approx(33.33, abs=0.01)
