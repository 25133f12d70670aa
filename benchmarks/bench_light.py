"""Light on rows of every bearing through a year, beside its limit."""

import time

import numpy as np

from aanplant.site.light import Hedge, row_light
from aanplant.site.sky import clear_sky, hours
from aanplant.site.sunlight import DAYS_IN_MONTH, MID_MONTH_DAYS
from benchmarks.timing import Result

LIMIT_S = 0.3
BEARINGS_DEG = np.arange(180.0)
LEAFY = Hedge(2.5, 1.2, 0.5, 1.5, 0.2)


def results():
    """Yield one line for level ground and one for a slope."""
    yield _year("level ground", (0.0, 0.0))
    yield _year("a slope", (0.1, -0.05))


def _year(ground, gradient):
    seconds = []
    for _ in range(5):
        start = time.perf_counter()
        reckoned(gradient)
        seconds.append(time.perf_counter() - start)
    share, walls = reckoned(gradient)
    assert share.shape == (180,)
    assert walls.shape == (180, 2)
    note = f"leafy rows and both walls, {share.min():.3f} to {share.max():.3f} taken"
    work = f"light, 180 bearings x 12 months x 24 h, {ground}"
    return Result(work, "limit", min(seconds), LIMIT_S, 1, note)


def reckoned(gradient):
    """Share of the year's light taken, and afternoon sun on the fruit."""
    sky = clear_sky(-33.93, MID_MONTH_DAYS, hours())
    light = row_light(sky, LEAFY, BEARINGS_DEG, gradient=gradient)
    share = light.share(DAYS_IN_MONTH)
    return share, light.on_walls(DAYS_IN_MONTH, when="afternoon", at="fruit")
