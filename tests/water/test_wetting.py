"""What drippers wet beside recalled tables and worked cases, and zone by zone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from aanplant.brief.reading import parse_brief
from aanplant.pits import Pit, PitLayer
from aanplant.site.profile import work_out
from aanplant.site.zones import Zone
from aanplant.tables import rows
from aanplant.water import wetting, zone_wetting
from aanplant.water.emitters import law_of

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
# Strip and distance of drippers in metres, by flow in L/h and soil.
STRIPS = {
    1.0: ((0.3, 0.2), (0.7, 0.5), (1.1, 0.9)),
    2.0: ((0.4, 0.3), (0.8, 0.7), (1.2, 1.0)),
    4.0: ((0.8, 0.6), (1.2, 1.0), (1.6, 1.3)),
    8.0: ((1.2, 1.0), (1.6, 1.3), (2.0, 1.7)),
    16.0: ((1.6, 1.3), (2.0, 1.6), (2.4, 2.0)),
}
# Circle of one dripper of 4 L/h in metres: homogeneous, stratified, layered.
CIRCLES = {
    (0.75, "coarse"): (0.5, 0.8, 1.1), (0.75, "medium"): (0.9, 1.2, 1.5),
    (0.75, "fine"): (1.1, 1.5, 1.8), (1.5, "coarse"): (0.8, 1.4, 1.8),
    (1.5, "medium"): (1.2, 2.1, 2.7), (1.5, "fine"): (1.5, 2.0, 2.4),
}  # fmt: skip


@pytest.mark.published(
    source="Keller and Karmeli (1974), recalled from memory",
    quantity="strip that a line of drippers wets",
    unit="m",
)
@pytest.mark.parametrize("flow_lph", list(STRIPS))
def test_strips_of_the_table(published, flow_lph):
    for texture, (width, spacing) in zip(
        ("coarse", "medium", "fine"), STRIPS[flow_lph], strict=True
    ):
        label = f"{flow_lph:g} L/h, {texture}"
        published.equal(
            float(wetting.strip_width_m(flow_lph, texture)), printed=width, tolerance=0, label=label
        )
        published.equal(
            float(wetting.dripper_spacing_m(flow_lph, texture)),
            printed=spacing,
            tolerance=0,
            label=f"{label}, distance of drippers",
        )


def test_circles_join_at_four_fifths_of_their_width():
    # The table rounds both columns to 0.1 m.
    assert all(
        abs(wetting.OVERLAP * float(row["width_m"]) - float(row["spacing_m"])) <= 0.1 + 1e-9
        for row in rows("wetted_strips.csv")
    )


@pytest.mark.published(
    source="Keller and Karmeli (1974), recalled from memory",
    quantity="circle that a dripper of 4 L/h wets",
    unit="m",
)
@pytest.mark.parametrize(("depth_m", "texture"), list(CIRCLES))
def test_circles_of_the_table(published, depth_m, texture):
    layers = ("homogeneous", "stratified", "layered")
    for layering, printed in zip(layers, CIRCLES[depth_m, texture], strict=True):
        ours = wetting.wetted_diameter_m(texture, depth_m, layering)

        label = f"{texture}, {layering}, {depth_m} m deep"
        published.equal(ours, printed=printed, tolerance=0, label=label)


@pytest.mark.published(
    source="100 w/Sl for 2 L/h in medium soil and rows of 2.5 m, worked by hand",
    quantity="share of the ground that is wetted",
    unit="%",
)
def test_share_of_the_ground_that_is_wetted(published):
    strip = wetting.strip_width_m(2.0, "medium")

    published.equal(100 * float(wetting.wetted_share(strip, 2.5)), printed=32, tolerance=0.5)


@pytest.mark.published(
    source="Schwartzman and Zur (1986) from memory: 4 L/h, 20 L, 1 cm/h, worked by hand",
    quantity="soil that a dripper wets",
    unit="m",
)
def test_soil_wetted_by_one_dripper(published):
    bulb = wetting.wetted_bulb(4.0 / 3.6e6, 0.020, 2.77778e-6)

    published.equal(float(bulb.width_m), printed=0.6586, tolerance=5e-5, label="width")
    published.equal(float(bulb.depth_m), printed=0.3263, tolerance=5e-5, label="depth")


@pytest.mark.published(
    source="South African wine Technical Yearbook 2025, pages 106-108",
    quantity="rate of drip watering",
    unit="mm/h",
)
def test_rate_of_a_dripper_line(published):
    area_m2 = 2.5 * 0.6

    rate = float(wetting.application_rate_mm_h(2.3, area_m2))
    published.equal(rate, printed=1.53, tolerance=0.005)
    published.equal(10 * rate, printed=15.3, tolerance=0.05, label="m3/h/ha")
    published.equal(
        float(wetting.application_rate_mm_h(2.3, area_m2, 0.9)),
        printed=1.38,
        tolerance=0.005,
        label="at 90 %",
    )


@pytest.mark.published(
    source="Myburgh (2018), Handbook for irrigation of wine grapes in South Africa, pages 74-99",
    quantity="rate of watering",
    unit="mm/h",
)
def test_rates_of_the_handbook(published):
    rate, puddle = wetting.application_rate_mm_h, wetting.puddle_rate_mm_h

    published.equal(
        float(puddle(3.5, 0.2)), printed=111.4, tolerance=0.05, label="3.5 L/h on a puddle of 20 cm"
    )
    published.equal(
        float(puddle(2.3, 0.2)), printed=73.2, tolerance=0.05, label="2.3 L/h on a puddle of 20 cm"
    )
    published.equal(
        float(puddle(32, 3.0)), printed=4.53, tolerance=0.005, label="32 L/h on a circle of 3 m"
    )
    published.equal(
        float(rate(32, 2.4 * 2)), printed=6.67, tolerance=0.005, label="32 L/h on 2.4 x 2 m"
    )
    published.equal(float(rate(450, 36)), printed=12.5, tolerance=0.05, label="450 L/h on 6 x 6 m")
    published.equal(
        float(rate(150e3, 600)) / 3,
        printed=83,
        tolerance=0.5,
        label="150 m3/h for 20 min on 6 x 100 m, mm",
    )


@pytest.mark.published(
    source="Myburgh (2018), Handbook for irrigation of wine grapes in South Africa, pages 74-99",
    quantity="drippers in South African practice",
    unit="L/h, m",
)
def test_drippers_of_south_african_practice(published):
    sandy, heavier = zone_wetting.practice("coarse"), zone_wetting.practice("fine")

    for value, printed, label in (
        (sandy.least_flow_lph, 3.5, "sandy, least flow"),
        (sandy.most_flow_lph, 4.0, "sandy, most flow"),
        (sandy.spacing_m, 0.6, "sandy, distance"),
        (heavier.least_flow_lph, 2.0, "heavier, least flow"),
        (heavier.most_flow_lph, 2.3, "heavier, most flow"),
        (heavier.spacing_m, 1.0, "clay loam, distance"),
    ):
        published.equal(value, printed=printed, tolerance=0, label=label)


@given(st.floats(0.5, 20), st.floats(0.5, 20), st.sampled_from(["coarse", "medium", "fine"]))
def test_a_larger_dripper_never_wets_a_narrower_strip(first, second, texture):
    less, more = wetting.strip_width_m(sorted((first, second)), texture)

    assert less <= more


def zone(name, *textures):
    layers = tuple(
        PitLayer(0.4 * at, 0.4 * (at + 1), texture=texture) for at, texture in enumerate(textures)
    )
    profile = work_out(Pit(name, 0.0, 0.0, layers), rooting_depth_m=1.0, matter_per_carbon=1.72)
    return Zone(name, box(0, 0, 10, 10), profile)


def brief_with(text=""):
    return parse_brief(SMALLEST + text, "brief.toml")


def test_each_zone_is_wetted_by_its_coarsest_soil_in_the_root_zone():
    brief = brief_with()
    zones = (
        zone("A", "clay", "sand", "sand"),
        zone("B", "loam", "clay"),
        Zone("C", box(0, 0, 1, 1), None),
    )

    found = zone_wetting.wet(brief, zones, law_of(brief))

    assert [(one.zone, one.texture, one.is_known) for one in found] == [
        ("A", "coarse", True),
        ("B", "medium", True),
        ("C", "coarse", False),
    ]
    assert found[0].strip_m < found[1].strip_m
    assert found[0].radius_m == found[0].strip_m / 2


def test_a_deep_layer_does_not_count():
    brief = brief_with()

    (found,) = zone_wetting.wet(brief, (zone("A", "clay", "clay", "sand"),), law_of(brief))

    assert found.texture == "fine"


def test_the_brief_and_a_test_on_the_site_stand_before_pits_and_table():
    brief = brief_with('[wetting]\ntexture = "fine"\n')

    (found,) = zone_wetting.wet(brief, (zone("A", "sand"),), law_of(brief), measured_m=0.5)

    assert (found.texture, found.strip_m, found.is_measured) == ("fine", 0.5, True)
    assert found.share == pytest.approx(0.2)
    assert found.joining_spacing_m == pytest.approx(0.4)


def test_a_block_without_pits_is_taken_as_sand_and_says_so():
    brief = brief_with()

    (found,) = zone_wetting.wet(brief, (), law_of(brief))

    assert (found.zone, found.texture, found.is_known) == ("", "coarse", False)


def test_an_unknown_texture_is_refused():
    with pytest.raises(ValueError, match="coarse, medium or fine"):
        wetting.strip_width_m(2.0, "peat")


def test_too_little_and_too_much_wetted_ground_and_dry_gaps_are_told():
    brief = brief_with("[water]\nemitter = { flow = 2, spacing = 1.2 }\n")
    sand = zone_wetting.wet(brief, (zone("A", "sand"),), law_of(brief))

    found = {breach.kind: breach for breach in zone_wetting.breaches_of(brief, sand)}

    assert set(found) == {"wetted_too_little", "drippers_too_far_apart"}
    assert found["wetted_too_little"].value == pytest.approx(16.0)
    assert (found["drippers_too_far_apart"].value, found["drippers_too_far_apart"].limit) == (
        1.2,
        0.3,
    )
    fine = zone_wetting.wet(brief, (), law_of(brief), measured_m=2.0)
    assert [breach.kind for breach in zone_wetting.breaches_of(brief, fine)] == ["wetted_too_much"]
