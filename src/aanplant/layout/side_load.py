"""How far wires are bent at every line post of rows that curve, and how that loads the post.

Wires run from post to post as chords. Where they change direction by some angle they pull
the post inward with 2 T sin(angle / 2), which is T s / R on a circle of radius R with posts
s apart, T being the tension of all wires together.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.layout.positions import Positions


@dataclass(frozen=True, slots=True)
class PostBends:
    """How the wires turn at line posts, as columns in the order of ``line_posts_xy``.

    Parameters
    ----------
    turn_deg : ndarray, shape (n_line_posts,)
        Change of direction, above 0 to the left of the way from start to end. [deg]
    span_m : ndarray, shape (n_line_posts,)
        Mean distance to the post before and the post after. [m]
    """

    turn_deg: NDArray[np.float64]
    span_m: NDArray[np.float64]

    @property
    def radius_m(self) -> NDArray[np.float64]:
        """Radius of the circle whose wires would turn as much; infinite where straight. [m]."""
        load = self.load_share
        radius: NDArray[np.float64] = np.full(len(load), np.inf)
        return np.divide(self.span_m, load, where=load > 0.0, out=radius)

    @property
    def load_share(self) -> NDArray[np.float64]:
        """Side load on the post as a share of the tension of its wires, s / R. [-]."""
        return np.asarray(2.0 * np.sin(np.radians(np.abs(self.turn_deg)) / 2.0))


def side_load_n(
    tension_n: ArrayLike, span_m: ArrayLike, radius_m: ArrayLike
) -> NDArray[np.float64]:
    """Side load on a line post of a curved row, F = T s / R. [N].

    Parameters
    ----------
    tension_n : array_like
        Of all wires on the post together. [N]
    span_m, radius_m : array_like
        Post to post, and of the row. [m]
    """
    tension, span, radius = (np.asarray(v, np.float64) for v in (tension_n, span_m, radius_m))
    return np.asarray(tension * span / radius)


def post_bends(positions: Positions) -> PostBends:
    """Work out how the wires turn at every line post, end posts being the outer supports."""
    piece = np.concatenate([positions.end_posts_piece, positions.line_posts_piece])
    is_line_post = np.arange(len(piece)) >= len(positions.end_posts_piece)
    xy = np.concatenate([positions.end_posts_xy, positions.line_posts_xy])
    # Start post, line posts as they follow one another, end post.
    place = np.ones(len(piece))
    place[: len(positions.end_posts_piece)] = np.where(positions.end_posts_is_start, 0.0, 2.0)
    order = np.lexsort((place, piece))
    at = np.flatnonzero(is_line_post[order])
    before = xy[order[at]] - xy[order[at - 1]]
    after = xy[order[at + 1]] - xy[order[at]]
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
    span = (np.hypot(*before.T) + np.hypot(*after.T)) / 2.0
    return PostBends(np.degrees(turn), span)
