"""A soil survey: depth and water of a pit, zones that fill the field, and what stays unknown."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon, box

from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.inputs import Inputs, Outline
from aanplant.messages import sentence
from aanplant.pits import DrawnZone, Pit, PitLayer
from aanplant.site import survey
from aanplant.site.potential import judge
from aanplant.site.profile import work_out
from aanplant.site.zones import REST, as_drawn, by_nearest_pit, nearest_parts

LAYER = PitLayer(
    0.0,
    0.5,
    sand_pct=40.0,
    silt_pct=40.0,
    clay_pct=20.0,
    stones_volume_pct=10.0,
    organic_matter_pct=2.5,
    conductivity_ds_m=0.4,
    conductivity_method="ECe",
    cec_cmol_kg=10.0,
    sodium_cmol_kg=0.1,
)
LOAM_MM_M = 1000 * (0.27958 - 0.13700) * 0.9
"""Saxton and Rawls, table 3, loam before rounding, with a tenth of stones."""
SLIVERS_M2 = 8.0
"""Pieces below a square metre, of which six zones can leave a few, are no zones."""
HOLE = box(60, 40, 70, 50)
FIELD = Polygon([(0, 0), (200, 0), (220, 120), (20, 150)], [HOLE.exterior.coords])
SOUTH = (18.8600, -33.9300)
BRIEF = """
[block]
name = "Test"
boundary = "boundary.gpx"
pits = "pits.csv"
[vines]
row_width = "2.5 m"
vine_spacing = "1.2 m"
"""


def pit(name="A", *, layers=None, kind="none", at=(0.0007, 0.0006), **values):
    both = layers or (LAYER, replace(LAYER, top_m=0.5, bottom_m=1.0))
    west, south = SOUTH
    return Pit(
        name, west + at[0], south + at[1], both, limiting_kind=kind, where=f"pits.csv: {name}",
        **{"is_dry": True, **values},
    )  # fmt: skip


def profile(one=None, rooting_depth_m=0.9):
    return work_out(one or pit(), rooting_depth_m=rooting_depth_m, matter_per_carbon=1.724)


def surveyed(*pits, zones=(), extra=""):
    west, south = SOUTH
    ring = np.array([(0, 0), (0.0014, 0.0001), (0.0016, 0.0012), (0.0001, 0.0013), (0, 0)])
    inputs = Inputs(
        Outline("boundary.gpx", "polygon", (ring + np.array(SOUTH),)),
        pits=pits,
        zones=tuple(zones),
        files={"boundary.gpx": "ab" * 32},
    )
    assert (west, south) == SOUTH
    return survey(parse_brief(BRIEF + extra, "brief.toml"), inputs)


def drawn_over(name, x0, x1, *, pit_name="", y1=0.0014):
    west, south = SOUTH
    return DrawnZone(
        name, pit_name, box(west + x0, south - 0.0001, west + x1, south + y1), f"zones: {name}"
    )


def said(site, message):
    return [sentence(found) for found in site.findings if found.message == message]


def test_water_is_counted_to_the_rooting_depth():
    assert profile().available_water_mm == pytest.approx(0.9 * LOAM_MM_M, rel=1e-3)
    assert profile(rooting_depth_m=0.4).available_water_mm == pytest.approx(
        0.4 * LOAM_MM_M, rel=1e-3
    )


@pytest.mark.parametrize(
    ("one", "depth_m", "is_deeper", "name"),
    [
        (pit(), 1.0, True, "deep"),
        (pit(kind="rock", limiting_depth_m=0.55), 0.55, False, "shallow"),
        (pit(kind="rock", limiting_depth_m=0.55, water_table_m=0.3), 0.3, False, "very shallow"),
        (pit(water_table_m=0.7, is_dry=False), 0.7, False, "medium"),
    ],
)
def test_roots_go_to_the_first_thing_that_stops_them(one, depth_m, is_deeper, name):
    worked = profile(one)

    assert worked.depth_m == depth_m
    assert worked.is_deeper == is_deeper
    assert worked.depth_class.name == name
    assert worked.available_water_mm == pytest.approx(min(0.9, depth_m) * LOAM_MM_M, rel=1e-3)


def test_a_pit_that_says_nothing_of_a_limit_has_no_depth_and_no_water():
    worked = profile(pit(kind=""))

    assert worked.depth_m is None
    assert worked.depth_class is None
    assert worked.available_water_mm is None
    assert worked.missing == ("whether a limiting layer was met",)
    assert judge(worked).name == "unknown"


@pytest.mark.parametrize(
    ("field", "missing"),
    [
        ("sand_pct", "sand and clay"),
        ("organic_matter_pct", "organic matter"),
        ("stones_volume_pct", "stones"),
    ],
)
def test_what_was_not_measured_leaves_the_water_unknown(field, missing):
    one = pit(layers=(LAYER, replace(LAYER, top_m=0.5, bottom_m=1.0, **{field: None})))

    worked = profile(one)

    assert worked.available_water_mm is None
    assert worked.missing == (missing,)
    # Roots that stop above the layer don't need it.
    assert profile(one, rooting_depth_m=0.5).available_water_mm is not None


def test_a_density_the_equations_don_t_reach_leaves_the_water_unknown():
    worked = profile(pit(layers=(replace(LAYER, bottom_m=1.0, bulk_density_t_m3=2.1),)))

    assert worked.available_water_mm is None
    assert worked.missing == ("a soil within the range of the equations",)


def test_a_texture_known_by_name_stands_for_the_middle_of_its_class():
    bare = {"sand_pct": None, "silt_pct": None, "clay_pct": None}
    named = profile(pit(layers=(replace(LAYER, bottom_m=1.0, texture="loam", **bare),)))

    assert named.layers[0].is_by_name
    assert named.layers[0].available_mm_m == pytest.approx(LOAM_MM_M, rel=1e-3)


def test_weighed_stones_take_less_room_than_their_weight():
    weighed = replace(LAYER, stones_volume_pct=None, stones_weight_pct=30.0)

    found = profile(pit(layers=(weighed,))).layers[0].stones_volume_pct

    # Rv = a Rw / (1 - Rw (1 - a)), a = 1.432 / 2.65 (Saxton and Rawls, eq. 19)
    assert found == pytest.approx(18.8, abs=0.1)


def test_organic_carbon_stands_for_organic_matter():
    by_carbon = replace(LAYER, organic_matter_pct=None, carbon_pct=1.0)

    assert profile(pit(layers=(by_carbon,))).layers[0].organic_matter_pct == pytest.approx(1.724)


def test_the_weakest_side_of_a_soil_decides_what_it_can_carry():
    assert judge(profile()).name == "high"
    assert judge(profile(pit(kind="rock", limiting_depth_m=0.7))).name == "medium"
    stony = replace(LAYER, bottom_m=1.0, stones_volume_pct=60.0)
    assert judge(profile(pit(layers=(stony,)))).named("low") == ("stones",)
    salty = replace(LAYER, bottom_m=1.0, conductivity_ds_m=5.0)
    assert judge(profile(pit(layers=(salty,)))).named("low") == ("salinity",)


def test_a_side_that_was_not_measured_is_named_not_guessed():
    unmeasured = replace(
        LAYER, bottom_m=1.0, conductivity_ds_m=None, sodium_cmol_kg=None, conductivity_method=""
    )

    judged = judge(profile(pit(layers=(unmeasured,), is_dry=False)))

    assert judged.named("unknown") == ("salinity", "sodicity", "drainage")


spots = st.lists(
    st.tuples(st.integers(-30, 250), st.integers(-30, 180)), min_size=1, max_size=12, unique=True
)


@given(spots)
def test_the_parts_nearest_to_points_fill_the_field_without_overlap(places):
    xy = np.array(places, dtype=float)

    parts = nearest_parts(FIELD, xy)

    assert len(parts) == len(xy)
    assert sum(part.area for part in parts) == pytest.approx(FIELD.area)
    assert shapely.union_all(parts).area == pytest.approx(FIELD.area)
    for number, part in enumerate(parts):
        if part.area > 1:
            inside = np.array(part.representative_point().coords[0])
            assert np.hypot(*(xy - inside).T).argmin() == number


bands = st.lists(
    st.tuples(st.integers(-20, 240), st.integers(5, 120), st.booleans()), min_size=1, max_size=6
)


@given(spots, bands)
def test_drawn_zones_fill_the_field_whatever_was_drawn(places, drawn):
    xy = np.array(places, dtype=float)
    profiles = [profile(pit(f"P{number}")) for number in range(len(xy))]
    shapes = [
        DrawnZone(f"Z{number}", "P0" if is_named else "", box(x, -50, x + width, 200))
        for number, (x, width, is_named) in enumerate(drawn)
    ]

    found = as_drawn(FIELD, shapes, profiles, xy)

    assert sum(zone.geometry.area for zone in found.zones) == pytest.approx(
        FIELD.area, abs=SLIVERS_M2
    )
    assert shapely.union_all([zone.geometry for zone in found.zones]).area == pytest.approx(
        sum(zone.geometry.area for zone in found.zones), abs=0.1
    )


def test_a_field_in_two_pieces_is_zoned_as_one():
    field = MultiPolygon([box(0, 0, 50, 50), box(80, 0, 130, 50)])
    profiles = [profile(pit("A")), profile(pit("B"))]

    zones = by_nearest_pit(field, profiles, np.array([(10.0, 25.0), (120.0, 25.0)]))

    assert [zone.geometry.area for zone in zones] == [2500.0, 2500.0]
    assert [zone.pit.name for zone in zones] == ["A", "B"]


def test_without_pits_there_is_no_soil():
    assert surveyed().soil is None


def test_the_figures_of_the_block_are_weighed_by_area():
    shallow = pit("B", at=(0.0012, 0.0006), kind="rock", limiting_depth_m=0.5)
    site = surveyed(pit("A", at=(0.0003, 0.0006)), shallow)
    made = {figure.key: figure.value for figure in site.figures}

    areas = [zone.area_ha for zone in site.soil.zones]
    assert sum(areas) == pytest.approx(site.field.area / 1e4)
    depth_m = (areas[0] * 1.0 + areas[1] * 0.5) / sum(areas)
    assert made["site.soil_depth"] == pytest.approx(depth_m)
    water_mm = (areas[0] * 0.9 + areas[1] * 0.5) * LOAM_MM_M / sum(areas)
    assert made["site.soil_water"] == pytest.approx(water_mm, rel=1e-3)
    assert said(site, "soil.shallow")[0].startswith("At pit B roots are stopped at 0.5 m (rock)")


def test_a_zone_that_is_not_known_is_left_out_of_the_mean_and_said():
    site = surveyed(pit("A", at=(0.0003, 0.0006)), pit("B", at=(0.0012, 0.0006), kind=""))
    made = {figure.key: figure.value for figure in site.figures}

    assert made["site.soil_area_known"] == pytest.approx(site.soil.zones[0].area_ha)
    assert "site.zone.2.water" not in made
    assert said(site, "soil.water_unknown") == [
        (
            "The available water of zone B is unknown: pit B does not say whether a limiting layer "
            "was met."
        )
    ]


def test_a_pit_just_outside_is_used_and_said_one_far_off_is_refused():
    site = surveyed(pit("A", at=(-0.0002, 0.0006)))

    assert site.soil.zones[0].pit.name == "A"
    assert len(said(site, "soil.pit_outside")) == 1
    with pytest.raises(InputError, match=r"pits.csv: B: found a pit .* m outside the block"):
        surveyed(pit("A"), pit("B", at=(0.02, 0.0)))


def test_two_pits_in_one_place_are_refused():
    with pytest.raises(InputError, match="pits A and B in the same place"):
        surveyed(pit("A"), pit("B"))


def test_zones_without_pits_are_refused():
    with pytest.raises(InputError, match="soil zones without pits"):
        surveyed(zones=[drawn_over("west", 0, 0.001)])


def test_a_drawn_zone_must_name_a_pit_that_is_there():
    with pytest.raises(InputError, match=r"zones: west: found the pit 'Q'; expected one of A"):
        surveyed(pit("A"), zones=[drawn_over("west", 0, 0.001, pit_name="Q")])


def test_drawn_zones_take_the_pits_in_them_and_what_is_left_is_unknown():
    site = surveyed(
        pit("A", at=(0.0003, 0.0004)),
        pit("B", at=(0.0003, 0.0009)),
        pit("C", at=(0.0009, 0.0006)),
        zones=[
            drawn_over("west", -0.0001, 0.0006),
            drawn_over("middle", 0.0005, 0.0011, pit_name="A"),
            drawn_over("far", 0.01, 0.02),
        ],
    )

    assert [(zone.name, zone.pit and zone.pit.name) for zone in site.soil.zones] == [
        ("west, A", "A"),
        ("west, B", "B"),
        ("middle", "A"),
        (REST, None),
    ]
    assert site.soil.is_drawn
    assert site.soil.zones[-1].available_water_mm is None
    assert len(said(site, "soil.zone_not_drawn")) == 1
    assert len(said(site, "soil.zones_overlap")) == 1
    assert said(site, "soil.zone_outside") == [
        "The soil zone far lies outside the field and is left out."
    ]
    assert said(site, "soil.pit_unused") == ["Pit C stands for no part of the field."]


def test_a_drawn_zone_without_a_pit_is_unknown():
    site = surveyed(
        pit("A", at=(0.0003, 0.0006)),
        zones=[drawn_over("west", -0.0001, 0.0006), drawn_over("east", 0.0006, 0.002)],
    )

    assert site.soil.zones[1].potential.name == "unknown"
    assert len(said(site, "soil.zone_without_pit")) == 1


def test_salt_and_sodium_are_spoken_of_once_a_pit():
    salty = replace(LAYER, conductivity_ds_m=2.5, sodium_cmol_kg=2.0)
    site = surveyed(pit("A", layers=(salty, replace(salty, top_m=0.5, bottom_m=1.0))))

    assert len(said(site, "soil.salty")) == 1
    assert "90\u202f% of the yield" in said(site, "soil.salty")[0]
    assert len(said(site, "soil.sodic")) == 1


def test_a_pit_by_resistance_and_a_doubtful_one_are_told_apart():
    paste = replace(LAYER, resistance_ohm=150.0, bottom_m=1.0, sodium_cmol_kg=1.0)
    site = surveyed(pit("A", layers=(paste,)))

    assert len(said(site, "soil.salty_paste")) == 1
    assert len(said(site, "soil.sodic_doubtful")) == 1


def test_names_methods_and_short_pits_are_told():
    bare = {"sand_pct": None, "silt_pct": None, "clay_pct": None}
    top = replace(LAYER, bottom_m=0.3, texture="clay")
    named = replace(LAYER, top_m=0.3, bottom_m=0.6, texture="loam", **bare)
    other = replace(named, top_m=0.6, bottom_m=0.8, conductivity_method="EC 1:5")

    site = surveyed(pit("A", layers=(top, named, other)))

    assert (
        "is called clay, but its analysis is that of loam"
        in (said(site, "soil.texture_differs")[0])
    )
    assert len(said(site, "soil.by_name")) == 2
    assert len(said(site, "soil.salinity_method")) == 1
    assert len(said(site, "soil.pit_short")) == 1


def test_stones_that_were_weighed_have_a_figure_of_their_own():
    weighed = replace(
        LAYER, bottom_m=1.0, stones_volume_pct=None, stones_weight_pct=30.0,
        organic_matter_pct=None, carbon_pct=1.0, bulk_density_t_m3=1.458,
    )  # fmt: skip
    site = surveyed(pit("A", layers=(weighed,)))
    made = {figure.key: figure for figure in site.figures}

    # Saxton and Rawls eq. 19 as ptfkit 0.4.0 has it: 30 % by weight at 1.458 t/m3.
    assert made["site.pit.1.layer.1.stones"].value == pytest.approx(19.0804, abs=5e-5)
    names = [item.name for item in made["site.pit.1.layer.1.wilting_point"].inputs]
    assert names == ["sand", "clay", "carbon", "matter_per_carbon"]
