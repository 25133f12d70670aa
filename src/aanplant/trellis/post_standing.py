"""What a line post and its ground stand: relative utilisation, and the wind they would bear.

Nothing here is a pass or a fail. Formulas for building poles refuse an exposed post in full leaf
at a depth that has stood in vineyards for decades; the wind that each method allows at that
depth says more, and lets two designs be compared.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief
from aanplant.trellis import embedment
from aanplant.trellis.breaches import Breach
from aanplant.trellis.loads import PostLoads
from aanplant.trellis.post_soil import PostSoil
from aanplant.trellis.posts import Post

Values = NDArray[np.float64]
Allowed = Callable[[Values], Values]


@dataclass(frozen=True)
class Standing:
    """How line posts stand in the gust of the brief, as arrays of the shape of the loads.

    Parameters
    ----------
    bending : ndarray
        Bending at the ground line over the post's working moment. [-]
    bending_gust_m_s : ndarray
        Gust at the height of the canopy at which the working moment is reached. [m/s]
    ground : mapping of str to ndarray
        Force over what each method allows at this depth, by method: ``ibc``, ``ep486`` and
        ``broms`` (not in rock). [-]
    ground_gust_m_s : mapping of str to ndarray
        Gust at the height of the canopy that each method allows at this depth. [m/s]
    gust_m_s : ndarray
        Gust of the brief at the height of the canopy. [m/s]
    """

    bending: Values
    bending_gust_m_s: Values
    ground: Mapping[str, Values]
    ground_gust_m_s: Mapping[str, Values]
    gust_m_s: Values

    @property
    def least_ground_gust_m_s(self) -> Values:
        """Gust that the most careful method allows. [m/s]."""
        return np.asarray(np.min(list(self.ground_gust_m_s.values()), axis=0))


def stand(
    post: Post, loads: PostLoads, depth_m: ArrayLike, soil: PostSoil, working_factor: float
) -> Standing:
    """Set loads beside the post and the ground.

    Parameters
    ----------
    post : Post
        One kind of post.
    loads : PostLoads
        Across the row, on each post.
    depth_m : array_like
        In the ground. [m]
    soil : PostSoil
        Around the post.
    working_factor : float
        What the strength of the post is divided by. [-]

    Raises
    ------
    ValueError
        If a depth is not above 0.
    """
    depth = np.asarray(depth_m, np.float64)
    if not np.all(depth > 0.0):
        raise ValueError(f"depth_m must be above 0, got {depth.min(initial=np.inf)}")
    shape = np.broadcast_shapes(loads.wind_n_per_m2_s2.shape, depth.shape)
    working_nm = post.working_moment_nm(working_factor)

    def bending(gust: Values) -> Values:
        return np.asarray(np.broadcast_to(loads.moment_nm(gust) / working_nm, shape))

    ground = {
        name: _against(loads, allowed, shape)
        for name, allowed in _methods(post.width_m, depth, soil).items()
    }
    return Standing(
        bending(loads.gust_m_s),
        embedment.standing_gust_m_s(bending, shape),
        {name: used(loads.gust_m_s) for name, used in ground.items()},
        {name: embedment.standing_gust_m_s(used, shape) for name, used in ground.items()},
        np.asarray(np.broadcast_to(loads.gust_m_s, shape)),
    )


def either(takes_first: NDArray[np.bool_], first: Standing, second: Standing) -> Standing:
    """Take each row from one of two results of ``stand`` for the same loads."""
    return Standing(
        np.where(takes_first, first.bending, second.bending),
        np.where(takes_first, first.bending_gust_m_s, second.bending_gust_m_s),
        {
            name: np.where(takes_first, one, second.ground[name])
            for name, one in first.ground.items()
        },
        {
            name: np.where(takes_first, one, second.ground_gust_m_s[name])
            for name, one in first.ground_gust_m_s.items()
        },
        first.gust_m_s,
    )


def gust_at_10_m(brief: Brief, loads: PostLoads, gust_m_s: ArrayLike) -> Values:
    """Turn a gust at the canopy into that at 10 m, as forecasts give it. [m/s]."""
    return np.asarray(np.asarray(gust_m_s) * brief.posts.wind / loads.gust_m_s)


def breaches_of(standing: Standing) -> tuple[Breach, ...]:
    """Return the bending that exceeds the working moment, at its worst row.

    The ground makes no breach: its utilisation is relative.
    """
    worst = int(np.argmax(standing.bending))
    value = float(np.ravel(standing.bending)[worst])
    return (Breach("post_bending", "line post", value, 1.0, "", worst),) if value > 1.0 else ()


def _methods(width_m: float, depth: Values, soil: PostSoil) -> dict[str, Allowed]:
    """Force that each method allows, of the height at which it acts."""
    bearing = soil.bearing_pa_per_m
    methods: dict[str, Allowed] = {
        "ibc": lambda height: embedment.ibc_force_n(depth, height, width_m, bearing),
        "ep486": lambda height: embedment.ep486_force_n(depth, height, width_m, bearing),
    }
    if soil.behaves_as == "clay":
        methods["broms"] = lambda height: (
            embedment.broms_clay(depth, height, width_m, soil.cohesion_pa).force_n
        )
    elif soil.behaves_as == "sand":
        methods["broms"] = lambda height: (
            embedment.broms_sand(
                depth, height, width_m, soil.unit_weight_n_m3, soil.friction_deg
            ).force_n
        )
    return methods


def _against(loads: PostLoads, allowed: Allowed, shape: tuple[int, ...]) -> Allowed:
    """Force over the allowed one, of the gust."""

    def used(gust: Values) -> Values:
        force = np.broadcast_to(loads.force_n(gust), shape)
        moment = np.broadcast_to(loads.moment_nm(gust), shape)
        height = np.divide(moment, force, where=force > 0.0, out=np.zeros(shape))
        may = allowed(height)
        return np.divide(force, may, where=may > 0.0, out=np.where(force > 0.0, np.inf, 0.0))

    return used
