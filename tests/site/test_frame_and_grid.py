"""The block's own grid is true to the ground, and the set-out grid puts points where they are."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import CRS, Geod, Transformer

from aanplant.errors import InputError
from aanplant.site.frame import Frame
from aanplant.site.grid import choose_grid

GEOD = Geod(ellps="WGS84")


@given(
    longitude=st.floats(-179, 179), latitude=st.floats(-65, 65),
    bearing=st.floats(0, 360), distance=st.floats(1, 1500),
)  # fmt: skip
def test_distances_and_bearings_in_the_frame_are_those_on_the_ellipsoid(
    longitude, latitude, bearing, distance
):
    frame = Frame(longitude, latitude)
    x, y = distance * np.sin(np.radians(bearing)), distance * np.cos(np.radians(bearing))

    (there,) = frame.to_lonlat([[x, y]])

    azimuth, _, length = GEOD.inv(longitude, latitude, *there)
    assert length == pytest.approx(distance, abs=1e-4)
    assert (azimuth - bearing + 180) % 360 - 180 == pytest.approx(0, abs=0.01)


def test_heights_stretch_the_grid_by_one_plus_height_over_radius():
    low, high = Frame(18.9, -33.9), Frame(18.9, -33.9, 637.1)
    lonlat = low.to_lonlat([[1000.0, 0.0]])

    assert high.from_lonlat(lonlat)[0, 0] == pytest.approx(1000.1, abs=1e-4)


@pytest.mark.parametrize(
    ("code", "longitude", "latitude"),
    [
        ("EPSG:2048", 18.8602, -33.9321),
        ("EPSG:2053", 28.28, -25.73),
        ("EPSG:32734", 18.8602, -33.9321),
        ("EPSG:32610", -120.43, 46.21),
        ("EPSG:27700", -1.2, 52.1),
        ("EPSG:31467", 8.6, 49.1),
        ("EPSG:2193", 172.5, -43.5),
        ("EPSG:28354", 138.9, -34.5),
    ],
)
def test_set_out_coordinates_lead_back_to_the_same_place(code, longitude, latitude):
    frame = Frame(longitude, latitude)
    grid = choose_grid(code, frame, "estate.toml: grid")
    xy = np.array([[0.0, 0.0], [150.0, -80.0], [-220.0, 310.0]])

    back = Transformer.from_crs(CRS(code), "EPSG:4326", always_xy=True)
    lonlat = np.column_stack(back.transform(*grid.from_frame(xy).T))

    assert frame.from_lonlat(lonlat) == pytest.approx(xy, abs=1e-3)


@pytest.mark.published(
    source="EPSG:2048 and EPSG:32734 by PROJ 9.5.1, EPSG v11.022",
    quantity="set-out coordinates", unit="m",
)  # fmt: skip
def test_set_out_coordinates_of_a_known_point(published):
    frame = Frame(18.8602, -33.9321)
    westing, southing = choose_grid("EPSG:2048", frame, "").from_frame([[0.0, 0.0]])[0]
    easting, northing = choose_grid("EPSG:32734", frame, "").from_frame([[0.0, 0.0]])[0]

    published.equal(westing, printed=12925.6651, tolerance=1e-3, label="Lo19 Y")
    published.equal(southing, printed=3756138.6563, tolerance=1e-3, label="Lo19 X")
    published.equal(easting, printed=302219.5559, tolerance=1e-3, label="UTM 34S E")
    published.equal(northing, printed=6243310.4367, tolerance=1e-3, label="UTM 34S N")


@pytest.mark.published(
    source="EPSG:2048 and EPSG:32734 by PROJ 9.5.1",
    quantity="grid convergence", unit="deg",
)  # fmt: skip
def test_convergence_and_scale_of_a_known_point(published):
    frame = Frame(18.8602, -33.9321)
    local, utm = (choose_grid(code, frame, "") for code in ("EPSG:2048", "EPSG:32734"))

    published.equal(local.convergence_deg, printed=0.078038, tolerance=1e-5, label="Lo19")
    published.equal(utm.convergence_deg, printed=1.194846, tolerance=1e-5, label="UTM 34S")
    assert local.scale_factor == pytest.approx(1.000002059, abs=1e-8)
    assert utm.scale_factor == pytest.approx(1.000082236, abs=1e-8)


def test_a_westing_southing_grid_is_named_and_drawn_as_its_surveyors_do():
    grid = choose_grid("EPSG:2048", Frame(18.8602, -33.9321), "")
    here, east, north = grid.drawing_from_frame([[0, 0], [10, 0], [0, 10]])

    assert grid.axis_names == ("Y_westing_m", "X_southing_m")
    assert (east - here)[0] == pytest.approx(10, abs=0.01)
    assert (north - here)[1] == pytest.approx(10, abs=0.01)


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("EPSG:2053", "area of use"),
        ("EPSG:4326", "projected"),
        ("EPSG:2229", "metres"),
        ("EPSG:999999", "known grid"),
        ("Lo19", "known grid"),
    ],
)
def test_a_grid_that_cannot_serve_is_refused(code, expected):
    with pytest.raises(InputError, match=expected):
        choose_grid(code, Frame(18.86, -33.93), "estate.toml: grid")


@pytest.mark.parametrize(
    ("longitude", "latitude", "code"),
    [
        (18.86, -33.93, "EPSG:32734"),
        (-120.4, 46.2, "EPSG:32610"),
        (179.99, 1, "EPSG:32660"),
        (-180, -1, "EPSG:32701"),
    ],
)  # fmt: skip
def test_without_a_grid_the_utm_zone_serves(longitude, latitude, code):
    assert choose_grid("", Frame(longitude, latitude), "").code == code
