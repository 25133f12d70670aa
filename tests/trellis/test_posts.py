"""Line posts beside worked moments, the ground they stand in, and the cheapest of them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from aanplant import tables
from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.pits import Pit, PitLayer
from aanplant.site.profile import work_out
from aanplant.site.soil_survey import SoilSurvey
from aanplant.site.zones import Zone
from aanplant.trellis.loads import post_loads
from aanplant.trellis.post_choice import compare_posts
from aanplant.trellis.post_soil import bearing_class, post_soil, pull_out_n
from aanplant.trellis.post_standing import breaches_of, gust_at_10_m, stand
from aanplant.trellis.posts import (
    five_of_hundred_mpa,
    post_of,
    posts_of,
    section_modulus_cm3,
    ultimate_moment_nm,
    working_moment_nm,
)

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'


def brief_with(text=""):
    return parse_brief(SMALLEST + text, "brief.toml")


def standing(text="", depth_m=0.7, spacing_m=6.0):
    brief = brief_with(text)
    loads = post_loads(brief, spacing_m, 0.75)
    soil = post_soil(brief, None, 0.7)
    return stand(post_of(brief), loads, depth_m, soil, brief.posts.working_factor)


@pytest.mark.published(
    source="pi d3/32 times the strength, worked by hand",
    quantity="round post at the ground line",
    unit="cm3, kN m",
)
@pytest.mark.parametrize(
    ("diameter", "modulus", "soft", "hard"),
    [
        (50, 12.27, 0.417, 0.687),
        (75, 41.42, 1.408, 2.319),
        (90, 71.57, 2.433, 4.008),
        (100, 98.17, 3.338, 5.498),
        (125, 191.75, 6.519, 10.74),
        (150, 331.34, 11.27, 18.56),
    ],
)
def test_moments_of_round_posts(published, diameter, modulus, soft, hard):
    ours = section_modulus_cm3(diameter)
    last = 0.0005 if diameter < 125 else 0.005

    published.equal(ours, printed=modulus, tolerance=0.005, label=f"modulus, {diameter} mm")
    published.equal(
        ultimate_moment_nm(ours, 34.0) / 1000.0,
        printed=soft,
        tolerance=0.005 if diameter == 150 else 0.0005,
        label=f"34 MPa, {diameter} mm",
    )
    published.equal(
        ultimate_moment_nm(ours, 56.0) / 1000.0,
        printed=hard,
        tolerance=last,
        label=f"56 MPa, {diameter} mm",
    )


@pytest.mark.published(
    source="Torrán et al. (2009): mean 56.3 MPa, variation 13 %; normal law worked by hand",
    quantity="strength that 95 eucalyptus posts of 100 reach",
    unit="MPa",
)
def test_strength_of_eucalyptus(published):
    published.equal(five_of_hundred_mpa(56.3, 0.13), printed=44.3, tolerance=0.05)


def test_the_strengths_of_the_table_come_from_their_posts():
    post = post_of(brief_with('[posts]\ngroup = "eucalyptus"\nsize = "100-125"\n'))

    assert (post.name, post.item) == ("eucalyptus 100-125", "line-post-eucalyptus-100-125")
    assert post.ultimate_moment_nm == pytest.approx(98.17 * 44.3, rel=1e-4)
    assert post.working_moment_nm(2.0) == pytest.approx(post.ultimate_moment_nm / 2.0)


def test_a_post_measured_stands_before_the_tables():
    post = post_of(brief_with("[posts]\ndiameter = 90\nstrength = 56\n"))

    assert (post.name, post.size, post.source) == ("softwood 90", "", "brief")
    assert post.ultimate_moment_nm == pytest.approx(4008, abs=0.5)


def test_thin_steel_folds_before_its_full_strength():
    (post,) = posts_of("light steel")

    # 3 cm3 of 350 MPa, at 60 %: practice puts steel line posts at 1 to 4 kN m unfolded.
    assert post.ultimate_moment_nm == pytest.approx(0.6 * 1050.0)


def test_every_group_makes_posts_and_the_steels_range_is_kept():
    groups = {row["group"] for row in tables.rows("post_strengths.csv")}

    for group in groups:
        made = posts_of(group)
        assert made
        assert all(0.0 < post.width_m < 0.3 and 0.0 < post.buckling <= 1.0 for post in made)
        assert [post.modulus_cm3 for post in made] == sorted(post.modulus_cm3 for post in made)


def test_bearing_in_feet_and_in_metres_agree():
    # 1 psf/ft is 0.157 kPa/m, as printed under the table of the code.
    for row in tables.rows("lateral_bearing.csv"):
        assert row["behaves_as"] in {"clay", "sand", "rock"}
        assert float(row["bearing_kpa_per_m"]) == pytest.approx(
            float(row["bearing_psf_per_ft"]) * 0.157, abs=0.06
        )


def test_a_factor_under_one_is_refused():
    with pytest.raises(ValueError, match="at least 1"):
        working_moment_nm(1000.0, 0.9)


def test_without_pits_the_weakest_soil_is_taken():
    soil = post_soil(brief_with(), None, 0.7)

    assert (soil.name, soil.behaves_as) == ("clay or silt", "clay")
    assert soil.bearing_pa_per_m == pytest.approx(15_700 * 2.0 * 4.0 / 3.0, rel=1e-4)
    assert bearing_class(["sandy loam", "clay"]) == "clay or silt"
    assert bearing_class(["sandy loam", "sand", ""]) == "sand, silty or clayey sand"
    assert bearing_class([]) == "clay or silt"


SQUARE = box(0.0, 0.0, 10.0, 10.0)


def surveyed(**textures):
    """Return a survey with one zone a name, of layers 0.4 m thick with these textures."""
    zones = []
    for name, layers in textures.items():
        dug = tuple(
            PitLayer(0.4 * place, 0.4 * (place + 1), texture=texture)
            for place, texture in enumerate(layers)
        )
        pit = Pit(name, 18.86, -33.93, dug, limiting_kind="none", where=f"pits.csv: {name}")
        profile = work_out(pit, rooting_depth_m=0.9, matter_per_carbon=1.724)
        zones.append(Zone(name, SQUARE, profile))
    zones.append(Zone("no pit", SQUARE, None))
    return SoilSurvey((), np.zeros((0, 2)), tuple(zones), True, (), ())  # noqa: FBT003


def test_the_weakest_zone_down_to_the_foot_of_the_post_is_taken():
    survey = surveyed(upper=("sand", "sandy loam", "clay"), lower=("sandy loam", "clay", "clay"))

    at_foot = post_soil(brief_with(), survey, 0.7)
    shallow = post_soil(brief_with(), survey, 0.4)

    assert (at_foot.name, at_foot.zone) == ("clay or silt", "lower")
    assert (shallow.name, shallow.behaves_as) == ("sand, silty or clayey sand", "sand")
    assert post_soil(brief_with(), surveyed(), 0.7).zone == ""


def test_what_was_measured_stands_before_the_printed_bearing():
    soil = post_soil(brief_with("[posts]\nlateral_bearing = 50\nisolated_factor = 1\n"), None, 0.7)

    assert soil.bearing_pa_per_m == pytest.approx(50_000 * 4.0 / 3.0, rel=1e-4)
    assert soil.source == "brief"


def test_a_driven_post_holds_ten_times_the_pull_of_a_rammed_one():
    driven, rammed = (
        pull_out_n(brief_with(f'[posts]\nset_by = "{way}"\n'))
        for way in ("driving", "digging and ramming")
    )

    assert driven == pytest.approx(900 * 9.80665)
    assert driven == pytest.approx(10.0 * rammed)


def test_at_the_gust_it_stands_a_part_is_just_used_up():
    stood = standing()

    assert stood.ground.keys() == {"ibc", "ep486", "broms"}
    for name, gust in stood.ground_gust_m_s.items():
        # Wind alone acts: utilisation goes with the square of the gust in every method.
        assert stood.ground[name] == pytest.approx((stood.gust_m_s / gust) ** 2, rel=1e-6)
    assert stood.bending == pytest.approx((stood.gust_m_s / stood.bending_gust_m_s) ** 2, rel=1e-6)


def test_rock_is_not_put_to_broms():
    assert standing('[posts]\nsoil = "soft rock"\n').ground.keys() == {"ibc", "ep486"}


def test_a_gust_at_the_canopy_is_told_as_forecasts_give_it():
    brief = brief_with()
    loads = post_loads(brief, 6.0, 0.75)

    assert gust_at_10_m(brief, loads, loads.gust_m_s) == pytest.approx(brief.posts.wind)


@given(st.floats(5.0, 70.0), st.floats(5.0, 70.0))
def test_more_wind_never_uses_a_post_or_its_ground_less(one, other):
    low, high = (standing(f"[posts]\nwind = {gust}\n") for gust in sorted((one, other)))

    assert high.bending >= low.bending
    assert all(high.ground[name] >= low.ground[name] for name in low.ground)


@given(st.floats(0.3, 1.5), st.floats(0.3, 1.5))
def test_a_deeper_post_never_stands_less_wind(one, other):
    stood = standing(depth_m=sorted((one, other)))

    assert np.all(np.diff(stood.least_ground_gust_m_s) >= 0.0)


@given(st.floats(0.0, 800.0), st.floats(0.0, 800.0), st.floats(0.3, 2.0))
def test_a_sharper_bend_never_uses_a_post_or_its_ground_less(one, other, height):
    brief = brief_with()
    loads = post_loads(brief, 6.0, 0.75, side_n=sorted((one, other)), side_height_m=height)

    stood = stand(post_of(brief), loads, 0.7, post_soil(brief, None, 0.7), 2.2)

    assert np.all(np.diff(stood.bending) >= 0.0)
    for name in stood.ground:
        assert np.all(np.diff(stood.ground[name]) >= -1e-12)
        assert np.all(np.diff(stood.ground_gust_m_s[name]) <= 1e-9)


def test_a_diameter_for_steel_is_refused():
    with pytest.raises(InputError, match="for round timber only"):
        post_of(brief_with('[posts]\ngroup = "light steel"\ndiameter = 90\n'))


def test_only_the_post_itself_makes_a_breach_and_names_the_worst_row():
    brief = brief_with("[posts]\nwind = 45\n")
    loads = post_loads(brief, [3.0, 9.0, 6.0], 0.75)
    stood = stand(post_of(brief), loads, 0.7, post_soil(brief, None, 0.7), 2.2)

    (breach,) = breaches_of(stood)

    assert (breach.kind, breach.part, breach.row) == ("post_bending", "line post", 1)
    assert breach.value == pytest.approx(stood.bending.max())
    assert breaches_of(standing("[posts]\nwind = 8\n")) == ()


def test_a_depth_of_nothing_is_refused():
    with pytest.raises(ValueError, match="depth_m must be above 0"):
        standing(depth_m=0.0)


def compared(price, posts=None):
    brief = brief_with("[posts]\nwind = 20\n")
    return compare_posts(
        brief,
        posts or posts_of("softwood"),
        np.array([3, 4, 5, 6, 7, 8]) * 1.2,
        price,
        canopy_foot_m=0.75,
        depth_m=0.7,
        soil=post_soil(brief, None, 0.7),
    )


def test_the_cheapest_that_keeps_the_limit_is_chosen_by_trying_them_all():
    table = compared([40.0, 70.0, 110.0, 160.0, 240.0])

    post, spacing = table.cheapest(0.9)

    within = table.cost_per_m[table.bending <= 0.9]
    assert 0 < within.size < table.cost_per_m.size
    assert table.cost_per_m[post, spacing] == within.min()
    assert table.cost_per_m[post, spacing] == pytest.approx(
        [40.0, 70.0, 110.0, 160.0, 240.0][post] / table.spacing_m[spacing]
    )


def test_a_post_without_a_price_is_not_chosen_and_nothing_may_be_left():
    table = compared([math.nan, math.nan, 110.0, math.nan, math.nan])

    assert table.cheapest(0.9)[0] == 2
    assert table.cheapest(1e-6) is None
    assert table.cheapest(0.9, least_ground_gust_m_s=100.0) is None


def test_a_limit_on_the_ground_is_kept():
    table = compared([40.0, 70.0, 110.0, 160.0, 240.0])
    asked = float(np.median(table.ground_gust_m_s))

    post, spacing = table.cheapest(1.0, asked)

    assert table.ground_gust_m_s[post, spacing] >= asked


@given(st.integers(0, 5))
def test_thicker_posts_are_never_used_more(spacing):
    bending = compared([1.0] * 5).bending[:, spacing]

    assert np.all(np.diff(bending) < 0.0)


def test_nothing_to_compare_is_refused():
    with pytest.raises(ValueError, match="nothing to compare"):
        compare_posts(
            brief_with(), (), [6.0], [], canopy_foot_m=0.75, depth_m=0.7,
            soil=post_soil(brief_with(), None, 0.7),
        )  # fmt: skip
