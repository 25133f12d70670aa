"""Tell land from open sea, one degree at a time: swapped coordinates often end up at sea."""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.files.grids import place
from aanplant.tables import rows


def check_on_land(lonlat: NDArray[np.float64], where: str) -> None:
    """Refuse a place in the open sea.

    Parameters
    ----------
    lonlat : ndarray, shape (n, 2)
        Longitude, latitude; their middle is looked at. [deg]
    where : str
        File, for messages.

    Raises
    ------
    InputError
        If there is no land within the degree square of the middle.
    """
    middle = across_date_line(lonlat).mean(axis=0)
    longitude, latitude = middle
    if is_land(longitude, latitude):
        return
    expected = "a field on land; is it the right grid?"
    if abs(longitude) <= 90.0 and is_land(latitude, longitude):  # noqa: PLR2004 - the pole
        expected = "longitude first, then latitude: the two seem to be swapped"
    raise InputError(where, f"a field at {place(middle)}, in the open sea", expected)


def across_date_line(lonlat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Count longitudes on from 180 where points lie on both sides of the date line. [deg]."""
    if not len(lonlat) or np.ptp(lonlat[:, 0]) <= 180.0:  # noqa: PLR2004 - half way round
        return lonlat
    west = lonlat[:, 0] < 0.0
    return np.column_stack([lonlat[:, 0] + 360.0 * west, lonlat[:, 1:]])


def is_land(longitude_deg: float, latitude_deg: float) -> bool:
    """Say whether the degree square round a place holds any land, lakes counted as land."""
    column = int(np.floor(longitude_deg + 180.0)) % 360
    row = min(int(np.floor(latitude_deg + 90.0)), 179)
    return bool(_land()[row, column])


@cache
def _land() -> NDArray[np.bool_]:
    """Return degree squares with land, shape (180, 360), from the south and 180 W."""
    land = np.zeros((180, 360), dtype=bool)
    for row in rows("land.csv"):
        for run in row["land_deg"].split():
            west, _, east = run.partition("..")
            land[int(row["south_deg"]) + 90, int(west) + 180 : int(east) + 180] = True
    return land
