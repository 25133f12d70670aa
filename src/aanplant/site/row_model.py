"""How much sunlight a hedge of vines takes: the geometry of rows, solid or leafy.

The sun comes in by two numbers, which together with the row geometry are all that
matters: ``drop`` is how far a ray falls towards the ground over a length of 1, and
``across`` how far it moves square to the rows meanwhile. On level ground they are
sin(elevation) and cos(elevation) |sin(azimuth - bearing)|. On a slope the ground is
sheared flat, upright lines staying upright: hedges stay hedges of the same height,
width and leaf area, and the drop becomes the ray's fall less the ground's (see
``light.rays``). Nothing is approximated by that, as long as the ground is a plane.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]

LEAF_PROJECTION = 0.5
"""Shadow of a unit of leaf turned every way alike (spherical leaf angles)."""
_ROUNDING = 1e-14
"""Ways through leaves shorter than this share of a row width are what rounding leaves of none."""
_LEAST_TILT = 1e-7
"""Rays less tilted than this across the row pass it upright, to eight digits."""


def solid_interception(
    drop: ArrayLike,
    across: ArrayLike,
    *,
    row_width_m: ArrayLike,
    canopy_height_m: ArrayLike,
    canopy_width_m: ArrayLike,
) -> Numbers:
    """Share of the direct light taken by a hedge that lets nothing through. [-].

    The hedge's width and the reach of its shadow over the row width:
    min(1, (w + h across / drop) / D); 0 while the sun is down or behind the slope.
    """
    width, height, thick = _checked(row_width_m, canopy_height_m, canopy_width_m)
    drop = np.asarray(drop, dtype=np.float64)
    up = np.where(drop > 0.0, drop, np.inf)
    share = np.minimum(1.0, (thick + height * (np.asarray(across) / up)) / width)
    return np.asarray(np.where(drop > 0.0, share, 0.0))


def porous_interception(
    drop: ArrayLike,
    across: ArrayLike,
    *,
    row_width_m: ArrayLike,
    canopy_height_m: ArrayLike,
    canopy_width_m: ArrayLike,
    leaf_area_index: ArrayLike,
) -> Numbers:
    """Share of the direct light taken by a hedge of evenly spread leaves. [-].

    1 - mean over x of exp(-G rho s(x)), where s(x) is the ray's way through leaves, summed
    over all rows it crosses, rho = LAI D / (h w) the leaf area in a volume of hedge, and
    x where the ray enters. s is linear between the four x at which a ray enters or leaves at
    an edge, so the mean is exact.

    References
    ----------
    .. [1] Monsi, Saeki (1953), Japanese Journal of Botany 14, 22-52, for the exponential; the
       way through the rows is geometry.
    """
    width, height, thick = _checked(row_width_m, canopy_height_m, canopy_width_m)
    drop = np.asarray(drop, dtype=np.float64)
    is_up = drop > 0.0
    drop = np.where(is_up, drop, 1.0)
    tilt = np.maximum(np.asarray(across) / drop, _LEAST_TILT)
    depth = LEAF_PROJECTION * np.asarray(leaf_area_index) * width / (height * thick) / drop
    reach = tilt * height
    past = reach % width
    whole = (reach - past) / width * thick
    # Where rays enter: at the hedge's two sides, and where they leave at one of them.
    leave_low, leave_high = width - past, (thick - past) % width
    first = np.minimum(np.minimum(leave_low, leave_high), thick)
    last = np.maximum(np.maximum(leave_low, leave_high), thick)
    middle = leave_low + leave_high + thick - first - last
    edges = (np.zeros_like(reach), first, middle, last, width + np.zeros_like(reach))
    way = []
    for x in edges:
        met = whole + _covered(x + past, width, thick) - _covered(x, width, thick)
        way.append(np.where(met > _ROUNDING * width, met, 0.0) / tilt)
    through = sum(
        (to - start) * _mean_of_exponential(depth * way_from, depth * way_to)
        for start, to, way_from, way_to in zip(edges, edges[1:], way, way[1:], strict=False)
    )
    return np.asarray(np.where(is_up, 1.0 - through / width, 0.0))


def lit_depth_m(
    drop: ArrayLike, across: ArrayLike, row_width_m: ArrayLike, canopy_width_m: ArrayLike
) -> Numbers:
    """How far down from its top a wall is lit past the row beside it. [m].

    (D - w) drop / across, however tall the hedge; the rest is in the neighbour's shade.
    The neighbour counts as solid. Infinite for a sun along the row, 0 for none.
    """
    drop, across = np.maximum(drop, 0.0), np.asarray(across, dtype=np.float64)
    alley = np.asarray(row_width_m) - np.asarray(canopy_width_m)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(across > 0.0, alley * drop / across, np.inf))


def wall_sky_share(
    row_width_m: ArrayLike, canopy_height_m: ArrayLike, canopy_width_m: ArrayLike
) -> Numbers:
    """Share of a uniform sky's light, as on open level ground, that falls on a wall. [-].

    Mean over the wall of long rows, by the crossed-strings rule.

    References
    ----------
    .. [1] Hottel (1954), in McAdams, Heat Transmission, 3rd ed., ch. 4.
    """
    width, height, thick = _checked(row_width_m, canopy_height_m, canopy_width_m)
    alley = width - thick
    return np.asarray((height + alley - np.hypot(alley, height)) / (2.0 * height))


def fruit_sky_share(
    row_width_m: ArrayLike, canopy_width_m: ArrayLike, depth_m: ArrayLike
) -> Numbers:
    """Share of a uniform sky's light that falls on a wall at a depth below its top. [-].

    Half of one less the sine of the elevation of the neighbour's top.
    """
    alley = np.asarray(row_width_m) - np.asarray(canopy_width_m)
    depth = np.asarray(depth_m, dtype=np.float64)
    far = np.hypot(alley, depth)
    return np.asarray(0.5 * (1.0 - depth / np.where(far > 0.0, far, np.inf)))


def _checked(*measures: ArrayLike) -> list[Numbers]:
    """Row width, canopy height and canopy width as arrays, if they make a hedge."""
    width, height, thick = (np.asarray(measure, dtype=np.float64) for measure in measures)
    if not (np.all(height > 0.0) and np.all(thick > 0.0) and np.all(width >= thick)):
        raise ValueError(
            "a hedge needs a height and a width above 0, and a row at least as wide; "
            f"got height {height}, width {thick}, row width {width}"
        )
    return [width, height, thick]


def _covered(x: Numbers, width: Numbers, thick: Numbers) -> Numbers:
    """How much of the way from 0 to x, at most two row widths, lies in hedges."""
    rest = np.where(x >= width, x - width, x)
    return np.asarray(np.where(x >= width, thick, 0.0) + np.minimum(rest, thick))


def _mean_of_exponential(a: Numbers, b: Numbers) -> Numbers:
    """Mean of exp(-s) while s runs evenly from a to b."""
    low, span = np.minimum(a, b), np.abs(b - a)
    is_flat = span < 1e-9  # noqa: PLR2004 - where the quotient has lost its digits
    safe = np.where(is_flat, 1.0, span)
    return np.asarray(np.exp(-low) * np.where(is_flat, 1.0, -np.expm1(-safe) / safe))
