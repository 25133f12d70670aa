"""Light on rows through days and seasons: published facts, the slope, walls, and laws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.site.light import Hedge, open_sky_share, rays, row_light, sky_interception
from aanplant.site.sky import clear_sky, haurwitz, hours
from aanplant.site.sun import incidence_cosine, position_at, row_interception
from aanplant.site.sunlight import DAYS_IN_MONTH, MID_MONTH_DAYS

SOLID = Hedge(2.5, 1.2, 0.5, fruit_height_m=0.2)
LEAFY = Hedge(2.5, 1.2, 0.5, 1.5, fruit_height_m=0.2)
GROWING_SOUTH = DAYS_IN_MONTH * np.isin(np.arange(1, 13), [9, 10, 11, 12, 1, 2, 3])
GROWING_NORTH = np.roll(GROWING_SOUTH, 6)
WINTER_SOUTH = DAYS_IN_MONTH * np.isin(np.arange(1, 13), [6, 7])
DATES = {"21 Dec": 355, "20 Mar": 79, "21 Jun": 172}


def suns_of_2025(day, latitude, minutes=5):
    """Suns over a day of 2025 at longitude 0, as the printed sums were made."""
    start = np.datetime64("2025-01-01", "ms") + np.timedelta64(day - 1, "D")
    steps = np.arange(0, 24 * 60, minutes).astype("timedelta64[m]")
    return position_at(start + steps, latitude, 0.0)


def clear_day_direct(latitude, day, bearing, **row):
    """Share of a clear day's direct light, Haurwitz's sunlight taken as direct."""
    elevation, azimuth = suns_of_2025(day, latitude)
    hedge = {"row_width_m": 2.5, "canopy_height_m": 1.2, "canopy_width_m": 0.5, **row}
    share = row_interception(elevation, azimuth, bearing_deg=bearing, **hedge)
    return np.average(share, weights=haurwitz(elevation))


def year(latitude, hedge, bearings, **slope):
    return row_light(clear_sky(latitude, MID_MONTH_DAYS, hours()), hedge, bearings, **slope)


# Printed by latitude and date: N-S, diagonal, E-W.
TABLE = {
    (-12.0, "21 Dec"): (0.531, 0.455, 0.381),
    (-12.0, "20 Mar"): (0.542, 0.471, 0.303),
    (-12.0, "21 Jun"): (0.551, 0.534, 0.628),
    (-33.93, "21 Dec"): (0.551, 0.473, 0.304),
    (-33.93, "20 Mar"): (0.579, 0.554, 0.524),
    (-33.93, "21 Jun"): (0.615, 0.722, 0.984),
    (-43.0, "21 Dec"): (0.572, 0.504, 0.355),
    (-43.0, "20 Mar"): (0.609, 0.612, 0.649),
    (-43.0, "21 Jun"): (0.661, 0.847, 1.000),
}

# A low winter sun square to the rows: the 0.01 degrees by which ours differs are half a digit.
STEEPEST = (-33.93, "21 Jun", 90.0)


@pytest.mark.published(
    source="hedgerow geometry weighted by Haurwitz, suns by the NREL algorithm every 5 minutes",
    quantity="clear day's direct light taken by solid rows", unit="",
)  # fmt: skip
@pytest.mark.parametrize(("latitude", "date"), TABLE)
def test_clear_days_by_latitude_date_and_bearing(published, latitude, date):
    for bearing, printed in zip((0.0, 45.0, 90.0), TABLE[latitude, date], strict=True):
        published.equal(
            clear_day_direct(latitude, DATES[date], bearing),
            printed=printed, tolerance=0.001 if (latitude, date, bearing) == STEEPEST else 0.0005,
            label=f"latitude {latitude:g}°, {date}, bearing {bearing:g}°",
        )  # fmt: skip


@pytest.mark.published(
    source="hedgerow geometry weighted by Haurwitz, 21 December, 33.93° S",
    quantity="clear day's direct light taken by solid rows", unit="",
)  # fmt: skip
def test_taller_and_closer_rows_take_more(published):
    for height, width, north, east in (
        (0.8, 2.5, 0.459, 0.272),
        (1.6, 2.5, 0.622, 0.333),
        (2.0, 2.5, 0.676, 0.360),
        (1.2, 2.0, 0.646, 0.375),
        (1.2, 3.0, 0.478, 0.256),
    ):
        row = {"canopy_height_m": height, "row_width_m": width}
        for bearing, printed in ((0.0, north), (90.0, east)):
            published.equal(
                clear_day_direct(-33.93, 355, bearing, **row), printed=printed, tolerance=0.0005,
                label=f"height {height:g}, rows {width:g} m, bearing {bearing:g}°",
            )  # fmt: skip


@pytest.mark.published(
    source="beam = Haurwitz over sin(elevation) on upright faces, 33.93° S (reckoned beforehand)",
    quantity="direct light of a clear day on an unshaded wall", unit="MJ/m2",
)  # fmt: skip
def test_unshaded_walls_by_the_way_they_face(published):
    for day, label, faces in (
        (355, "21 Dec", {90: 14.39, 270: 14.39, 0: 2.96, 180: 4.55}),
        (172, "21 Jun", {90: 6.93, 270: 6.93, 0: 22.0, 180: 0.0}),
    ):
        elevation, azimuth = suns_of_2025(day, -33.93, minutes=1)
        up = np.maximum(np.sin(np.radians(elevation)), 1e-9)
        beam = haurwitz(elevation) / up
        for facing, printed in faces.items():
            cosine = incidence_cosine(elevation, azimuth, slope_deg=90.0, facing_deg=facing)
            energy = (beam * np.maximum(cosine, 0.0)).sum() * 60.0 / 1e6
            published.equal(
                energy, printed=printed, tolerance=0.01, label=f"{label}, facing {facing}°"
            )


# --- published facts, season by season --------------------------------------------------------


@pytest.mark.parametrize("latitude", [-12.0, -25.0, -34.0, -43.0])
@pytest.mark.parametrize("hedge", [SOLID, LEAFY], ids=["solid", "leafy"])
def test_north_south_rows_take_most_in_the_growing_season(latitude, hedge):
    # Smart (1973), Am. J. Enol. Vitic. 24: 141: most for tall, close rows running north-south,
    # alike from 12 to 43 degrees south.
    share = year(latitude, hedge, [0.0, 45.0, 90.0, 135.0]).share(GROWING_SOUTH)

    assert share.argmax() == 0
    assert share[0] > share[1] > share[2]
    assert share[1] == pytest.approx(share[3])


def test_north_south_rows_do_not_take_most_in_winter():
    # Olesen and others (2007): east-west rows very high in winter and low in summer.
    light = year(-34.0, LEAFY, [0.0, 90.0])

    winter, summer = light.share(WINTER_SOUTH), light.share(GROWING_SOUTH)

    assert winter[1] > winter[0]
    assert summer[1] < summer[0]
    by_month = light.share(None)
    assert np.ptp(by_month[0]) < 0.4 * np.ptp(by_month[1])


def test_far_south_east_west_rows_take_more_from_the_equinox_on():
    light = row_light(clear_sky(-43.0, [79], hours(96)), SOLID, [0.0, 90.0])

    assert light.share([1.0], of="beam")[1] > light.share([1.0], of="beam")[0]


def test_cloud_takes_from_the_advantage_of_north_south():
    # Smart (1973), as above.
    light = year(-34.0, SOLID, [0.0, 90.0])

    direct = np.subtract(*light.share(GROWING_SOUTH, of="beam"))
    everything = np.subtract(*light.share(GROWING_SOUTH))

    assert 0.0 < everything < direct


@pytest.mark.parametrize("day", [305, 335, 355, 20, 35, 50, 60, 70, 80])
def test_north_east_rows_take_more_after_noon_and_north_west_rows_before(day):
    # Hunter and others (2008), Robertson, South Africa, light inside the canopy: north-south
    # two peaks, NE-SW one in the afternoon, NW-SE one in the morning.
    sky = clear_sky(-33.8, [day], hours(48))
    light = row_light(sky, SOLID, [0.0, 45.0, 135.0])
    late = sky.is_afternoon

    taken = (light.beam_share * light.beam_mj_m2)[:, 0]
    walls = light.wall_mj_m2.sum(axis=1)[:, 0]

    assert taken[1, late].sum() > taken[1, ~late].sum()
    assert taken[2, late].sum() < taken[2, ~late].sum()
    assert min(walls[0, late].max(), walls[0, ~late].max()) > 2.0 * walls[0, 23:25].max()


@pytest.mark.parametrize(("day", "is_late"), [(305, True), (355, False), (20, False), (70, True)])
def test_the_highest_half_hour_of_north_east_rows_moves_to_the_morning_at_midsummer(day, is_late):
    # Here the model parts from the pattern above: the early midsummer sun stands south of east.
    sky = clear_sky(-33.8, [day], hours(48))
    walls = row_light(sky, SOLID, [45.0]).wall_mj_m2.sum(axis=1)[0, 0]

    late = sky.is_afternoon

    assert (walls[late].max() > walls[~late].max()) == is_late


def test_the_shaded_side_of_east_west_rows_has_less_than_half_the_light_of_the_sunny_one():
    # DeJong and Doyle (1985), peach hedgerows in California.
    sunny, shaded = sorted(
        year(37.0, SOLID, [90.0]).on_walls(GROWING_NORTH)[0].tolist(), reverse=True
    )

    assert shaded < 0.5 * sunny


def test_the_afternoon_load_of_two_bearings_changes_places_through_the_season():
    # The midsummer sun sets far south of west and leaves a wall looking north-west early;
    # from late summer on that wall has it all afternoon.
    bearings = [0.0, 45.0]

    def load(day):
        light = row_light(clear_sky(-33.93, [day], hours(96)), SOLID, bearings)
        west = light.on_walls([1.0], when="afternoon", at="fruit")
        return west[[0, 1], light.west_wall]

    midsummer, ripening = load(355), load(50)

    assert midsummer[1] < midsummer[0]
    assert ripening[1] > ripening[0]


# --- walls, slopes, laws ----------------------------------------------------------------------


def test_walls_face_square_to_the_rows_and_the_west_one_is_known():
    light = year(-34.0, SOLID, [0.0, 30.0, 120.0])

    assert light.wall_facing_deg.tolist() == [[90.0, 270.0], [120.0, 300.0], [210.0, 30.0]]
    assert light.west_wall.tolist() == [1, 1, 0]


@given(
    latitude=st.floats(-60.0, 60.0), bearing=st.floats(0.0, 179.9),
    east=st.floats(-0.3, 0.3), north=st.floats(-0.3, 0.3),
)  # fmt: skip
def test_what_a_solid_hedge_takes_falls_on_its_top_and_its_walls(latitude, bearing, east, north):
    light = year(latitude, SOLID, [bearing], gradient=(east, north))

    taken = light.beam_share[0] * light.beam_mj_m2
    top = light.beam_mj_m2 * SOLID.width_m / SOLID.row_width_m
    walls = light.wall_mj_m2[0].sum(axis=0) * SOLID.height_m / SOLID.row_width_m

    is_lit = light.beam_mj_m2 > 0.0
    np.testing.assert_allclose(taken[is_lit], (top + walls)[is_lit], atol=1e-9)


@pytest.mark.published(
    source="crossed-strings rule (Hottel 1954), width 0.5, height 1.2, rows 2.5 m",
    quantity="share of a uniform sky's light taken by solid rows", unit="",
)  # fmt: skip
def test_the_light_of_the_sky_is_that_of_the_crossed_strings(published):
    exact = 1.0 - (np.hypot(2.0, 1.2) - 1.2) / 2.5

    # The sky is taken in 768 pieces.
    published.equal(sky_interception(SOLID, [20.0])[0], printed=round(exact, 4), tolerance=0.0005)


def test_the_sky_is_the_same_for_every_bearing_on_level_ground():
    share = sky_interception(LEAFY, np.arange(0.0, 180.0, 7.0))

    assert np.ptp(share) == 0.0
    almost = sky_interception(LEAFY, np.arange(0.0, 180.0, 7.0), gradient=(1e-9, 0.0))
    assert np.abs(almost - share).max() < 2e-3


@pytest.mark.parametrize("hedge", [SOLID, LEAFY], ids=["solid", "leafy"])
def test_the_sky_on_a_slope_is_the_same_for_one_bearing_and_among_many(hedge):
    bearings = np.arange(0.0, 180.0, 4.0)
    slope = (0.25, -0.1)

    many = sky_interception(hedge, bearings, gradient=slope)

    alone = [sky_interception(hedge, [bearing], gradient=slope)[0] for bearing in bearings]
    np.testing.assert_allclose(many, alone, atol=1e-3)


def test_a_slope_gets_the_beam_of_its_inclined_plane():
    slope, facing = 0.2, 340.0
    gradient = (-slope * np.sin(np.radians(facing)), -slope * np.cos(np.radians(facing)))
    elevation, azimuth = 40.0, 30.0

    drop, _ = rays(elevation, azimuth, 0.0, gradient=gradient)

    tilt = np.degrees(np.arctan(slope))
    cosine = incidence_cosine(elevation, azimuth, slope_deg=tilt, facing_deg=facing)
    assert drop == pytest.approx(cosine / np.cos(np.radians(tilt)))
    assert open_sky_share(gradient) == pytest.approx(
        (1.0 + np.cos(np.radians(tilt))) / 2.0 / np.cos(np.radians(tilt))
    )


def test_on_a_slope_rays_meet_the_same_hedges_as_a_ray_followed_by_hand():
    # Rows due north on ground rising 0.25 to the east; the sun due east: it comes in flatter
    # over the ground than over the level, so the shadow downhill is longer.
    drop, across = rays(45.0, 90.0, 0.0, gradient=(0.25, 0.0))

    share = SOLID.interception(drop, np.abs(across))

    # Top at height 1.2 over a foot at x = 0; the ray falls 1 a metre going west, the ground
    # falls 0.25 a metre: they meet after 1.2 / 0.75 m.
    assert share == pytest.approx((0.5 + 1.2 / 0.75) / 2.5)


@given(latitude=st.floats(-55.0, 55.0), bearing=st.floats(0.0, 179.9),
       east=st.floats(-0.2, 0.2), north=st.floats(-0.2, 0.2))  # fmt: skip
def test_a_row_turned_half_round_and_its_mirror_in_the_morning_agree(
    latitude, bearing, east, north
):
    ours = year(latitude, LEAFY, [bearing], gradient=(east, north))
    turned = year(latitude, LEAFY, [bearing + 180.0], gradient=(east, north))
    mirrored = year(latitude, LEAFY, [-bearing], gradient=(-east, north))

    np.testing.assert_allclose(turned.daily_share(), ours.daily_share(), atol=1e-6)
    np.testing.assert_allclose(mirrored.daily_share(), ours.daily_share(), atol=1e-6)
    np.testing.assert_allclose(
        mirrored.on_walls(np.ones(12), when="morning"),
        ours.on_walls(np.ones(12), when="afternoon")[:, ::-1], atol=1e-6,
    )  # fmt: skip


@pytest.mark.parametrize("bearing", [0.0, 30.0, 90.0, 140.0])
def test_the_other_hemisphere_half_a_year_on_is_a_mirror(bearing):
    south = year(-34.0, LEAFY, [bearing]).share(GROWING_SOUTH)
    north = year(34.0, LEAFY, [180.0 - bearing]).share(GROWING_NORTH)

    # The earth's year is not quite even: a per cent or two.
    assert north == pytest.approx(south, abs=0.02)


def test_hours_days_and_seasons_are_means_of_one_another():
    light = year(-34.0, LEAFY, [10.0, 70.0])
    energy = light.beam_mj_m2 + light.sky_mj_m2

    hourly = np.nan_to_num(light.hourly_share())

    by_day = (hourly * energy).sum(axis=2) / energy.sum(axis=1)
    np.testing.assert_allclose(by_day, light.daily_share())
    season = (by_day * energy.sum(axis=1) * GROWING_SOUTH).sum(axis=1) / (
        energy.sum(axis=1) * GROWING_SOUTH
    ).sum()
    np.testing.assert_allclose(season, light.share(GROWING_SOUTH))


def test_polar_night_has_no_share():
    light = year(80.0, SOLID, [0.0])

    assert np.isnan(light.daily_share()[0, 0])
    assert np.isfinite(light.daily_share()[0, 5])
