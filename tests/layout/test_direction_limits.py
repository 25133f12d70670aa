"""A bearing past a limit on slope is taken only where none keeps within, and that is said."""

import dataclasses
from functools import cache

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from aanplant import messages
from aanplant.brief import Brief
from aanplant.inputs import Inputs, Outline
from aanplant.layout import lay_out
from aanplant.layout.direction_choice import candidates, pareto
from aanplant.layout.steepness import slope_limits
from aanplant.messages import word
from aanplant.report.direction_chart import direction_chart
from aanplant.site import survey
from aanplant.site.frame import Frame
from aanplant.site.terrain import Terrain
from aanplant.stock import choose
from aanplant.units import show

FRAME = Frame(19.302, -33.612)
CORNERS = np.array([[-70, -45], [70, -45], [60, 50], [-75, 40]])
TOO_STEEP = {"layout.row_grade", "layout.machine_grade", "layout.machine_side_slope"}


@cache
def surveyed():
    brief = brief_of()
    ring = FRAME.to_lonlat(np.vstack([CORNERS, CORNERS[:1]]))
    return survey(brief, Inputs(Outline("b.geojson", "polygon", (ring,))))


def brief_of(bearing="choose", **sections):
    return Brief.model_validate(
        {
            "block": {"name": "Helling", "boundary": "b.geojson"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            "rows": {"bearing": bearing, "longest": 90, **sections.pop("rows", {})},
            **sections,
        }
    )


def laid_out(height, **sections):
    at = np.arange(-140.0, 141.0, 5.0)
    x, y = np.meshgrid(at, at)
    z = height(x, y)
    brief = brief_of(**sections)
    site = dataclasses.replace(surveyed(), terrain=Terrain(at, at, z, float(z.mean())))
    return lay_out(brief, site, choose(brief, site))


def messages_of(layout):
    return {finding.message for finding in layout.findings}


def plane(percent, facing_deg):
    facing = np.radians(facing_deg)
    return lambda x, y: 300.0 - percent / 100.0 * (x * np.sin(facing) + y * np.cos(facing))


@settings(max_examples=6, deadline=None, phases=[Phase.generate])
@given(
    percent=st.floats(2.0, 22.0), facing=st.floats(0.0, 360.0), bowl=st.floats(-4e-4, 4e-4),
    side=st.floats(6.0, 20.0), grade=st.floats(2.0, 12.0), given_up=st.floats(0.0, 0.2),
)  # fmt: skip
def test_a_bearing_chosen_passes_no_limit_while_some_bearing_keeps_all(  # noqa: PLR0917
    percent, facing, bowl, side, grade, given_up
):
    sloping = plane(percent, facing)
    rules = {"ground": {"row_grade": grade, "machine_side_slope": side, "machine_grade": 25.0}}

    def ground(x, y):
        return sloping(x, y) + bowl * (x**2 + y**2)

    layout = laid_out(ground, weights={"vines_given_up": given_up}, **rules)

    sweep = layout.sweep
    said = messages_of(layout)
    if TOO_STEEP & said:
        assert "layout.no_bearing_within" in said
        # Bearings that look best are past a limit when they are asked for, too.
        worst = sweep.worst_share
        for bearing in sweep.bearing_deg[np.argsort(worst)[:2]].tolist():
            assert TOO_STEEP & messages_of(laid_out(ground, bearing=bearing, **rules))
        at = int(np.flatnonzero(sweep.bearing_deg == layout.bearing_deg)[0])
        assert worst[at] == worst.min()
    else:
        assert "layout.no_bearing_within" not in said
        assert sweep.is_within.any()


@pytest.mark.published(
    source="slope 20 % facing 300°: along = S cos(R - A), across = S sin(R - A)",
    quantity="bearings within 12 % along and 17 % across", unit="deg",
)  # fmt: skip
def test_on_a_plane_the_bearings_left_are_those_of_the_sine_and_cosine(published):
    # |cos| <= 0.6 from 53.13° on, |sin| <= 0.85 to 58.21° from the line of fall (300° = 120°).
    layout = laid_out(
        plane(20.0, 300.0), ground={"row_grade": 12.0, "machine_side_slope": 17.0}
    )  # fmt: skip

    left = layout.sweep.bearing_deg[layout.sweep.is_within]

    assert left.tolist() == [*range(62, 67), *range(174, 179)]
    published.equal(float(left[0]), printed=120 - 58.21, tolerance=1.0, label="from")
    published.equal(float(left[4]), printed=120 - 53.13, tolerance=1.0, label="to")
    assert layout.bearing_deg in left
    assert not TOO_STEEP & messages_of(layout)
    finding = next(f for f in layout.findings if f.message == "layout.bearings_out")
    text = messages.sentence(finding).replace("\u202f", " ")
    assert "62–66°, 174–178°" in text
    assert "170 fall out" in text
    assert "17 % the machine can stand" in text


def test_where_no_bearing_keeps_within_the_nearest_is_taken_and_said_with_its_figures():
    layout = laid_out(plane(20.0, 300.0), ground={"row_grade": 10.0, "machine_side_slope": 12.0})

    # 20 cos / 10 = 20 sin / 12 at 50.2° from the line of fall; at 50° 15.3 % across, 12.9 % along.
    assert layout.bearing_deg in {70.0, 170.0}
    finding = next(f for f in layout.findings if f.message == "layout.no_bearing_within")
    assert finding.level == "care"
    text = messages.sentence(finding).replace("\u202f", " ")
    assert "12.9 % over ten metres (limit 10 %)" in text
    assert "15.3 % across a row" in text
    assert "words:" not in text
    assert "{" not in text
    # The one taken is nearest to the limits; of a trade-off there is none to speak of.
    assert "layout.bearing_chosen" not in messages_of(layout)


def test_bearings_past_a_limit_neither_are_on_the_trade_off_nor_keep_others_from_it():
    sweep = laid_out(
        plane(20.0, 300.0), ground={"row_grade": 12.0, "machine_side_slope": 17.0}
    ).sweep

    assert not (pareto(sweep) & ~sweep.is_within).any()
    within = sweep.vines[candidates(sweep)]
    assert (within >= (1.0 - sweep.vines_within) * sweep.vines[sweep.is_within].max()).all()
    assert sweep.out_by(120) == ("row_grade",)
    assert sweep.out_by(30) == ("machine_side_slope",)
    assert sweep.out_by(62) == ()


def test_the_reasons_say_which_tempting_bearing_falls_out():
    layout = laid_out(plane(20.0, 300.0), ground={"row_grade": 12.0, "machine_side_slope": 17.0})

    said = [f for f in layout.findings if f.message == "layout.bearing_against_out"]

    assert said
    assert all("falls out by the limit on the" in messages.sentence(f) for f in said)


def test_on_gentle_ground_nothing_falls_out_and_nothing_is_said():
    layout = laid_out(plane(5.0, 300.0))

    assert layout.sweep.is_within.all()
    assert not {"layout.bearings_out", "layout.no_bearing_within"} & messages_of(layout)


def test_the_advice_speaks_by_the_very_limits_of_the_choice():
    brief = brief_of(ground={"row_grade": 7.0})

    limits = {limit.name: limit.most_percent for limit in slope_limits(brief)}

    assert limits == {"row_grade": 7.0, "machine_grade": 25.0, "machine_side_slope": 12.0}
    layout = laid_out(plane(9.0, 0.0), bearing=0.0, ground={"row_grade": 7.0})
    finding = next(f for f in layout.findings if f.message == "layout.row_grade")
    assert finding.values["limit"] == (7.0, "%")
    assert not layout.slopes.across_percent.any()


def test_the_chart_shades_bearings_that_fall_out_beside_their_limit():
    layout = laid_out(plane(20.0, 300.0), ground={"row_grade": 12.0, "machine_side_slope": 17.0})

    svg = direction_chart(layout.sweep, layout.bearing_deg).svg(alone=False)

    assert word("bearings.limit").format(limit=show(12.0, "%")) in svg
    assert word("bearings.limit").format(limit=show(17.0, "%")) in svg
    assert word("bearings.out") in svg
    level = laid_out(plane(5.0, 300.0))
    assert word("bearings.out") not in direction_chart(level.sweep, 0.0).svg(alone=False)
