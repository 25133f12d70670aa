"""What a soil feels like in the hand, from its sand, silt and clay: the twelve USDA classes.

The classes are written twice, as rules and as outlines on the texture triangle; the
tests hold one against the other.
"""

# ruff: noqa: PLR2004 - the limits of the classes are the rules themselves

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import Polygon

from aanplant.tables import rows

CLASSES = (
    "sand",
    "loamy sand",
    "sandy loam",
    "loam",
    "silt loam",
    "silt",
    "sandy clay loam",
    "clay loam",
    "silty clay loam",
    "sandy clay",
    "silty clay",
    "clay",
)
WHOLE_PCT = 100.0
ROUNDING_PCT = 1e-6
"""Sand and clay may add to this much over 100, from their last bits."""


def texture_class(sand_pct: float, clay_pct: float) -> str:
    """Name the texture class of one soil.

    Parameters
    ----------
    sand_pct, clay_pct : float
        Of the fine earth, by weight; the rest is silt. [%]

    Raises
    ------
    ValueError
        If they are no shares of a whole.
    """
    return str(texture_classes(sand_pct, clay_pct)[()])


def texture_classes(sand_pct: ArrayLike, clay_pct: ArrayLike) -> NDArray[np.str_]:
    """Name the texture classes of many soils by the rules of the USDA.

    Parameters
    ----------
    sand_pct, clay_pct : array_like
        Of the fine earth, by weight, of shapes that broadcast; the rest is silt. [%]

    Returns
    -------
    ndarray of str
        One of ``CLASSES`` each, in the broadcast shape.

    Raises
    ------
    ValueError
        If they are no shares of a whole.

    References
    ----------
    .. [1] Soil Science Division Staff (2017), Soil Survey Manual, USDA Handbook 18, ch. 3.
    """
    sand, clay = _shares(sand_pct, clay_pct)
    silt = WHOLE_PCT - sand - clay
    # The first rule that holds names the soil; together they leave no gap.
    rules = [
        (silt + 1.5 * clay < 15, "sand"),
        (silt + 2 * clay < 30, "loamy sand"),
        (((clay >= 7) & (clay < 20) & (sand > 52)) | ((clay < 7) & (silt < 50)), "sandy loam"),
        ((clay >= 7) & (clay < 27) & (silt >= 28) & (silt < 50) & (sand <= 52), "loam"),
        ((silt >= 80) & (clay < 12), "silt"),
        ((silt >= 50) & (clay < 27), "silt loam"),
        ((clay >= 20) & (clay < 35) & (silt < 28) & (sand > 45), "sandy clay loam"),
        ((clay >= 27) & (clay < 40) & (sand > 20) & (sand <= 45), "clay loam"),
        ((clay >= 27) & (clay < 40) & (sand <= 20), "silty clay loam"),
        ((clay >= 35) & (sand > 45), "sandy clay"),
        ((clay >= 40) & (silt >= 40), "silty clay"),
    ]
    return np.select([rule for rule, _ in rules], [name for _, name in rules], default="clay")


@cache
def outlines() -> dict[str, Polygon]:
    """Return the outline of each class on the texture triangle, (sand, clay). [%]."""
    return {
        row["class"]: Polygon(
            [
                tuple(float(part) for part in corner.split())
                for corner in row["outline_sand_clay_pct"].split("|")
            ]
        )
        for row in rows("texture_classes.csv")
    }


@cache
def middles() -> dict[str, tuple[float, float]]:
    """Return the sand and clay that stand for each class where only its name is known. [%].

    References
    ----------
    .. [1] Saxton, Rawls (2006), Soil Sci. Soc. Am. J. 70: 1569-1578, table 3.
    """
    return {
        row["class"]: (float(row["middle_sand_pct"]), float(row["middle_clay_pct"]))
        for row in rows("texture_classes.csv")
    }


def _shares(
    sand_pct: ArrayLike, clay_pct: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    sand, clay = np.broadcast_arrays(
        np.asarray(sand_pct, dtype=np.float64), np.asarray(clay_pct, dtype=np.float64)
    )
    if not np.all((sand >= 0) & (clay >= 0) & (sand + clay <= WHOLE_PCT + ROUNDING_PCT)):
        raise ValueError("sand_pct and clay_pct must be shares that add to at most 100")
    return sand, clay
