"""The mends of an anchor that does not hold, and the lighter anchors of short rows."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief.ends import EndRules
from aanplant.trellis.anchors import AnchorSoil, helix_n
from aanplant.trellis.ends import Floats, RowPull, above_0

DEEPEST_DM = 25.0
"""Tenths of a metre to which helices are screwed for trellises; common practice, no source."""
HELIX_SIZES_MM = (100.0, 150.0, 200.0, 250.0, 300.0)
"""Helices the trade sells; common practice, no source."""


def short_rows_that_hold(
    rules: EndRules, tie_n: Floats, length_m: Floats, soil: AnchorSoil
) -> NDArray[np.bool_]:
    """Find the short rows whose lighter helix holds their tie, if they may have one."""
    allowed = helix_n(rules.lighter_helix, rules.anchor_depth, soil) / rules.factor_of_safety
    short = rules.lighter_short_rows & (length_m <= rules.short_row)
    return np.asarray(short & (tie_n <= allowed))


def smallest_helix_mm(rules: EndRules, tie_n: Floats, soil: AnchorSoil) -> Floats:
    """Find the smallest helix of the trade that holds each tie; nan where none does. [mm]."""
    sizes = np.array(HELIX_SIZES_MM)
    allowed = helix_n(sizes, rules.anchor_depth, soil) / rules.factor_of_safety
    place = np.searchsorted(np.maximum.accumulate(allowed), tie_n)
    return np.append(sizes, np.nan)[place]


def helix_and_depth(rules: EndRules, tie_n: Floats, soil: AnchorSoil) -> tuple[float, float] | None:
    """Find the helix of the trade that holds every tie from the least depth, no smaller than asked.

    Returns
    -------
    tuple of float, or None
        Its diameter [mm] and depth [m]; None where none holds as deep as is screwed by machine.
    """
    sizes = [size for size in HELIX_SIZES_MM if size >= rules.helix_diameter]
    for depth_m in np.arange(np.ceil(rules.anchor_depth * 10.0), DEEPEST_DM + 1.0) / 10.0:
        for size_mm in sizes:
            held = helix_n(size_mm, depth_m, soil) / rules.factor_of_safety
            if float(np.max(tie_n)) <= float(held):
                return size_mm, float(depth_m)
    return None


def least_distance_m(
    pull: RowPull, tie_height_m: ArrayLike, allowed_n: ArrayLike, lean_deg: ArrayLike = 0.0
) -> Floats:
    """Find how far out an anchor must stand so that its tie pulls no more than allowed. [m].

    The tie passes the foot at d = M / allowed: a = d (h2 + k2) / (h sqrt(h2 + k2 - d2) + d k)
    with k = h tan(lean). No distance does, and nan comes back, where d is past the length of
    the post up to the tie.

    Parameters
    ----------
    pull, tie_height_m, lean_deg
        As for `ends.tie_back`.
    allowed_n : array_like
        Pull the anchor may carry. [N]
    """
    height = above_0("tie_height_m", tie_height_m)
    out = height * np.tan(np.radians(np.asarray(lean_deg, np.float64)))
    past = pull.moment_nm / above_0("allowed_n", allowed_n)
    post2 = height**2 + out**2
    under = np.where(past**2 < post2, post2 - past**2, np.nan)
    return np.asarray(past * post2 / (height * np.sqrt(under) + past * out))
