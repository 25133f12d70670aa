"""Wider spacing of thicker posts, or closer spacing of thin ones: which costs least."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief
from aanplant.trellis.loads import post_loads
from aanplant.trellis.post_soil import PostSoil
from aanplant.trellis.post_standing import gust_at_10_m, stand
from aanplant.trellis.posts import Post

Values = NDArray[np.float64]


@dataclass(frozen=True)
class PostTable:
    """Every post at every spacing, as arrays of shape (n_posts, n_spacings).

    Parameters
    ----------
    posts : tuple of Post
        Along the first axis.
    spacing_m : ndarray, shape (n_spacings,)
        Along the second axis. [m]
    cost_per_m : ndarray
        Price of the posts of a metre of row, in the currency of the prices; nan where a post
        has none. [1/m]
    bending : ndarray
        Utilisation of the post at the ground line. [-]
    ground_gust_m_s : ndarray
        Gust at 10 m that the most careful method allows the ground. [m/s]
    """

    posts: tuple[Post, ...]
    spacing_m: Values
    cost_per_m: Values
    bending: Values
    ground_gust_m_s: Values

    def cheapest(
        self, utilisation: float, least_ground_gust_m_s: float = 0.0
    ) -> tuple[int, int] | None:
        """Find the cheapest post and spacing that keep both limits.

        Of equal cost the lower utilisation is taken. Posts without a price are left out.

        Parameters
        ----------
        utilisation : float
            Most that bending may come to. [-]
        least_ground_gust_m_s : float
            Gust at 10 m that the ground must stand; 0 asks nothing. [m/s]

        Returns
        -------
        tuple of int, or None
            Places along the two axes; None where nothing keeps the limits.
        """
        keeps = (self.bending <= utilisation) & (self.ground_gust_m_s >= least_ground_gust_m_s)
        places = np.argwhere(keeps & np.isfinite(self.cost_per_m))
        if not len(places):
            return None
        chosen = tuple(places.T)
        first = int(np.lexsort((self.bending[chosen], self.cost_per_m[chosen]))[0])
        post, spacing = places[first]
        return int(post), int(spacing)


def compare_posts(
    brief: Brief,
    posts: Sequence[Post],
    spacing_m: ArrayLike,
    price: ArrayLike,
    *,
    canopy_foot_m: float,
    depth_m: float,
    soil: PostSoil,
    rows_deep: int = 1,
) -> PostTable:
    """Set out cost and utilisation of posts at spacings.

    Parameters
    ----------
    brief : Brief
        Its canopy, wind and working factor.
    posts : sequence of Post
        To compare, such as ``posts.posts_of("softwood")``.
    spacing_m : array_like, shape (n_spacings,)
        To compare, as a rule whole numbers of vines. [m]
    price : array_like, shape (n_posts,)
        Of one post of each kind, standing; nan where it is not known.
    canopy_foot_m : float
        Height of the foot of the foliage. [m]
    depth_m : float
        In the ground. [m]
    soil : PostSoil
        Around the posts.
    rows_deep : int
        Rows from the side of the block; 1 is in full wind.

    Raises
    ------
    ValueError
        If there is nothing to compare, or a spacing is not above 0.
    """
    spacing = np.asarray(spacing_m, np.float64)
    if not posts or not spacing.size:
        raise ValueError("nothing to compare: no posts or no spacings")
    loads = post_loads(brief, spacing, canopy_foot_m, rows_deep=rows_deep)
    standings = [stand(post, loads, depth_m, soil, brief.posts.working_factor) for post in posts]
    prices = np.asarray(price, np.float64)[:, np.newaxis]
    return PostTable(
        tuple(posts),
        spacing,
        np.asarray(prices / spacing),
        np.array([standing.bending for standing in standings]),
        np.array([gust_at_10_m(brief, loads, one.least_ground_gust_m_s) for one in standings]),
    )
