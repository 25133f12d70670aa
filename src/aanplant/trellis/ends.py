"""What a row's wires do to its end: a post with a tie, a braced pair of posts, or a strut.

The end post is taken as pinned at the ground, so that the ground holds its foot but does
not hold it upright: the tie, the rail or the strut does all of that. Every assembly must
balance two things only, the pull of the wires together and their moment about the foot.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class RowPull:
    """What the wires of each row do to its end post.

    Parameters
    ----------
    pull_n : ndarray, shape (n_rows,)
        Tension of all wires together, sum T. [N]
    moment_nm : ndarray, shape (n_rows,)
        Their moment about the foot, sum T h. [N m]
    """

    pull_n: Floats
    moment_nm: Floats

    @property
    def height_m(self) -> Floats:
        """Height at which one wire would do the same; nan where nothing pulls. [m]."""
        height = np.full(np.shape(self.pull_n), np.nan)
        return np.asarray(
            np.divide(self.moment_nm, self.pull_n, where=self.pull_n > 0.0, out=height)
        )


def row_pull(tension_n: ArrayLike, height_m: ArrayLike, strands: ArrayLike = 1) -> RowPull:
    """Add up the wires on an end post.

    Parameters
    ----------
    tension_n : array_like, shape (n_rows, n_lines) or (n_lines,)
        Of one strand of each line. [N]
    height_m : array_like, shape (n_lines,)
        Of each line above the ground, at the end post. [m]
    strands : array_like, shape (n_lines,)
        Wires in each line; a movable pair counts two.

    Raises
    ------
    ValueError
        If a tension or a height is below 0.
    """
    tension = np.asarray(tension_n, np.float64) * np.asarray(strands, np.float64)
    height = np.asarray(height_m, np.float64)
    if np.any(tension < 0.0) or np.any(height < 0.0):
        raise ValueError("a wire can't push, nor stand below the ground")
    return RowPull(np.asarray(tension.sum(axis=-1)), np.asarray((tension * height).sum(axis=-1)))


@dataclass(frozen=True, slots=True)
class TieBack:
    """A post held by a tie to an anchor behind it; all arrays of shape (n_rows,).

    Parameters
    ----------
    angle_deg : ndarray
        Of the tie above the ground. [deg]
    tie_n : ndarray
        Pull in the tie, and so on the anchor along the tie. [N]
    uplift_n, anchor_horizontal_n : ndarray
        Parts of it that lift the anchor and draw it towards the row. [N]
    foot_shear_n : ndarray
        What the ground holds at the foot, against being drawn into the row; below 0 the foot
        is pushed out. [N]
    thrust_n : ndarray
        What presses the post into the ground. [N]
    """

    angle_deg: Floats
    tie_n: Floats
    uplift_n: Floats
    anchor_horizontal_n: Floats
    foot_shear_n: Floats
    thrust_n: Floats


def tie_back(
    pull: RowPull, tie_height_m: ArrayLike, anchor_distance_m: ArrayLike, lean_deg: ArrayLike = 0.0
) -> TieBack:
    """Hold a post, upright or leaning away from the row, by a tie to an anchor.

    T = M / (a sin(theta)) with theta = atan2(h, a - h tan(lean)): uplift times anchor distance
    is the moment of the wires, whatever the lean and the height of the tie.

    Parameters
    ----------
    pull : RowPull
        Of the wires.
    tie_height_m : array_like
        Of the tie on the post, measured upright. [m]
    anchor_distance_m : array_like
        From the foot of the post to the anchor, on the ground. [m]
    lean_deg : array_like
        Of the post from upright, away from the row. [deg]

    Raises
    ------
    ValueError
        If height or distance is not above 0, or the lean not within 0 to below 90.
    """
    height, distance = (
        above_0("tie_height_m", tie_height_m),
        above_0("anchor_distance_m", anchor_distance_m),
    )
    lean = np.radians(np.asarray(lean_deg, np.float64))
    if np.any(lean < 0.0) or np.any(lean >= np.pi / 2.0):
        raise ValueError("lean_deg must be from 0 to below 90")
    angle = np.arctan2(height, distance - height * np.tan(lean))
    uplift = pull.moment_nm / distance
    tie = uplift / np.sin(angle)
    horizontal = tie * np.cos(angle)
    return TieBack(
        *_rows(np.degrees(angle), tie, uplift, horizontal, pull.pull_n - horizontal, uplift)
    )


@dataclass(frozen=True, slots=True)
class HBrace:
    """Two posts with a rail between them and a wire across; all arrays of shape (n_rows,).

    Parameters
    ----------
    rail_n, wire_n : ndarray
        Push in the rail, pull in the wire from the foot of the end post to the head of the
        second. [N]
    uplift_n, second_thrust_n : ndarray
        What draws the end post out of the ground and presses the second into it. [N]
    post_shear_n : ndarray
        Shear in the end post below the rail, the pull less the rail. [N]
    foot_shear_n : ndarray
        What the ground holds at the foot of the end post, where the wire is made fast: all of
        the pull, since the second post takes nothing sideways. [N]
    """

    rail_n: Floats
    wire_n: Floats
    uplift_n: Floats
    second_thrust_n: Floats
    post_shear_n: Floats
    foot_shear_n: Floats


def h_brace(pull: RowPull, rail_height_m: ArrayLike, post_distance_m: ArrayLike) -> HBrace:
    """Hold an end post by a rail against a second post, tied back to the first's foot.

    The rail takes M / h; the wire C sqrt(s2 + h2) / s; end post and second post are lifted and
    pressed by M / s.

    Parameters
    ----------
    pull : RowPull
        Of the wires.
    rail_height_m : array_like
        Of the rail above the ground. [m]
    post_distance_m : array_like
        Between the posts. [m]

    Raises
    ------
    ValueError
        If height or distance is not above 0.
    """
    height, distance = (
        above_0("rail_height_m", rail_height_m),
        above_0("post_distance_m", post_distance_m),
    )
    rail = pull.moment_nm / height
    vertical = pull.moment_nm / distance
    wire = rail * np.hypot(distance, height) / distance
    return HBrace(*_rows(rail, wire, vertical, vertical, pull.pull_n - rail, pull.pull_n))


@dataclass(frozen=True, slots=True)
class Strut:
    """A post held by a strut that stands on a block inside the row; arrays of shape (n_rows,).

    Parameters
    ----------
    length_m : ndarray
        Of the strut. [m]
    axial_n : ndarray
        Push in the strut. [N]
    block_horizontal_n, block_thrust_n : ndarray
        What pushes the block along the row and presses it into the ground. [N]
    uplift_n : ndarray
        What draws the post out of the ground. [N]
    foot_shear_n : ndarray
        What the ground holds at the foot, against being drawn into the row; below 0 the foot
        is pushed out. [N]
    """

    length_m: Floats
    axial_n: Floats
    block_horizontal_n: Floats
    block_thrust_n: Floats
    uplift_n: Floats
    foot_shear_n: Floats


def strut(pull: RowPull, strut_height_m: ArrayLike, block_distance_m: ArrayLike) -> Strut:
    """Hold an end post by a strut from the row's side.

    The strut takes (M / h) sqrt(h2 + b2) / b, pushes its block with M / h along the row, and
    lifts the post with M / b.

    Parameters
    ----------
    pull : RowPull
        Of the wires.
    strut_height_m : array_like
        Where the strut meets the post, above the ground. [m]
    block_distance_m : array_like
        From the foot of the post to the block. [m]

    Raises
    ------
    ValueError
        If height or distance is not above 0.
    """
    height, distance = (
        above_0("strut_height_m", strut_height_m),
        above_0("block_distance_m", block_distance_m),
    )
    length = np.hypot(height, distance)
    horizontal = pull.moment_nm / height
    vertical = pull.moment_nm / distance
    return Strut(
        *_rows(
            length,
            horizontal * length / distance,
            horizontal,
            vertical,
            vertical,
            pull.pull_n - horizontal,
        )
    )


def above_0(name: str, value: ArrayLike) -> Floats:
    """Return a length, or whatever else is above 0, as an array.

    Raises
    ------
    ValueError
        If any of it is not.
    """
    number = np.asarray(value, np.float64)
    if not np.all(number > 0.0):
        raise ValueError(f"{name} must be above 0")
    return number


def _rows(*columns: Floats) -> tuple[Floats, ...]:
    return tuple(np.array(column) for column in np.broadcast_arrays(*columns))
