"""How far a wire sags, stretches and gives with warmth, and how its pull is read in the field."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Values = NDArray[np.float64]


def sag_m(load_n_m: ArrayLike, span_m: ArrayLike, tension_n: ArrayLike) -> Values:
    """Sag at the middle of a level span, as a parabola: f = w L^2 / (8 T). [m].

    Parameters
    ----------
    load_n_m : array_like
        Weight on the wire, its own included. [N/m]
    span_m : array_like
        Post to post. [m]
    tension_n : array_like
        Pull, above 0. [N]

    Raises
    ------
    ValueError
        If the pull is not above 0.
    """
    load, span, pull = _floats(load_n_m, span_m, tension_n)
    _must_pull(pull)
    return np.asarray(load * span**2 / (8.0 * pull))


def catenary_sag_m(load_n_m: ArrayLike, span_m: ArrayLike, tension_n: ArrayLike) -> Values:
    """Sag at the middle of a level span, exactly: f = (T/w) (cosh(w L / 2T) - 1). [m].

    T is the pull at the lowest point. Written as the parabola times (sinh y / y)^2 with
    y = w L / 4T, which loses no digits in a light wire.

    Raises
    ------
    ValueError
        If the pull is not above 0.
    """
    load, span, pull = _floats(load_n_m, span_m, tension_n)
    _must_pull(pull)
    y = np.asarray(load * span / (4.0 * pull))
    steeper = np.divide(np.sinh(y), y, out=np.ones(y.shape), where=y != 0.0)
    return np.asarray(sag_m(load, span, pull) * steeper**2)


def tension_from_pull_n(
    pull_n: ArrayLike, deflection_m: ArrayLike, gauge_length_m: ArrayLike
) -> Values:
    """Pull in a wire from the force that bends it between two pegs: T = F S / (4 d). [N].

    The board tester: pegs S apart hold the wire, a spring balance draws its middle aside by d
    and reads F. The rise of the pull while it is drawn aside is left out, as d is small.

    Parameters
    ----------
    pull_n : array_like
        Reading of the spring balance. [N]
    deflection_m, gauge_length_m : array_like
        How far the middle is drawn aside, and peg to peg. [m]

    Raises
    ------
    ValueError
        If the deflection is not above 0.
    """
    pull, deflection, length = _floats(pull_n, deflection_m, gauge_length_m)
    if not (deflection > 0.0).all():
        raise ValueError(f"deflection_m must be above 0, got {deflection.min()}")
    return np.asarray(pull * length / (4.0 * deflection))


def pull_for_tension_n(
    tension_n: ArrayLike, deflection_m: ArrayLike, gauge_length_m: ArrayLike
) -> Values:
    """Return what the board tester reads at a wanted pull: F = 4 T d / S. [N].

    Parameters
    ----------
    tension_n : array_like
        Pull wanted in the wire. [N]
    deflection_m, gauge_length_m : array_like
        How far the middle is drawn aside, and peg to peg, above 0. [m]
    """
    tension, deflection, length = _floats(tension_n, deflection_m, gauge_length_m)
    return np.asarray(4.0 * tension * deflection / length)


def thermal_change_n(
    axial_stiffness_n: ArrayLike, expansion_per_k: ArrayLike, temperature_change_k: ArrayLike
) -> Values:
    """Change of pull in a straight wire between fixed ends: dT = -EA alpha dtheta. [N].

    Parameters
    ----------
    axial_stiffness_n : array_like
        Modulus by area. [N]
    expansion_per_k : array_like
        Thermal expansion. [1/K]
    temperature_change_k : array_like
        After less before. [K]
    """
    stiffness, expansion, warmer = _floats(axial_stiffness_n, expansion_per_k, temperature_change_k)
    return np.asarray(-stiffness * expansion * warmer)


def stretch_m(tension_n: ArrayLike, length_m: ArrayLike, axial_stiffness_n: ArrayLike) -> Values:
    """How much longer a wire is under its pull: dL = T L / EA. [m].

    What the strainer must take up beyond the slack.
    """
    tension, length, stiffness = _floats(tension_n, length_m, axial_stiffness_n)
    return np.asarray(tension * length / stiffness)


def growth_m(
    length_m: ArrayLike, expansion_per_k: ArrayLike, temperature_change_k: ArrayLike
) -> Values:
    """How much a free wire grows with warmth: dL = alpha L dtheta. [m]."""
    length, expansion, warmer = _floats(length_m, expansion_per_k, temperature_change_k)
    return np.asarray(expansion * length * warmer)


def _floats(*values: ArrayLike) -> tuple[Values, ...]:
    return tuple(np.asarray(value, np.float64) for value in values)


def _must_pull(tension: Values) -> None:
    if not (tension > 0.0).all():
        raise ValueError(f"tension_n must be above 0, got {tension.min()}")
