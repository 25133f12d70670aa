"""Drains and ridges: spacing as a range, volumes that add up."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from aanplant.brief import parse_brief
from aanplant.site.zones import Zone
from aanplant.work.drains import drain_spacing_m, drain_spacing_range_m, equivalent_depth_m
from aanplant.work.earthworks import drain_spacing, earthworks
from aanplant.work.ridges import fresh_height_m, pass_hours, ridge_section_m2
from aanplant.work.works_ordered import works_ordered
from aanplant.work.zone_preparation import prepare_zone
from aanplant.working import Figures, Working

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
ROW_LENGTH = Working("layout.row_length", 4000.0, "m", (), "measured")
MEASURED = "drain_conductivity = 0.5\ndrain_impermeable = 3.0\n"


def made(text):
    brief = parse_brief(f"{SMALLEST}[preparation]\n{text}", "brief.toml")
    return {figure.key: figure for figure in earthworks(brief, (), ROW_LENGTH)}


@pytest.mark.published(
    source="Hooghoudt table of equivalent depths for a pipe of 0.1 m radius, recalled from memory",
    quantity="equivalent depth",
    unit="m",
)
def test_equivalent_depth_is_near_the_table_it_replaces(published):
    # The closed form lies a few per cent below the older table.
    for spacing, below, printed in ((5.0, 0.5, 0.47), (10.0, 1.0, 0.80), (50.0, 1.0, 0.96)):
        published.equal(
            equivalent_depth_m(spacing, below, 0.1),
            printed=printed,
            tolerance=0.03,
            label=f"spacing {spacing:g} m, {below:g} m below",
        )


def test_drains_on_the_impermeable_layer_need_no_convergence():
    # With nothing below, Hooghoudt is 4 K h² / q.
    spacing = drain_spacing_m(0.5, 0.005, 0.5, 0.0)

    assert spacing == pytest.approx((4 * 0.5 * 0.25 / 0.005) ** 0.5, abs=1e-3)


def test_the_spacing_carries_off_just_the_water_asked_for():
    spacing = drain_spacing_m(0.8, 0.004, 0.6, 2.0, 0.05)
    depth = equivalent_depth_m(spacing, 2.0, 0.05)

    carried = (8 * 0.8 * depth * 0.6 + 4 * 0.8 * 0.36) / spacing**2
    assert carried == pytest.approx(0.004, rel=1e-4)


@given(
    st.floats(0.05, 10.0), st.floats(0.05, 10.0), st.floats(0.001, 0.02), st.floats(0.1, 1.5),
    st.floats(0.0, 10.0),
)  # fmt: skip
def test_soil_that_conducts_better_never_wants_closer_drains(one, other, discharge, head, below):
    slow, fast = (drain_spacing_m(k, discharge, head, below) for k in sorted((one, other)))

    assert slow <= fast + 1e-3


@given(st.floats(2.0, 500.0), st.floats(0.06, 20.0))
def test_equivalent_depth_is_never_more_than_the_depth(spacing, below):
    assert 0.0 < equivalent_depth_m(spacing, below, 0.05) <= below


@pytest.mark.parametrize("wrong", [(0, 0.005, 0.5, 1), (1, 0, 0.5, 1), (1, 0.005, 0, 1)])
def test_drains_that_carry_nothing_are_a_programming_error(wrong):
    with pytest.raises(ValueError, match="above 0"):
        drain_spacing_m(*wrong)


def test_a_spacing_is_a_range_or_a_designer_is_needed():
    pipes = 'subsurface_drains = "yes"\n'
    known, unknown = made(pipes + MEASURED), made(pipes)
    too_shallow = made(f"{pipes}{MEASURED}drain_depth = 0.8\ndrain_water_table = 1.0\n")

    least, most = drain_spacing_range_m(0.5, 0.005, 0.5, 1.5)
    assert known["work.drain_spacing_least"].value == pytest.approx(least)
    assert known["work.drain_spacing_most"].value == pytest.approx(most)
    assert 1.5 < most / least < 2.5
    assert unknown["work.drain_spacing_least"].value == "designer needed"
    assert too_shallow["work.drain_spacing_least"].value == "designer needed"


def test_pipe_is_counted_by_zone_and_in_all_with_its_range():
    brief = parse_brief(
        f'{SMALLEST}[preparation]\nsubsurface_drains = "yes"\ndrained_share = 0.5\n{MEASURED}',
        "brief.toml",
    )
    zones = tuple(
        prepare_zone(0, Zone(name, box(0.0, 0.0, 100.0, 100.0 * ha), None), brief.preparation)
        for name, ha in (("one", 2.0), ("two", 3.0))
    )
    zones = tuple(replace(zone, number=n) for n, zone in enumerate(zones, start=1))
    works = {figure.key: figure for figure in earthworks(brief, zones, ROW_LENGTH)}
    spacing = drain_spacing_m(0.5, 0.005, 0.5, 1.5)

    assert works["work.drain_spacing"].value == pytest.approx(spacing)
    assert works["work.drain_pipe.1"].value == pytest.approx(10_000.0 / spacing)
    assert works["work.drain_pipe"].value == pytest.approx(25_000.0 / spacing)
    assert (
        works["work.drain_pipe_least"].value
        < works["work.drain_pipe"].value
        < works["work.drain_pipe_most"].value
    )
    dug = works["work.drain_pipe"].value * 1.5 * 0.3
    assert works["work.drain_hours"].value == pytest.approx(dug / 40.0)
    ordered = {one.item: one for one in works_ordered(Figures(works.values()), zones)}
    assert ordered["drain-pipe"].status == "to confirm by a drainage designer"
    assert ordered["digger"].needed.value == pytest.approx(dug / 40.0)


def test_no_pipe_is_ordered_where_a_designer_is_needed():
    works = made('subsurface_drains = "yes"\n')

    assert "work.drain_pipe" not in works
    assert works_ordered(Figures(works.values()), ()) == ()


def test_no_drains_are_reckoned_where_none_are_asked_for():
    assert made("") == {}
    assert drain_spacing(parse_brief(SMALLEST, "brief.toml")) is None


def test_a_cut_off_drain_is_dug_by_the_cubic_metre():
    works = made('cut_off_drain = "180 m"\ncut_off_depth = "1.2 m"\n')

    assert works["work.cut_off_volume"].value == pytest.approx(129.6)
    assert works["work.cut_off_hours"].value == pytest.approx(129.6 / 40.0)


def test_a_ridge_is_a_trapezium_thrown_up_higher_than_it_stays():
    assert ridge_section_m2(0.3, 0.8, 1.6) == pytest.approx(0.36)
    assert fresh_height_m(0.3, 0.25) == pytest.approx(0.4)
    assert pass_hours(8000.0, 2.0, 4.0) == pytest.approx(4.0)
    with pytest.raises(ValueError, match="settling"):
        fresh_height_m(0.3, 1.0)


def test_ridges_are_reckoned_along_all_rows():
    works = made("ridge_height = 0.3\nridge_settling = 0.0\n")

    assert works["work.ridge_volume_per_m"].value == pytest.approx(0.36)
    assert works["work.ridge_volume"].value == pytest.approx(1440.0)
    assert works["work.ridge_hours"].value == pytest.approx(2.0)
