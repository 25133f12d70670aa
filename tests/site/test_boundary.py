"""Outlines become sound polygons, or are refused with the place of the trouble."""

import re

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from aanplant.errors import InputError
from aanplant.inputs import Outline
from aanplant.site.boundary import clean_ring, clean_track, ellipsoidal_area_m2, to_polygon
from aanplant.site.crossings import crossings
from aanplant.site.frame import Frame

FRAME = Frame(18.8602, -33.9321)
FIELD = np.array([[0, 0], [0, 180], [90, 240], [220, 210], [260, 60], [140, -20]], dtype=float)
FIELD_AREA = Polygon(FIELD).area


def walk(corners, step_m=1.2, *, closed=True):
    """Points along a path, one a step, as a receiver writes them every second."""
    path = shapely.linearrings(corners) if closed else shapely.linestrings(corners)
    stations = np.arange(0.0, path.length, step_m)
    return shapely.get_coordinates(shapely.line_interpolate_point(path, stations))


def outline(xy, kind="polygon", *holes):
    rings = tuple(FRAME.to_lonlat(ring) for ring in (xy, *holes))
    return Outline("kamp.gpx", kind, rings)


# --- area ---------------------------------------------------------------------------------

# Corners of a sheet between two meridians and two parallels.
SHEET = np.array([[18.86, -33.93], [18.865, -33.93], [18.865, -33.935], [18.86, -33.935]])


def authalic_band_m2(south_deg, north_deg, width_deg):
    """Area between two parallels (Snyder 1987, USGS Professional Paper 1395, eq. 3-12)."""
    a, f = 6378137.0, 1 / 298.257223563
    e2 = f * (2 - f)
    e = np.sqrt(e2)

    def q(phi):
        s = np.sin(np.radians(phi))
        return (1 - e2) * (s / (1 - e2 * s**2) + np.arctanh(e * s) / e)

    return a**2 / 2 * np.radians(width_deg) * abs(q(north_deg) - q(south_deg))


@pytest.mark.published(
    source="GeographicLib test suite, planimeter examples on WGS 84 (Karney), recalled from memory",
    quantity="area of a geodesic polygon",
    unit="m2",
)
def test_the_area_agrees_with_the_geodesic_library_of_its_author(published):
    # Latitude first in the source. Printed to the square metre.
    near_the_pole = [(89, 0), (89, 90), (89, 180), (89, 270)]
    round_the_equator = [(0, -1), (-1, 0), (0, 1), (1, 0)]
    an_eighth_of_the_earth = [(90, 0), (0, 0), (0, 90)]

    for label, corners, printed in (
        ("round the pole", near_the_pole, 24952305678.0),
        ("round the equator", round_the_equator, 24619419146.0),
        ("an eighth of the earth", an_eighth_of_the_earth, 63758202715511.0),
    ):
        area_m2 = ellipsoidal_area_m2(np.array(corners)[:, ::-1])
        published.equal(area_m2, printed=printed, tolerance=1.0, label=label)


def test_the_area_agrees_with_the_band_between_two_parallels():
    # Snyder (1987), USGS Professional Paper 1395, eq. 3-12, a formula of its own.
    steps = np.linspace(0.0, 0.005, 101)
    north = np.column_stack([18.86 + steps, np.full(101, -33.93)])
    south = np.column_stack([18.865 - steps, np.full(101, -33.935)])

    area_m2 = ellipsoidal_area_m2(np.vstack([north, south]))

    assert area_m2 == pytest.approx(authalic_band_m2(-33.935, -33.93, 0.005), abs=0.01)


def test_the_area_of_one_sheet_stays_what_it_was():
    # Computed beforehand through PROJ's geodesics; the sides are geodesics, not parallels.
    assert ellipsoidal_area_m2(SHEET) == pytest.approx(256388.1658, abs=1e-4)


@given(start=st.integers(0, 3), is_turned=st.booleans(), is_repeated=st.booleans())
def test_the_area_does_not_depend_on_where_or_which_way_one_starts(start, is_turned, is_repeated):
    ring = np.roll(SHEET, start, axis=0)
    ring = ring[::-1] if is_turned else ring
    ring = np.vstack([ring, ring[:1]]) if is_repeated else ring

    assert ellipsoidal_area_m2(ring) == pytest.approx(ellipsoidal_area_m2(SHEET), rel=1e-12)


# --- drawn rings --------------------------------------------------------------------------


@st.composite
def star_fields(draw):
    """Fields one can see whole from one spot, concave ones among them."""
    count = draw(st.integers(5, 24))
    radii = draw(st.lists(st.floats(60, 300), min_size=count, max_size=count))
    angles = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([np.array(radii) * np.cos(angles), np.array(radii) * np.sin(angles)])


@given(star_fields(), st.booleans(), st.integers(0, 23))
def test_cleaning_a_clean_ring_changes_nothing(field, is_turned, start):
    ring = np.roll(field, start, axis=0)
    ring = ring[::-1] if is_turned else ring

    once = clean_ring(ring)
    twice = clean_ring(np.vstack([once.xy, once.xy[:1]]))

    assert np.array_equal(once.xy, ring)
    assert np.array_equal(twice.xy, once.xy)


@given(star_fields(), st.lists(st.integers(0, 23), max_size=6))
def test_doubled_points_go_and_the_area_stays(field, doubled):
    again = np.sort([*range(len(field)), *(k % len(field) for k in doubled)])

    cleaned = clean_ring(field[again])

    assert np.array_equal(cleaned.xy, field)


@given(star_fields(), st.booleans())
def test_the_polygon_keeps_the_area_whichever_way_it_is_drawn(field, is_turned):
    cleaned = to_polygon(outline(field[::-1] if is_turned else field), FRAME)

    assert cleaned.polygon.area == pytest.approx(Polygon(field).area, rel=1e-7)
    assert cleaned.polygon.exterior.is_ccw
    assert cleaned.points_read == cleaned.points_kept == len(field)


def test_a_repeated_first_point_is_not_counted():
    cleaned = to_polygon(outline(np.vstack([FIELD, FIELD[:1]]), "corners"), FRAME)

    assert (cleaned.points_read, cleaned.points_kept, cleaned.gap_closed_m) == (6, 6, 0.0)
    assert cleaned.tolerance_m == 0.0


def test_a_dead_end_without_area_is_left_out():
    spiked = np.array([[0, 0], [100, 0], [100, 100], [100, 40], [0, 40]], dtype=float)

    cleaned = to_polygon(outline(spiked), FRAME)

    assert cleaned.points_kept == 4
    assert cleaned.polygon.area == pytest.approx(4000.0, abs=1e-3)


def test_holes_are_kept():
    hole = np.array([[100, 100], [120, 100], [120, 130], [100, 130]], dtype=float)

    cleaned = to_polygon(outline(FIELD, "polygon", hole), FRAME)

    assert cleaned.polygon.area == pytest.approx(FIELD_AREA - 600.0, abs=1e-3)
    assert cleaned.points_kept == 10


# --- walked tracks ------------------------------------------------------------------------


def test_a_walk_becomes_its_corners():
    cleaned = to_polygon(outline(walk(FIELD), "track"), FRAME)

    # A step of 1.2 m cuts corners, a tolerance of 0.5 m a little more.
    assert cleaned.polygon.area == pytest.approx(FIELD_AREA, rel=2e-3)
    assert cleaned.points_read > 700
    assert cleaned.points_kept < 20
    assert cleaned.gap_closed_m < 1.2
    assert cleaned.tolerance_m == 0.5


@given(seed=st.integers(0, 2**32 - 1), jitter_m=st.floats(0.0, 0.4))
def test_jitter_below_the_tolerance_hardly_changes_the_area(seed, jitter_m):
    rng = np.random.default_rng(seed)
    points = walk(FIELD, step_m=2.0)
    points = points + rng.uniform(-jitter_m, jitter_m, points.shape)

    ring = clean_track(points).xy

    # No point moves by more than jitter and tolerance together, at either side.
    worst_m2 = (np.sqrt(2) * jitter_m + 0.5) * Polygon(FIELD).length
    assert abs(Polygon(ring).area - FIELD_AREA) <= worst_m2
    assert abs(Polygon(ring).area - FIELD_AREA) <= 0.01 * FIELD_AREA


@given(seed=st.integers(0, 2**32 - 1))
def test_a_hand_held_receiver_gives_a_sound_polygon(seed):
    # 3 to 5 m of slow drift and half a metre of noise, as a hand-held receiver walks.
    rng = np.random.default_rng(seed)
    points = walk(FIELD)
    drift = np.cumsum(rng.normal(0, 0.15, points.shape), axis=0)
    drift -= np.linspace(0, 1, len(points))[:, None] * drift[-1]

    ring = clean_track(points + drift + rng.normal(0, 0.3, points.shape)).xy

    assert Polygon(ring).is_valid
    assert Polygon(ring).area == pytest.approx(FIELD_AREA, rel=0.1)


@given(seed=st.integers(0, 2**32 - 1), at=st.integers(5, 600))
def test_scatter_while_standing_goes(seed, at):
    rng = np.random.default_rng(seed)
    points = walk(FIELD)
    cloud = points[at] + rng.uniform(-0.8, 0.8, (60, 2))

    ring = clean_track(np.insert(points, at, cloud, axis=0)).xy

    assert abs(Polygon(ring).area - FIELD_AREA) < 0.005 * FIELD_AREA
    assert len(ring) < 25


@given(
    at=st.integers(10, 600),
    count=st.integers(1, 3),
    angle=st.floats(0, 6.28),
    far=st.floats(8, 5000),
)
def test_a_jump_of_the_receiver_goes(at, count, angle, far):
    points = walk(FIELD)
    away = points[at : at + count] + far * np.array([np.cos(angle), np.sin(angle)])
    jumped = points.copy()
    jumped[at : at + count] = away

    ring = clean_track(jumped).xy

    assert abs(Polygon(ring).area - FIELD_AREA) < 0.003 * FIELD_AREA


@given(start=st.integers(0, 600), past_m=st.floats(20, 120), aside_m=st.floats(-6, 6))
def test_whoever_walks_on_past_the_start_gets_the_same_field(start, past_m, aside_m):
    assume(abs(aside_m) > 0.05)
    points = np.roll(walk(FIELD), start, axis=0)
    again = points[: int(past_m / 1.2)] + aside_m * np.array([0.6, 0.8])

    cleaned = clean_track(np.vstack([points, again]))

    assert abs(Polygon(cleaned.xy).area - FIELD_AREA) < 0.02 * FIELD_AREA
    assert cleaned.overlap_m > 0.0


def test_a_small_turn_on_the_spot_is_cut_out():
    points = walk(FIELD)
    angles = np.linspace(0, 2 * np.pi, 12)
    loop = points[100] + 1.9 * np.column_stack([np.cos(angles) - 1, np.sin(angles)])

    ring = clean_track(np.insert(points, 101, loop, axis=0)).xy

    assert abs(Polygon(ring).area - FIELD_AREA) < 0.002 * FIELD_AREA


@given(star_fields(), st.floats(0.0, 20.0))
def test_closing_again_changes_little(field, gap_m):
    points = walk(field)
    points = points[: len(points) - int(gap_m / 1.2)]

    once = clean_track(points)
    twice = clean_track(np.vstack([once.xy, once.xy[:1]]))

    assert once.gap_closed_m <= gap_m + 2.5
    assert Polygon(twice.xy).area == pytest.approx(
        Polygon(once.xy).area, abs=0.5 * Polygon(field).length
    )


# --- refusals -----------------------------------------------------------------------------


def refusal(kind, xy, *holes) -> str:
    with pytest.raises(InputError) as caught:
        to_polygon(outline(np.asarray(xy, dtype=float), kind, *holes), FRAME)
    assert caught.value.where.startswith("kamp.gpx")
    return str(caught.value)


@pytest.mark.parametrize("kind", ["polygon", "corners"])
def test_a_crossing_is_refused_with_its_place(kind):
    bow = np.array([[0, 0], [100, 100], [100, 0], [0, 100]])

    said = refusal(kind, bow)

    place = re.search(r"latitude (-?\d+\.\d{6}), longitude (-?\d+\.\d{6})", said)
    assert place is not None
    assert FRAME.from_lonlat([(float(place[2]), float(place[1]))])[0] == pytest.approx(
        [50, 50], abs=0.1
    )
    assert "after points 1 and 3" in said


def test_a_figure_of_eight_walk_is_refused_with_its_place():
    said = refusal(
        "track", walk(np.array([[0, 0], [100, 100], [200, 0], [200, 100], [100, 0], [0, 100]]))
    )

    assert "crosses or touches itself at latitude -33.93" in said


def test_points_on_one_line_are_refused():
    assert "at least three" in refusal("polygon", [[0, 0], [50, 0], [100, 0]])


@pytest.mark.parametrize("kind", ["polygon", "corners", "track"])
@pytest.mark.parametrize("points", [[[5, 5]], [[5, 5]] * 9, [[0, 0], [90, 0], [0, 0]]])
def test_fewer_than_three_points_are_refused(kind, points):
    assert re.search(r"found [12] distinct points?; expected at least three", refusal(kind, points))


@pytest.mark.parametrize("kind", ["polygon", "corners", "track"])
def test_an_empty_outline_is_refused(kind):
    with pytest.raises(InputError, match="an empty outline"):
        to_polygon(Outline("kamp.gpx", kind, ()), FRAME)
    with pytest.raises(InputError, match="an empty outline"):
        to_polygon(Outline("kamp.gpx", kind, (np.zeros((0, 2)),)), FRAME)


def test_a_tiny_outline_is_refused():
    assert "an outline of 81 m²" in refusal("polygon", [[0, 0], [9, 0], [9, 9], [0, 9]])


def test_a_very_large_outline_is_refused():
    side = 15_000
    said = refusal("polygon", [[0, 0], [side, 0], [side, side], [0, side]])

    assert "at most 20000 ha" in said


def test_an_open_walk_is_refused_with_its_end():
    said = refusal("track", walk(FIELD[:4], closed=False))

    assert "its end lies 304 m from its start, at latitude -33.930" in said
    assert "to within 25 m" in said


def test_half_a_walk_out_and_back_is_refused():
    there = walk(FIELD[:3], closed=False)

    assert "at least three" in refusal("track", np.vstack([there, there[::-1]]))


def test_points_that_are_no_numbers_are_refused():
    with pytest.raises(InputError, match="point 2 without a finite place"):
        clean_ring(np.array([[0, 0], [np.nan, 1], [1, 1]]))


@pytest.mark.parametrize(
    ("holes", "said"),
    [
        ([[[500, 500], [520, 500], [520, 520]]], "hole 1: found a hole that isn't inside"),
        ([[[-50, 50], [60, 50], [60, 60]]], "hole 1: found a hole that isn't inside"),
        ([[[50, 50], [90, 50], [90, 90]], [[60, 55], [99, 55], [99, 90]]], "holes that overlap"),
        ([[[50, 50], [90, 90], [90, 50], [50, 90]]], "hole 1: found an outline that crosses"),
    ],
)
def test_bad_holes_are_refused(holes, said):
    assert said in refusal("polygon", FIELD, *(np.array(hole, dtype=float) for hole in holes))


# --- crossings ----------------------------------------------------------------------------


@given(star_fields())
def test_a_star_never_crosses_itself(field):
    assert crossings(field, is_ring=True) == ()


@given(
    st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=4, max_size=9, unique=True)
)
def test_crossings_agree_with_the_geometry_library(points):
    # Shapely (GEOS) decides by its own is_simple predicate.
    xy = np.array(points, dtype=float)

    assert (crossings(xy, is_ring=True) == ()) is bool(shapely.is_simple(shapely.linearrings(xy)))
