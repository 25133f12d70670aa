"""Grids against published coordinates, and places that can't be right."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import CRS, Transformer

from aanplant.errors import InputError
from aanplant.files.grids import crs_from_text, is_south_orientated, name_of, to_lonlat

ARC_SECOND_DEG = 1 / 3600


def located(x, y, grid):
    crs = crs_from_text(grid, "test")
    return to_lonlat(np.array([[x, y]]), crs, "test").lonlat[0]


def dms(degrees, minutes, seconds):
    return degrees + minutes / 60 + seconds / 3600


@pytest.mark.published(
    source="OGP Geomatics Guidance Note 7-2, Transverse Mercator (South Orientated), "
    "Hartebeesthoek94 / Lo29, printed point recalled from memory",
    quantity="place of westing 71984.49, southing 2847342.74",
    unit="arc-second",
)
def test_the_printed_point_in_lo29_comes_out_at_its_printed_degrees(published):
    longitude, latitude = located(71984.49, 2847342.74, "EPSG:2053")

    # A centimetre in the grid is 3.3e-4 seconds of latitude, 3.6e-4 of longitude.
    published.equal(
        latitude / ARC_SECOND_DEG,
        printed=-dms(25, 43, 55.302) / ARC_SECOND_DEG,
        tolerance=5e-4,
        label="latitude",
    )
    published.equal(
        longitude / ARC_SECOND_DEG,
        printed=dms(28, 16, 57.479) / ARC_SECOND_DEG,
        tolerance=5e-4,
        label="longitude",
    )


# Computed beforehand through PROJ, so they don't check the formula (Redfearn below does),
# but that no axis is turned or swapped on the way through our reader.
KNOWN = [
    ("EPSG:2048", 12925.6651, 3756138.6563, 18.8602, -33.9321),
    ("EPSG:2048", -81080.2489, 3742077.1224, 19.8756, -33.8023),
    ("EPSG:2048", 0.0, 3752569.2938, 19.0, -33.9),
    ("EPSG:32734", 302219.5559, 6243310.4367, 18.8602, -33.9321),
    ("EPSG:32734", 395921.5970, 6259196.0633, 19.8756, -33.8023),
    ("EPSG:32734", 315073.8836, 6247131.1339, 19.0, -33.9),
]


@pytest.mark.parametrize(("grid", "x", "y", "longitude", "latitude"), KNOWN)
def test_points_known_in_two_grids_come_out_at_one_place(grid, x, y, longitude, latitude):
    assert located(x, y, grid) == pytest.approx([longitude, latitude], abs=1e-9)


def by_redfearn(longitude, latitude, central_meridian, scale=1.0):
    """Transverse Mercator by Redfearn's series (1948), the textbook form; easting, northing."""
    a, f = 6378137.0, 1 / 298.257223563
    e2 = f * (2 - f)
    phi, dl = np.radians(latitude), np.radians(longitude - central_meridian)
    s, c, t = np.sin(phi), np.cos(phi), np.tan(phi)
    nu = a / np.sqrt(1 - e2 * s**2)
    rho = a * (1 - e2) / (1 - e2 * s**2) ** 1.5
    psi = nu / rho
    a0 = 1 - e2 / 4 - 3 * e2**2 / 64 - 5 * e2**3 / 256
    a2 = 3 / 8 * (e2 + e2**2 / 4 + 15 * e2**3 / 128)
    a4 = 15 / 256 * (e2**2 + 3 * e2**3 / 4)
    a6 = 35 * e2**3 / 3072
    m = a * (a0 * phi - a2 * np.sin(2 * phi) + a4 * np.sin(4 * phi) - a6 * np.sin(6 * phi))
    w = dl * c
    east = (
        nu
        * w
        * (
            1
            + w**2 / 6 * (psi - t**2)
            + w**4
            / 120
            * (4 * psi**3 * (1 - 6 * t**2) + psi**2 * (1 + 8 * t**2) - 2 * psi * t**2 + t**4)
        )
    )
    north = m + nu * s * c * dl**2 / 2 * (1 + w**2 / 12 * (4 * psi**2 + psi - t**2))
    return scale * east, scale * north


@pytest.mark.parametrize("code", range(2046, 2056))
def test_every_lo_grid_agrees_with_the_textbook_series(code):
    # Redfearn (1948), Survey Review 9; to a millimetre or so within a degree.
    meridian = 15 + 2 * (code - 2046)
    area = CRS.from_epsg(code).area_of_use
    assert area is not None
    longitude, latitude = meridian + 0.4, (area.south + area.north) / 2

    east, north = by_redfearn(longitude, latitude, meridian)

    assert located(-east, -north, f"EPSG:{code}") == pytest.approx([longitude, latitude], abs=2e-7)


@given(
    longitude=st.floats(18.0, 20.0), latitude=st.floats(-34.8, -28.4), sign=st.sampled_from([1, -1])
)
def test_a_lo_point_comes_back_whichever_sign_the_file_holds(longitude, latitude, sign):
    to_grid = Transformer.from_crs(4326, 2048, always_xy=True)
    point = sign * np.array([to_grid.transform(longitude, latitude)])

    found = to_lonlat(point, crs_from_text("EPSG:2048", "test"), "test")

    assert found.lonlat[0] == pytest.approx([longitude, latitude], abs=1e-9)
    assert found.is_negated is (sign == -1)


@pytest.mark.parametrize("code", [2048, 22279, 32734, 2193, 31467, 4326])
def test_a_grid_spelled_out_in_full_is_recognised(code):
    written = CRS.from_epsg(code).to_wkt("WKT1_ESRI")

    crs = crs_from_text(written, "field.prj")

    assert name_of(crs) == f"EPSG:{code}"
    assert crs.area_of_use is not None


def test_only_the_lo_grids_count_west_and_south():
    assert is_south_orientated(crs_from_text("EPSG:2048", "test"))
    assert not is_south_orientated(crs_from_text("EPSG:32734", "test"))
    assert not is_south_orientated(crs_from_text("EPSG:31467", "test"))


def test_a_grid_across_the_date_line_holds_both_its_sides():
    # NZGD2000, EPSG:4167: New Zealand with the Chatham Islands, 160.6 E to 171.2 W.
    for longitude in (174.0, -176.5):
        assert located(longitude, -43.9, "EPSG:4167") == pytest.approx([longitude, -43.9])

    with pytest.raises(InputError, match="is it the right grid"):
        located(150.0, -34.0, "EPSG:4167")


@pytest.mark.parametrize(
    ("x", "y", "grid", "said"),
    [
        (3756138.7, 12925.7, "EPSG:2048", "aren't the two coordinates swapped"),
        (18.86, -33.93, "EPSG:2048", "These look like degrees"),
        (12925.7, 2756138.7, "EPSG:2048", "South Africa - onshore between 18°E and 20°E"),
        (np.nan, 3756138.7, "EPSG:2048", "finite coordinates"),
        (18.86, np.inf, "EPSG:4326", "finite coordinates"),
        (0.0, 0.0, "EPSG:4326", "a receiver without a fix"),
        (166_021.44, 0.0, "EPSG:32631", "a receiver without a fix"),
        (1e30, 1e30, "EPSG:32734", "no place in EPSG:32734"),
    ],
)
def test_a_place_that_cannot_be_right_is_refused_with_a_hint(x, y, grid, said):
    with pytest.raises(InputError) as caught:
        located(x, y, grid)

    assert said in str(caught.value)
