"""A block laid out from a brief: what is asked for is kept, and what does not fit is said."""

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.inputs import Exclusion, Inputs, Outline
from aanplant.layout import lay_out
from aanplant.layout.laying_out import ends_at_alleys
from aanplant.layout.positions import count
from aanplant.layout.row_rules import alley_between_posts_m, room_at_ends_m
from aanplant.layout.rows import fit
from aanplant.site import survey
from aanplant.site.frame import Frame
from aanplant.stock import choose

FRAME = Frame(18.9, -33.9)


def field(width_m=200.0, height_m=150.0):
    return [
        (-width_m / 2, -height_m / 2),
        (width_m / 2, -height_m / 2),
        (width_m / 2, height_m / 2),
        (-width_m / 2, height_m / 2),
    ]


def laid_out(corners=None, exclusions=(), **sections):
    ring = FRAME.to_lonlat(np.array(corners or field()))
    inputs = Inputs(
        Outline("field", "polygon", (ring,)),
        tuple(
            Exclusion(item.name, item.kind, item.treatment, FRAME.geometry_to_lonlat(item.geometry),
                      item.clearance_m, item.corridor_width_m)
            for item in exclusions
        ),
    )  # fmt: skip
    vines = {"row_width": 2.5, "vine_spacing": 1.2, **sections.pop("vines", {})}
    rows = {"bearing": 0, "headland": 8, "side_margin": 3, **sections.pop("rows", {})}
    brief = Brief.model_validate(
        {"block": {"name": "Test", "boundary": "field"}, "vines": vines, "rows": rows, **sections}
    )
    site = survey(brief, inputs)
    return brief, site, lay_out(brief, site, choose(brief, site))


def messages_of(laid):
    return {finding.message: finding for finding in laid.findings}


def test_headland_is_clear_from_the_outermost_anchor_to_the_edge():
    _, site, laid = laid_out()

    top = site.boundary.bounds[3]
    assert top - np.abs(laid.anchors_xy[:, 1]).max() >= 8.0 - 1e-3


def test_a_cross_alley_is_clear_between_the_anchors_on_either_side():
    brief, _, laid = laid_out(rows={"longest": 60, "cross_alley": 6})
    at_alley = ends_at_alleys(laid.rows, laid.positions)
    along = laid.anchors_xy[:, 1]
    centre = laid.rows.alleys.along_m

    assert len(centre) == 2
    assert at_alley.any()
    assert np.abs(along[:, None] - centre).min() >= brief.rows.cross_alley / 2 - 1e-6


def test_alley_ends_braced_inside_have_no_anchor_and_say_so():
    _, _, outside = laid_out(rows={"longest": 60})
    _, _, inside = laid_out(rows={"longest": 60, "alley_anchors": "inside"})
    at_alley = ends_at_alleys(inside.rows, inside.positions)

    assert len(outside.anchors_xy) == len(outside.positions.end_posts_xy)
    assert len(inside.anchors_xy) == np.count_nonzero(~at_alley)
    assert len(inside.positions) > len(outside.positions)
    assert messages_of(inside)["layout.alley_inside"].values["count"] == np.count_nonzero(at_alley)


def test_an_alley_too_narrow_for_the_machine_is_a_stop():
    _, _, laid = laid_out(rows={"longest": 60, "cross_alley": 1.5})

    assert messages_of(laid)["layout.alley_narrow"].level == "stop"


def test_a_machine_wider_than_the_clear_width_is_a_stop_and_a_tight_one_a_care():
    _, _, wide = laid_out(machine={"width": 2.45})
    _, _, tight = laid_out(machine={"least_clear_width": 2.45})

    assert messages_of(wide)["layout.machine_wider"].level == "stop"
    assert messages_of(tight)["layout.clear_width"].level == "care"


def test_rows_stop_before_what_is_avoided_with_turning_room():
    dam = Exclusion("dam", "dam", "avoid", Point(0, 0).buffer(15), clearance_m=2.0)
    _, _, laid = laid_out(exclusions=[dam])

    assert dam.geometry.distance(shapely.multipoints(laid.positions.xy)) >= 2.0 + 3.0 - 0.05
    ahead = laid.anchors_xy[np.abs(laid.anchors_xy[:, 0]) < 3]
    between = np.abs(ahead[:, 1]) < 60
    assert np.abs(ahead[between][:, 1]).min() >= 15.0 + 2.0 + 8.0 - 1.0


def test_rows_run_on_over_what_is_skipped_but_nothing_stands_there():
    pipe = Exclusion("main", "pipe", "skip", LineString([(-120, 10), (120, 25)]), clearance_m=1.5)
    _, _, plain = laid_out()
    _, _, laid = laid_out(exclusions=[pipe])
    standing = np.vstack(
        [
            laid.positions.xy,
            laid.positions.line_posts_xy,
            laid.positions.end_posts_xy,
            laid.anchors_xy,
        ]
    )

    assert len(laid.positions.end_posts_xy) == len(plain.positions.end_posts_xy)
    assert laid.positions.left_out == len(plain.positions) - len(laid.positions) > 0
    assert pipe.geometry.distance(shapely.multipoints(standing)) >= 1.5 - 1e-3
    assert messages_of(laid)["layout.buried_service"].level == "care"


def test_the_widest_span_between_posts_is_told_where_posts_are_left_out():
    ledge = Exclusion("ledge", "rock", "skip", Polygon([(-9, -9), (9, -9), (9, 9), (-9, 9)]))
    _, _, laid = laid_out(exclusions=[ledge])
    posts = np.vstack([laid.positions.line_posts_xy, laid.positions.end_posts_xy])
    pieces = np.concatenate([laid.positions.line_posts_piece, laid.positions.end_posts_piece])

    gaps = [np.diff(np.sort(posts[pieces == piece][:, 1])).max() for piece in np.unique(pieces)]

    span_m, _ = messages_of(laid)["layout.posts_left_out"].values["span"]
    assert span_m == pytest.approx(max(gaps), abs=0.006)
    assert span_m > 2 * 5 * 1.2


def test_the_least_room_at_row_ends_is_the_anchor_nearest_to_the_edge():
    slanted = [(-100, -75), (100, -75), (60, 75), (-100, 75)]
    _, site, laid = laid_out(slanted, rows={"bearing": 12})

    figures = {figure.key: figure.value for figure in laid.figures}

    nearest_m = shapely.distance(site.boundary.exterior, shapely.points(laid.anchors_xy)).min()
    assert figures["layout.turn_room"] == pytest.approx(nearest_m, abs=0.05)


def test_a_power_line_beside_the_rows_warns_of_induced_voltage():
    beside = Exclusion(
        "line", "power line", "avoid", LineString([(40, -200), (45, 200)]), 5.0, 10.0
    )
    across = Exclusion(
        "line", "power line", "avoid", LineString([(-200, 40), (200, 45)]), 5.0, 10.0
    )
    _, _, parallel = laid_out(exclusions=[beside])
    _, _, crossing = laid_out(exclusions=[across])

    assert messages_of(parallel)["layout.power_line_parallel"].values["angle"] == (1, "deg")
    assert "layout.power_line_parallel" not in messages_of(crossing)
    assert "layout.power_line_near" in messages_of(crossing)
    everything = np.vstack(
        [parallel.positions.xy, parallel.anchors_xy, parallel.positions.line_posts_xy]
    )
    assert beside.geometry.distance(shapely.multipoints(everything)) >= 10.0


def test_a_power_line_drawn_as_a_corridor_runs_as_its_long_sides_do():
    def corridor(*ends):
        return Exclusion(
            "line", "power line", "avoid", LineString(ends).buffer(9.0, cap_style="flat")
        )

    _, _, beside = laid_out(exclusions=[corridor((40, -200), (45, 200))])
    _, _, across = laid_out(exclusions=[corridor((-200, 40), (200, 45))])

    assert messages_of(beside)["layout.power_line_parallel"].values["angle"] == (1, "deg")
    assert "layout.power_line_parallel" not in messages_of(across)


def test_no_turning_room_is_found_where_the_headland_is_too_small():
    _, _, ample = laid_out(rows={"headland": 12})
    _, _, scant = laid_out(rows={"headland": 2})

    assert "layout.turn_room" not in messages_of(ample)
    assert messages_of(scant)["layout.turn_room"].values["failing"] > 100


def test_a_headland_that_eats_the_field_is_refused_by_name():
    with pytest.raises(InputError, match=r"rows\.headland"):
        laid_out(field(60, 40), rows={"headland": 30})


def test_a_spacing_wider_than_the_rows_are_long_is_refused():
    with pytest.raises(InputError, match=r"rows\.shortest or vines\.vine_spacing"):
        laid_out(field(100, 24), vines={"vine_spacing": 9.0}, rows={"shortest": 0, "headland": 6})


def test_the_offset_taken_holds_as_many_vines_as_any_other():
    corners = [(-90, -60), (70, -75), (100, 40), (10, 80)]
    brief, site, laid = laid_out(corners, rows={"bearing": 27})
    stock = choose(brief, site)

    rules = brief.rows
    room = {
        "headland_m": room_at_ends_m(brief),
        "side_margin_m": rules.side_margin,
        "shortest_m": rules.shortest,
        "longest_m": rules.longest,
        "cross_alley_m": alley_between_posts_m(brief),
    }
    others = [
        count(
            fit(site.field, 27.0, stock.row_width_m, offset_m=offset, **room),
            1.2,
            end_gap_m=rules.end_gap,
        ).sum()
        for offset in np.arange(20) * 0.125
    ]
    assert len(laid.positions) == max(others)


def test_bearings_are_from_true_north_at_the_centre_of_the_block():
    _, site, laid = laid_out(rows={"bearing": 32})
    start, end = laid.rows.start_xy[0], laid.rows.end_xy[0]
    lonlat = site.frame.to_lonlat(np.array([start, end]))

    from pyproj import Geod

    azimuth, _, length = Geod(ellps="WGS84").inv(*lonlat[0], *lonlat[1])
    assert azimuth % 180.0 == pytest.approx(32.0, abs=0.002)
    assert length == pytest.approx(laid.rows.length_m[0], abs=0.002)


def test_a_field_with_a_hole_is_laid_out_around_it():
    hole = Polygon([(-20, -20), (20, -20), (20, 20), (-20, 20)])
    outer = FRAME.to_lonlat(np.array(field()))
    inner = FRAME.to_lonlat(np.asarray(hole.exterior.coords)[:-1])
    brief = Brief.model_validate(
        {
            "block": {"boundary": "f"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            "rows": {"bearing": 90},
        }
    )
    site = survey(brief, Inputs(Outline("f", "polygon", (outer, inner))))
    laid = lay_out(brief, site, choose(brief, site))

    assert hole.distance(shapely.multipoints(laid.positions.xy)) >= 3.0 - 0.05
    assert site.boundary.area == pytest.approx(200 * 150 - 1600, rel=1e-4)
