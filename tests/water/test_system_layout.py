"""Laws of every irrigation system that is laid: one tree, whole sets, pipes where they may be."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from aanplant.errors import InputError
from aanplant.layout.positions import Positions
from aanplant.water.set_network import network_of
from aanplant.water.system import LATERAL, MAINLINE, NO_SET, SUBMAIN, System
from tests.layout.ground import around
from tests.water.blocks import block, ground, rectangle

HILL = ground(lambda x, y: 300.0 + 0.06 * y + 0.02 * x + 2.0 * np.sin(x / 40.0))


def pipe_lines(system: System, *kinds: int):
    own = np.flatnonzero(np.isin(system.kind, kinds) & (system.parent >= 0))
    return shapely.linestrings(np.stack([system.xy[system.parent[own]], system.xy[own]], axis=1))


def check_laws(made, system: System):
    """All that holds whatever the block."""
    positions: Positions = made.layout.positions
    n = len(system)
    # A tree rooted at the source: every pipe begins where an earlier one ends.
    assert system.parent[0] == -1
    assert (system.parent[1:] < np.arange(1, n)).all()
    assert (system.parent[1:] >= 0).all()
    apart = np.hypot(*(system.xy[1:] - system.xy[system.parent[1:]]).T)
    assert (system.length_m[1:] >= apart * (1 - 1e-6) - 2e-2).all()
    assert np.isfinite(system.z_m).all()
    # Every vine and every dripper has one set, the same as its neighbour's.
    assert len(system.vine_set) == len(positions)
    assert ((system.vine_set >= 0) & (system.vine_set < len(system.sets))).all()
    drips = np.flatnonzero(system.is_emitter)
    assert (system.kind[drips] == LATERAL).all()
    np.testing.assert_array_equal(system.vine_set[system.vine[drips]], system.set_of[drips])
    np.testing.assert_array_equal(np.bincount(system.vine_set), system.sets.vines)
    np.testing.assert_array_equal(np.bincount(system.set_of[drips]), system.sets.emitters)
    assert system.laterals.emitters.sum() == len(drips)
    for piece in range(len(positions.rows)):
        assert len(np.unique(system.vine_set[positions.piece == piece])) <= 1
    # Water for a set passes through no pipe of another.
    behind = np.flatnonzero(system.parent >= 0)
    before = system.set_of[system.parent[behind]]
    assert ((before == NO_SET) | (before == system.set_of[behind])).all()
    # Flows keep the limit, unless the system itself says that they do not.
    if not any(breach.kind == "set_above_supply" for breach in system.breaches):
        assert system.sets.flow_m3_s.max() <= system.flow_limit_m3_s * (1 + 1e-9)
    # Nothing crosses what must be avoided; laterals lie on their rows.
    if not made.site.avoid.is_empty:
        lines = pipe_lines(system, MAINLINE, SUBMAIN, LATERAL)
        assert not shapely.intersects(made.site.avoid, lines).any()
    rows = made.layout.rows.lines()[system.laterals.piece[system.lateral[drips]]]
    assert shapely.distance(rows, shapely.points(system.xy[drips])).max() < 1e-6
    # Each set alone is a network with all of its drippers.
    for number in range(len(system.sets)):
        network = network_of(system, number)
        assert (network.parent[1:] < np.arange(1, len(network.nodes))).all()
        assert (network.parent[1:] >= 0).all()
        assert network.nodes[0] == 0
        assert network.is_emitter.sum() == system.sets.emitters[number]
        assert np.isin(system.set_of[network.nodes], [NO_SET, number]).all()


def test_a_block_with_a_cross_alley_and_a_dam_keeps_all_laws():
    made = block(
        rectangle(200, 320),
        avoid=shapely.Point(30, 40).buffer(18),
        terrain=HILL,
        rows={"longest": 150},
        water={"flow_available": 12},
    )

    system = made.system((-120, -170))

    check_laws(made, system)
    assert len(system.sets) >= 3
    assert {"valve", "vacuum break", "flush valve", "air valve", "pressure point"} <= set(
        system.devices.kind
    )


@pytest.mark.parametrize("places", ["row start", "row end", "middle", "choose"])
@pytest.mark.parametrize("bearing", [0, 35])
def test_unequal_rows_keep_all_laws_wherever_the_submains_lie(places, bearing):
    corners = [[-120, -60], [80, -140], [130, 20], [20, 30], [10, 150], [-100, 90]]
    made = block(
        corners,
        terrain=HILL,
        rows={"bearing": bearing, "longest": 110},
        water={"flow_available": 9},
        mains={"submains": places},
    )

    system = made.system((140, -120), height=280)

    check_laws(made, system)
    if places != "choose":
        assert set(system.submains.place) == {places}
    assert system.z_m[0] == 280.0


@pytest.mark.parametrize("places", ["row start", "row end", "middle"])
def test_contour_rows_keep_all_laws(places):
    terrain = ground(lambda x, y: 400.0 - 0.2 * np.hypot(x, y + 150.0))
    made = block(
        rectangle(180, 150),
        terrain=terrain,
        rows={"course": "contour"},
        vines={"row_width": 2.5, "vine_spacing": 1.2, "pattern": "free"},
        water={"flow_available": 10},
        mains={"submains": places},
    )
    assert made.layout.rows.paths is not None

    check_laws(made, made.system((0, 120)))


@st.composite
def cases(draw):
    shares = draw(st.lists(st.floats(0.5, 1.0), min_size=5, max_size=12))
    size = draw(st.floats(90.0, 150.0))
    corners = around(size * np.array(shares), turn_deg=draw(st.floats(0.0, 90.0)))
    avoid = None
    if draw(st.booleans()):
        x, y = draw(st.floats(-25.0, 25.0)), draw(st.floats(-25.0, 25.0))
        avoid = shapely.Point(x, y).buffer(draw(st.floats(3.0, 14.0)))
    angle = draw(st.floats(0.0, 2.0 * np.pi))
    return {
        "corners": corners,
        "avoid": avoid,
        "terrain": draw(st.sampled_from([None, HILL])),
        "rows": {
            "bearing": draw(st.floats(0.0, 179.0)),
            "longest": draw(st.sampled_from([60.0, 100.0, 200.0])),
        },
        "water": {"flow_available": draw(st.floats(3.0, 40.0))},
        "mains": {"submains": draw(st.sampled_from(["choose", "row start", "row end", "middle"]))},
        "source": 170.0 * np.array([np.cos(angle), np.sin(angle)]),
    }


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(cases())
def test_any_field_and_source_keep_all_laws(case):
    source = case.pop("source")
    made = block(case.pop("corners"), **case)

    check_laws(made, made.system(source))


def test_all_drippers_of_a_lateral_stand_their_spacing_apart():
    made = block(rectangle(80, 90), terrain=HILL)

    system = made.system((-60, -60))

    onward = np.flatnonzero(system.is_emitter & system.is_emitter[system.parent])
    np.testing.assert_allclose(system.length_m[onward], 0.6, rtol=1e-9)
    # A metre on this slope is shorter on the plan, by the same share along one row.
    apart = np.hypot(*(system.xy[onward] - system.xy[system.parent[onward]]).T)
    assert (apart < 0.6).all()
    assert (apart > 0.597).all()


def test_a_row_fed_in_its_middle_has_two_laterals_and_two_flush_ends():
    made = block(rectangle(60, 120), mains={"submains": "middle"})

    system = made.system((-50, -70))

    assert len(system.laterals) == 2 * len(made.layout.rows)
    assert (np.bincount(system.laterals.piece) == 2).all()
    # Both ends of each row are flush ends.
    ends = {tuple(end) for end in np.round(system.laterals.end_xy, 6)}
    posts = {tuple(post) for post in np.round(made.layout.positions.end_posts_xy, 6)}
    assert ends == posts


def test_rows_down_a_slope_are_fed_from_their_upper_end():
    for tilt, expected in ((0.05, "upper"), (-0.05, "upper")):
        made = block(rectangle(80, 100), terrain=ground(lambda x, y, t=tilt: 300 + t * y + 0 * x))

        system = made.system((-60, 0))

        assert expected == "upper"
        assert (system.laterals.fall_m > 0).all()


def test_a_submain_through_gently_falling_rows_lies_above_their_middle():
    for tilt in (0.01, -0.01):
        made = block(rectangle(60, 180), terrain=ground(lambda x, y, t=tilt: 300 + t * y + 0 * x))

        system = made.system((0, -120))

        assert set(system.submains.place) == {"middle"}
        uphill = system.laterals.fall_m < 0
        mean = [system.laterals.length_m[own].mean() for own in (uphill, ~uphill)]
        assert mean[0] < 0.9 * mean[1]


def test_level_long_rows_are_fed_in_their_middle_and_short_ones_at_the_near_end():
    long = block(rectangle(60, 180)).system((0, -120))
    short = block(rectangle(60, 80)).system((0, -70))

    assert set(long.submains.place) == {"middle"}
    assert len(short.submains) == 1
    assert short.xy[short.submains.valve[0], 1] < 0.0


def test_the_same_block_gives_the_same_system():
    first, second = (
        block(rectangle(100, 150), terrain=HILL, water={"flow_available": 5}).system((70, 0))
        for _ in range(2)
    )

    for name in ("xy", "z_m", "parent", "length_m", "set_of"):
        np.testing.assert_array_equal(getattr(first, name), getattr(second, name))


def test_a_drawn_route_is_followed():
    made = block(rectangle(80, 100))
    route = [(-70, -70), (-70, 60), (0, 60)]

    system = made.system((-70, -70), drawn=route)

    mainline = shapely.union_all(pipe_lines(system, MAINLINE))
    assert mainline.distance(shapely.LineString(route)) == 0.0
    assert mainline.intersection(shapely.LineString(route).buffer(1e-6)).length > 199.0


def test_a_route_drawn_towards_the_source_is_turned_round():
    made = block(rectangle(80, 100))
    route = [(-70, -70), (-70, 60), (0, 60)]

    there = made.system((-70, -70), drawn=route)
    back = made.system((-70, -70), drawn=route[::-1])

    np.testing.assert_allclose(there.xy, back.xy, atol=1e-6)


def test_the_mainline_keeps_out_of_the_rows_where_headlands_lead_round_them():
    made = block(rectangle(120, 100), mains={"submains": "row end"})

    system = made.system((0, -70))

    assert not any(breach.kind == "rows_crossed" for breach in system.breaches)


def test_a_mainline_that_goes_through_the_rows_goes_between_two_of_them():
    made = block(
        rectangle(300, 100),
        mains={"submains": "row start"},
        rows={"first_row_corner": "north-west"},
    )

    system = made.system((0, -70))

    assert not any(breach.kind == "rows_crossed" for breach in system.breaches)
    vines = shapely.multipoints(made.layout.positions.xy)
    assert system.xy[system.submains.valve[0], 1] > 0.0
    assert shapely.distance(vines, pipe_lines(system, MAINLINE)).min() == pytest.approx(1.25)


def test_what_rows_run_over_is_told_when_a_pipe_crosses_it():
    made = block(
        rectangle(120, 100),
        skip=shapely.LineString([(5, -80), (5, 80)]).buffer(0.5),
        mains={"submains": "middle"},
    )

    system = made.system((-90, -30))

    assert {crossing.name for crossing in system.crossings} == {"drain"}


def test_drippers_stay_off_ground_without_vines():
    made = block(rectangle(60, 100), skip=shapely.box(-40, -10, 40, 10))

    system = made.system((-50, -60))

    drips = system.xy[system.is_emitter]
    # The skipped ground reaches a metre further, and a line may run one vine spacing into it.
    assert np.abs(drips[:, 1]).min() > 11.0 - 1.2
    assert system.blank_m > 15.0 * len(made.layout.rows)
    check_laws(made, system)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: dam().system((0, 0)), "inside 'dam'"),
        (lambda: hill().system((900, 0)), "without a height"),
        (lambda: dam().system((-90, -70), drawn=[(-90, -70), (0, 0), (90, 90)]), "around it"),
        (lambda: block(rectangle(80, 100), water={"flow_available": 0.2}).system((-60, 0)), "rows"),
        (lambda: block(rectangle(80, 100), sets={"number": 400}).system((-60, 0)), "at most"),
    ],
)
def test_what_cannot_be_laid_is_refused_in_words(call, said):
    with pytest.raises(InputError) as caught:
        call()

    assert said in str(caught.value)


def dam():
    return block(rectangle(160, 160), avoid=shapely.Point(0, 0).buffer(15))


def hill():
    return block(rectangle(80, 80), terrain=HILL)


def test_rows_walled_off_by_what_must_be_avoided_are_told():
    ring = shapely.box(-200, -200, 200, 200).difference(shapely.box(-70, -70, 70, 70))
    made = block(rectangle(120, 120), avoid=ring)

    with pytest.raises(InputError, match="no way for a pipe"):
        made.system((-300, 0))


def test_too_few_sets_for_the_water_there_is_are_laid_and_told():
    made = block(rectangle(120, 150), water={"flow_available": 8.0}, sets={"number": 1})

    system = made.system((-90, 0))

    breach = next(item for item in system.breaches if item.kind == "set_above_supply")
    assert breach.value == pytest.approx(system.sets.flow_m3_s.max() * 3600)
    assert breach.limit == 8.0
    works = block(
        rectangle(120, 150), water={"flow_available": 8.0}, sets={"number": int(breach.works)}
    ).system((-90, 0))
    assert not works.breaches
    assert len(works.sets) == breach.works


def test_a_source_far_above_its_ground_is_questioned():
    made = hill()

    told = made.system((-60, 0), height=400.0).breaches
    near = made.system((-60, 0), height=300.0).breaches

    assert [breach.kind for breach in told] == ["source_height_differs"]
    assert not near


def test_without_heights_all_is_level_and_known_to_be_so():
    system = block(rectangle(60, 60)).system((-50, 0), height=310.0)

    assert not system.heights_known
    assert not system.z_m.any()
