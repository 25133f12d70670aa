"""How far drippers creep from their vines as the black line warms and cools.

Polyethylene grows by about 0.2 mm a metre for each degree. A line that can slide moves with it
away from the place that holds it, and drippers that stood at their vines no longer do. A vine
still finds the next dripper, so the distance never exceeds half the spacing of drippers.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief
from aanplant.trellis.breaches import Breach

Values = NDArray[np.float64]

MM_PER_M = 1000.0


def movement_m(
    from_held_m: ArrayLike, laid_c: float, wall_c: float, expansion_per_k: float
) -> Values:
    """Return how far a point of a free line moves away from where it is held. [m].

    Parameters
    ----------
    from_held_m : array_like
        Distance from the held place, signed along the row. [m]
    laid_c, wall_c : float
        Temperature of the wall when laid, and now. [degC]
    expansion_per_k : float
        Growth for each kelvin. [1/K]
    """
    return np.asarray(np.asarray(from_held_m, np.float64) * expansion_per_k * (wall_c - laid_c))


def from_held_m(
    along_m: ArrayLike, length_m: ArrayLike, *, held: str = "inlet", every_m: float | None = None
) -> Values:
    """Return the distance of points of a line from where it is held, signed. [m].

    Parameters
    ----------
    along_m : array_like
        Distance of the point from the inlet. [m]
    length_m : array_like
        Length of the line. [m]
    held : str
        inlet or middle.
    every_m : float, optional
        Distance between further ties. Between two ties the line can only snake or sag, all of
        it at one place at the worst: the point moves as if free beyond the tie before it.
    """
    along = np.asarray(along_m, np.float64)
    if every_m is not None:
        return np.asarray(np.mod(along, every_m))
    start = np.asarray(length_m, np.float64) / 2.0 if held == "middle" else 0.0
    return np.asarray(along - start)


def nearest_dripper_m(
    vine_m: ArrayLike, moved_m: ArrayLike, spacing_m: float, first_m: ArrayLike = 0.0
) -> Values:
    """Return the distance of each vine from its nearest dripper, along the row. [m].

    Parameters
    ----------
    vine_m : array_like, shape (n,)
        Places of vines along the line. [m]
    moved_m : array_like, shape (n,)
        How far the line at the vine has moved. [m]
    spacing_m : float
        Between drippers. [m]
    first_m : array_like
        Place of a dripper of each vine's line when laid. [m]
    """
    past = np.mod(np.asarray(vine_m, np.float64) - np.asarray(moved_m) - first_m, spacing_m)
    return np.asarray(np.minimum(past, spacing_m - past))


@dataclass(frozen=True, slots=True)
class DripperDrift:
    """How far the drippers stand from their vines.

    Parameters
    ----------
    laid_m, cold_m, hot_m : ndarray, shape (n_vines,)
        Distance of the nearest dripper when laid, on the coldest morning, and in full sun. [m]
    moved_cold_m, moved_hot_m : ndarray, shape (n_vines,)
        How far the line moved; below 0 towards the held place. [m]
    breach : Breach or None
        The worst vine whose water may not reach its roots; ``row`` is its place among the vines.
    """

    laid_m: Values
    cold_m: Values
    hot_m: Values
    moved_cold_m: Values
    moved_hot_m: Values
    breach: Breach | None

    @property
    def worst_m(self) -> float:
        """Greatest distance of a vine in heat or cold. [m]."""
        return float(max(self.cold_m.max(initial=0.0), self.hot_m.max(initial=0.0)))


def drift(
    brief: Brief,
    vine_m: ArrayLike,
    length_m: ArrayLike,
    *,
    wetted_radius_m: ArrayLike,
    first_m: ArrayLike | None = None,
) -> DripperDrift:
    """Work out how far drippers creep from their vines, for one row or for all rows at once.

    Parameters
    ----------
    brief : Brief
        Gives the line, its temperatures and where it is held.
    vine_m : array_like, shape (n_vines,)
        Place of each vine from the inlet of its line. [m]
    length_m : array_like
        Of the line, or of each vine's line. [m]
    wetted_radius_m : array_like
        How far water of a dripper reaches sideways, the same for all or for each vine. [m]
    first_m : array_like, optional
        Place of a dripper when laid, of the line or of each vine's line. Left out, every vine
        had a dripper beside it, as careful people lay the line where spacings allow it.
    """
    rules = brief.dripper_line
    vines = np.asarray(vine_m, np.float64)
    spacing = brief.water.emitter.spacing
    start = vines if first_m is None else np.asarray(first_m, np.float64)
    away = from_held_m(vines, length_m, held=rules.held, every_m=rules.held_every)
    growth = rules.expansion / MM_PER_M
    cold = movement_m(away, rules.laid_at, rules.coldest, growth)
    hot = movement_m(away, rules.laid_at, rules.hottest, growth)
    laid_m, cold_m, hot_m = (
        nearest_dripper_m(vines, moved, spacing, start)
        for moved in (np.zeros_like(vines), cold, hot)
    )
    reach = np.broadcast_to(np.asarray(wetted_radius_m) + rules.root_ball, vines.shape)
    worst = np.maximum(cold_m, hot_m)
    breach = None
    if np.any(worst > reach):
        vine = int(np.argmax(worst - reach))
        found, limit = float(worst[vine]), float(reach[vine])
        breach = Breach("dripper_out_of_reach", "", found, limit, "m", vine)
    return DripperDrift(laid_m, cold_m, hot_m, cold, hot, breach)
