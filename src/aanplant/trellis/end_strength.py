"""Whether the parts of a row's end are stout enough: struts and rails bow, end posts bend."""

import numpy as np
from numpy.typing import ArrayLike

from aanplant.trellis.ends import Floats, above_0, row_pull

TIMBER_STIFFNESS_PA = 9.0e9
"""Mean of softwood poles, SANS 457-2, as a paper in Southern Forests (2024) quotes it."""


def euler_load_n(
    diameter_mm: ArrayLike, length_m: ArrayLike, stiffness_pa: ArrayLike = TIMBER_STIFFNESS_PA
) -> Floats:
    """Push at which a round strut or rail, pinned at both ends, bows out: pi2 E I / L2. [N].

    Raises
    ------
    ValueError
        If a diameter, length or stiffness is not above 0.
    """
    diameter = above_0("diameter_mm", diameter_mm) / 1000.0
    length = above_0("length_m", length_m)
    inertia = np.pi * diameter**4 / 64.0
    return np.asarray(np.pi**2 * above_0("stiffness_pa", stiffness_pa) * inertia / length**2)


def post_bending_nm(
    tension_n: ArrayLike, height_m: ArrayLike, held_at_m: ArrayLike, strands: ArrayLike = 1
) -> Floats:
    """Greatest bending in an end post between its foot and its head, shape (n_rows,). [N m].

    Held at height h by a tie, a rail or a strut, the post is held there with M / h square to
    the ground, whatever its lean. Bending at height z is the moment of the wires above z less
    that of the hold; between wires it is a straight line, so the greatest stands at a wire or
    at the hold.

    Parameters
    ----------
    tension_n, height_m, strands
        As for `row_pull`.
    held_at_m : array_like, shape (n_rows,) or one
        Height of tie, rail or strut on the post. [m]
    """
    pull = row_pull(tension_n, height_m, strands)
    tension = np.asarray(tension_n, np.float64) * np.asarray(strands, np.float64)
    held = np.broadcast_to(above_0("held_at_m", held_at_m), pull.moment_nm.shape)
    heights = np.broadcast_to(np.asarray(height_m, np.float64), tension.shape)
    # Axis -1: the heights looked at; axis -2: the wires that pull above them.
    at = np.concatenate([heights, held[..., None]], axis=-1)
    above = np.maximum(heights[..., :, None] - at[..., None, :], 0.0)
    of_wires = (tension[..., :, None] * above).sum(axis=-2)
    of_hold = (pull.moment_nm / held)[..., None] * np.maximum(held[..., None] - at, 0.0)
    return np.asarray(np.abs(of_wires - of_hold).max(axis=-1))
