"""The table of land and sea, against places one can look up in any atlas."""

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files.land import across_date_line, check_on_land, is_land
from aanplant.tables import rows

# Degrees from an atlas: towns of wine-growing countries, small islands among them.
LAND = {
    "Stellenbosch": (18.86, -33.93),
    "Santorini": (25.43, 36.39),
    "Pico": (-28.40, 38.47),
    "Lanzarote": (-13.63, 29.04),
    "Waiheke": (175.10, -36.80),
    "Mendoza": (-68.84, -32.89),
    "Napa": (-122.29, 38.30),
    "Baku": (49.87, 40.41),
}
SEA = {
    "middle of the South Atlantic": (-15.0, -30.0),
    "Stellenbosch, swapped": (-33.93, 18.86),
    "Mendoza, swapped": (-32.89, -68.84),
    "North Pole": (0.0, 90.0),
    "date line": (180.0, 30.0),
}


@pytest.mark.parametrize("name", LAND)
def test_towns_lie_on_land(name):
    assert is_land(*LAND[name])


@pytest.mark.parametrize("name", SEA)
def test_the_open_sea_is_no_land(name):
    assert not is_land(*SEA[name])


def test_land_covers_about_three_tenths_of_the_earth():
    # 29.2 % of the earth is land (CIA World Factbook); squares with any coast count whole.
    latitudes, longitudes = np.arange(-89.5, 90), np.arange(-179.5, 180)
    land = np.array([[is_land(x, y) for x in longitudes] for y in latitudes])

    share = np.average(land.mean(axis=1), weights=np.cos(np.radians(latitudes)))

    assert 0.30 < share < 0.42


def test_the_table_has_every_degree_of_latitude_once_with_its_source():
    table = rows("land.csv")

    assert [int(row["south_deg"]) for row in table] == list(range(-90, 90))
    assert {(row["source"], row["certainty"]) for row in table} == {("globe", "published")}


def test_a_field_at_sea_is_refused_with_its_place():
    with pytest.raises(InputError, match=r"latitude -30\.000000, longitude -15.*on land"):
        check_on_land(np.array([[-15.0, -30.0]]), "field.kml")


def test_a_field_across_the_date_line_is_one_field():
    taveuni = np.array([[179.9986, -16.83], [-179.9986, -16.83], [-179.9986, -16.828]])

    check_on_land(taveuni, "field.kml")

    assert np.ptp(across_date_line(taveuni)[:, 0]) == pytest.approx(0.0028)
    np.testing.assert_array_equal(across_date_line(taveuni[1:]), taveuni[1:])
