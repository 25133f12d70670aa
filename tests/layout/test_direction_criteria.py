"""Slope, sun and wind are weighed as the manager says, and the choice is explained."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant import messages
from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import Inputs, Outline
from aanplant.layout.direction_choice import candidates, pareto, shortfalls
from aanplant.layout.direction_criteria import WEIGHED_BY, slope_criteria, wind_criteria
from aanplant.layout.row_sunlight import day_number, row_sunlight
from aanplant.plan import make_plan
from aanplant.site.frame import Frame
from aanplant.site.light import Hedge
from aanplant.site.sunlight import survey_sunlight

BEARINGS = np.arange(180.0)
CIRCLE = [(90 * np.cos(a), 90 * np.sin(a)) for a in np.linspace(0, 2 * np.pi, 72, endpoint=False)]
NOTHING = dict.fromkeys(WEIGHED_BY, 0.0)
SOUTH, NORTH = Frame(18.9, -33.9), Frame(11.3, 43.8)


def planned(frame=SOUTH, corners=CIRCLE, **sections):
    ring = frame.to_lonlat(np.array(corners))
    brief = Brief.model_validate(
        {
            "block": {"name": "Test", "boundary": "field"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            **sections,
        }
    )
    return make_plan(brief, Inputs(Outline("field", "polygon", (ring,))), until="layout")


def by_name(criteria):
    return {criterion.name: criterion.values for criterion in criteria}


def nearest_to(bearing_deg, other_deg):
    return abs((bearing_deg - other_deg + 90.0) % 180.0 - 90.0)


@pytest.mark.published(
    source="slope 20 % facing 300°: along = S cos(R - A), across = S sin(R - A)",
    quantity="slope along and across rows", unit="%",
)  # fmt: skip
def test_slope_along_and_across_rows_on_a_plane(published):
    facing = np.radians(300.0)
    rise = -0.2 * np.array([[np.sin(facing), np.cos(facing)]])

    found = by_name(slope_criteria(np.array([0.0, 345.0]), np.repeat(rise, 4, axis=0)))

    for i, (bearing, along, across) in enumerate(((0, 10.0, 17.32), (345, 14.14, 14.14))):
        published.equal(
            found["grade_mean_pct"][i], printed=along, tolerance=0.005, label=f"along {bearing}°"
        )
        published.equal(
            found["cross_slope_worst_pct"][i], printed=across, tolerance=0.005,
            label=f"across {bearing}°",
        )  # fmt: skip


@given(
    slopes=st.lists(st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5)), min_size=1, max_size=9)
)
def test_slopes_along_and_across_make_up_the_steepest_slope(slopes):
    one = np.repeat(np.array(slopes[:1]), 3, axis=0)

    found = by_name(slope_criteria(BEARINGS, one))

    steepest = np.hypot(*slopes[0]) * 100.0
    both = np.hypot(found["grade_worst_pct"], found["cross_slope_worst_pct"])
    np.testing.assert_allclose(both, steepest, atol=1e-9)
    # Turned by a right angle, along becomes across.
    several = by_name(slope_criteria(BEARINGS, np.array(slopes)))
    np.testing.assert_allclose(
        np.roll(several["grade_worst_pct"], 90), several["cross_slope_worst_pct"], atol=1e-9
    )


def test_ground_without_heights_has_no_slope_to_weigh():
    assert list(slope_criteria(BEARINGS, np.zeros((0, 2)))) == []
    assert not {"grade_worst_pct", "wind_across_pct"} & set(
        by_name(planned().layout.sweep.criteria)
    )


def test_wind_meets_rows_broadside_or_passes_along_them():
    across = by_name(wind_criteria(np.array([150.0, 60.0, 15.0]), 330.0))["wind_across_pct"]

    assert across == pytest.approx([0.0, 100.0, 50.0])
    assert list(wind_criteria(BEARINGS, None)) == []


def test_each_weight_alone_takes_the_bearing_that_is_best_by_it():
    wind = {"canopy": {"damaging_wind": 160}}

    by_light = planned(weights={**NOTHING, "season_light": 1.0})
    by_load = planned(weights={**NOTHING, "afternoon_load": 1.0})
    by_wind = planned(weights={**NOTHING, "wind": 1.0}, **wind)

    assert nearest_to(by_light.layout.bearing_deg, 0.0) <= 12.0
    assert 85.0 <= by_load.layout.bearing_deg <= 135.0
    assert nearest_to(by_wind.layout.bearing_deg, 160.0) <= 20.0


def test_the_choice_turns_over_between_hemispheres():
    # Afternoon sun comes from the north-west in the south and from the south-west in the north:
    # the rows that turn their narrow side to it are mirrored.
    load = {"weights": {**NOTHING, "afternoon_load": 1.0}}

    south = planned(SOUTH, **load).layout
    north = planned(NORTH, **load).layout

    assert south.bearing_deg > 90.0 > north.bearing_deg
    assert nearest_to(south.bearing_deg, 180.0 - north.bearing_deg) < 20.0


def test_the_choice_turns_with_the_season():
    light = {**NOTHING, "season_light": 1.0}

    summer = planned(weights=light, canopy={"growing_from": "10-01", "growing_to": "03-31"})
    winter = planned(weights=light, canopy={"growing_from": "05-01", "growing_to": "08-15"})

    assert nearest_to(summer.layout.bearing_deg, 0.0) < 15.0
    assert nearest_to(winter.layout.bearing_deg, 90.0) < 30.0


def test_afternoon_load_moves_with_the_days_of_ripening():
    def best(ripening, harvest):
        brief = Brief.model_validate(
            {
                "block": {"boundary": "f"},
                "vines": {"row_width": 2.5, "vine_spacing": 1.2},
                "canopy": {"ripening": ripening, "harvest": harvest},
            }
        )
        hedge = Hedge(2.5, 1.2, 0.5, 1.5, 0.2)
        load = row_sunlight(brief, survey_sunlight(None, SOUTH), hedge, [0.0, 45.0])
        return load.afternoon_load_mj_m2

    early, late = best("12-10", "01-05"), best("02-15", "03-31")

    assert early[0] > early[1]
    assert late[0] < late[1]


def test_the_defaults_of_both_hemispheres_are_half_a_year_apart_and_may_wrap():
    def day(key, latitude, **canopy):
        brief = Brief.model_validate(
            {
                "block": {"boundary": "f"},
                "vines": {"row_width": 2.5, "vine_spacing": 1.2},
                "canopy": canopy,
            }
        )
        return day_number(brief, key, latitude)

    assert day("growing_from", -34.0) == 244
    assert day("growing_from", 44.0) == 60
    assert day("ripening", -34.0, ripening="12-31") == 365
    assert day("ripening", -34.0, ripening="03-01") == 60
    # February's 29th counts as 1 March.
    assert day("harvest", -34.0, harvest="02-28") == 59


def test_the_season_is_counted_over_the_turn_of_the_year():
    plan = planned()
    light = plan.layout.sunlight

    assert light.growing_days.tolist() == [31, 28, 31, 0, 0, 0, 0, 0, 30, 31, 30, 31]
    assert light.ripening_days.sum() == 55
    assert planned(NORTH).layout.sunlight.growing_days.sum() == 214


def test_the_bearing_taken_has_the_least_shortfall_of_the_candidates():
    sweep = planned().layout.sweep
    chosen = int(np.flatnonzero(sweep.bearing_deg == planned().layout.bearing_deg)[0])

    total = shortfalls(sweep, weights=sweep.weights).sum(axis=1)

    among = candidates(sweep)
    assert among[chosen]
    assert total[chosen] == pytest.approx(total[among].min())
    assert 1 < pareto(sweep).sum() < len(sweep)


def test_why_a_bearing_was_taken_is_said_with_what_it_gains_and_gives_up():
    plan = planned(corners=[(-150, -60), (150, -60), (150, 60), (-150, 60)])

    said = [f for f in plan.findings if f.message == "layout.bearing_against"]

    assert said
    for finding in said:
        text = messages.sentence(finding)
        assert "it gains" in text
        assert "pays with" in text
        assert "{" not in text
        assert "words:" not in text
    assert any("instead of" in messages.sentence(finding) for finding in said)


def test_a_difference_told_is_in_favour_of_the_side_it_is_told_on():
    plan = planned(corners=[(-150, -60), (150, -60), (150, 60), (-150, 60)])
    better = {criterion.name: criterion.better for criterion in plan.layout.sweep.criteria}

    for finding in plan.findings:
        if finding.message != "layout.bearing_against":
            continue
        for side, sign in (("gained", 1.0), ("given_up", -1.0)):
            for name in (
                str(finding.values[side]).removeprefix("words:criterion.").split(",criterion.")
            ):
                if name == "nothing":
                    continue
                more = finding.values[name][0] - finding.values[f"{name}_other"][0]
                assert sign * (more if better[name] == "up" else -more) > 0.0


def test_foliage_wider_than_the_rows_and_fruit_above_it_are_refused():
    with pytest.raises(InputError, match=r"canopy\.width"):
        planned(canopy={"width": 2.6}, rows={"bearing": 0})
    with pytest.raises(InputError, match=r"canopy\.fruit_height"):
        planned(canopy={"height": 0.5, "fruit_height": 0.6})


def test_a_solid_canopy_takes_more_than_leaves_and_nobody_wants_a_weight_below_nothing():
    solid = planned(canopy={"leaf_area_index": 0}, rows={"bearing": 20})
    leafy = planned(rows={"bearing": 20})

    assert solid.figures.value("layout.season_light") > leafy.figures.value("layout.season_light")
    with pytest.raises(ValueError, match="weights"):
        planned(weights={"wind": -1})


def test_bearings_asked_for_have_their_sunlight_too():
    plan = planned(rows={"bearing": 45})

    assert plan.layout.sweep is None
    assert plan.figures.value("layout.afternoon_load") > plan.figures.value("layout.morning_load")
    assert plan.figures.value("layout.first_shade") == pytest.approx(30.9638, abs=1e-4)
    assert any(finding.message == "layout.sun_on_rows" for finding in plan.findings)
    table = plan.layout.sunlight.table()
    assert [line["month"] for line in table] == list(range(1, 13))
    assert table[11]["light_mj_m2"] > table[5]["light_mj_m2"]


@pytest.mark.parametrize(
    ("latitude", "canopy", "key"),
    [
        (33.6, {"ripening": "01-20", "harvest": "03-05"}, "canopy.ripening"),
        (-33.6, {"ripening": "07-25"}, "canopy.ripening"),
        (-33.6, {"ripening": "01-20", "harvest": "01-05"}, "canopy.harvest"),
        (-33.6, {"ripening": "03-20"}, "canopy.harvest"),
    ],
)
def test_dates_of_the_other_hemisphere_and_a_harvest_before_ripening_are_refused(
    latitude, canopy, key
):
    brief = Brief.model_validate(
        {
            "block": {"boundary": "f"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            "canopy": canopy,
        }
    )
    hedge = Hedge(2.5, 1.2, 0.5, 1.5, 0.2)

    with pytest.raises(InputError) as refused:
        row_sunlight(brief, survey_sunlight(None, Frame(11.3, latitude)), hedge, [0.0])

    assert key in refused.value.where


def test_near_the_equator_vines_may_ripen_in_any_month():
    brief = Brief.model_validate(
        {
            "block": {"boundary": "f"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            "canopy": {"ripening": "07-01", "harvest": "08-15"},
        }
    )
    light = row_sunlight(
        brief,
        survey_sunlight(None, Frame(-40.5, -9.4)),
        Hedge(2.5, 1.2, 0.5, 1.5, 0.2),
        [0.0, 90.0],
    )

    assert (light.afternoon_load_mj_m2 >= 0.0).all()
