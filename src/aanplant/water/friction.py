"""Head that water loses by rubbing along a pipe: the formulas of the handbooks, side by side."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

STANDARD_GRAVITY_M_S2 = 9.80665
VISCOSITY_20_C_M2_S = 1.004e-6
"""Kinematic viscosity of water at 20 degrees Celsius, as tables of handbooks print it."""
LAMINAR_BELOW, TURBULENT_ABOVE = 2000.0, 4000.0
"""Reynolds numbers between which flow is neither laminar nor fully turbulent [1]_."""
BLASIUS_COEFFICIENT = 0.316
"""Of Blasius. 0.320 gives the constant 7.89e7 of Watters and Keller; 0.300 fitted five bores of
polyethylene pipe from 10 to 19.7 mm (UNESP BIOENG, paper 19)."""
HAZEN_WILLIAMS_PLASTIC = 150.0
"""Coefficient of new smooth plastic pipe (NRCS, National Engineering Handbook 652 / 430HH)."""
_SWAMEE_JAIN_SMOOTH, _SWAMEE_JAIN_POWER = 5.74, -0.9
_ROUGH = 3.7
"""Divisor of the relative roughness in the law of Colebrook and White and all drawn from it."""
HAZEN_WILLIAMS_FLOW_POWER, _HAZEN_WILLIAMS_BORE = 1.852, 4.871
_HAZEN_WILLIAMS_SI = 4.727 * 0.3048 ** (_HAZEN_WILLIAMS_BORE - 3.0 * HAZEN_WILLIAMS_FLOW_POWER)
"""10.66683: 4.727 of EPANET's manual, which is for feet, in metres."""
_WATTERS_KELLER_WIDE_M = 0.125
_STEPS = 60
_WARMEST_C = 60.0


def viscosity_m2_s(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Kinematic viscosity of fresh water between 0 and 60 degrees Celsius.

    Parameters
    ----------
    temperature_c : array_like
        Of the water. [degrees Celsius]

    Returns
    -------
    ndarray
        Viscosity over density at one atmosphere. [m2/s]

    References
    ----------
    .. [1] Patek and others (2009), Reference correlations for thermophysical properties of
       liquid water at 0.1 MPa, J. Phys. Chem. Ref. Data 38, 21-29 (viscosity).
    .. [2] Tanaka and others (2001), Recommended table for the density of water, Metrologia 38,
       301-309.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    if not ((t >= 0.0) & (t <= _WARMEST_C)).all():
        raise ValueError("temperature_c must lie between 0 and 60 degrees Celsius")
    scaled = (t + 273.15) / 300.0
    dynamic_pa_s = 1e-6 * (
        280.68 * scaled**-1.9
        + 511.45 * scaled**-7.7
        + 61.131 * scaled**-19.6
        + 0.45903 * scaled**-40.0
    )
    density = 999.97495 * (1.0 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))
    return np.asarray(dynamic_pa_s / density)


def reynolds_number(
    flow_m3_s: ArrayLike, diameter_m: ArrayLike, viscosity_m2_s: float = VISCOSITY_20_C_M2_S
) -> NDArray[np.float64]:
    """Reynolds number of a full round pipe, ``4 Q / (pi D nu)``. [-]."""
    flow, bore = np.asarray(flow_m3_s, np.float64), np.asarray(diameter_m, np.float64)
    return np.asarray(np.abs(flow) * 4.0 / (np.pi * bore * viscosity_m2_s))


def swamee_jain(reynolds: ArrayLike, relative_roughness: ArrayLike) -> NDArray[np.float64]:
    """Friction factor of turbulent flow, explicit form of Swamee and Jain (1976). [-]."""
    smooth = _SWAMEE_JAIN_SMOOTH * np.asarray(reynolds, np.float64) ** _SWAMEE_JAIN_POWER
    rough = np.asarray(relative_roughness, np.float64) / _ROUGH
    return np.asarray(0.25 / np.log10(rough + smooth) ** 2)


def dunlop(reynolds: ArrayLike, relative_roughness: ArrayLike) -> NDArray[np.float64]:
    """Friction factor between laminar and turbulent flow, 2000 <= Re <= 4000. [-].

    The cubic of Dunlop meets ``64 / Re`` below and :func:`swamee_jain` above in value and slope.

    References
    ----------
    .. [1] Dunlop (1991), as in the manual and source of EPANET 2.2, open software.
    """
    one, *rest = _dunlop_cubic(np.asarray(relative_roughness, np.float64))
    return np.asarray(_cubic(np.asarray(reynolds, np.float64) / LAMINAR_BELOW, one, *rest))


def churchill(reynolds: ArrayLike, relative_roughness: ArrayLike) -> NDArray[np.float64]:
    """Friction factor of all regimes in one smooth form, Churchill (1977). [-]."""
    re = np.asarray(reynolds, np.float64)
    rough = np.asarray(relative_roughness, np.float64)
    a = (2.457 * np.log(1.0 / ((7.0 / re) ** 0.9 + 0.27 * rough))) ** 16
    b = (37530.0 / re) ** 16
    return np.asarray(8.0 * ((8.0 / re) ** 12 + (a + b) ** -1.5) ** (1.0 / 12.0))


def colebrook(reynolds: ArrayLike, relative_roughness: ArrayLike) -> NDArray[np.float64]:
    """Friction factor of Colebrook and White (1939), ``64 / Re`` where laminar. [-].

    ``1 / sqrt(f) = -2 log10(e / 3.7 D + 2.51 / (Re sqrt(f)))``, solved by Newton's method.
    """
    re, rough = np.broadcast_arrays(
        np.asarray(reynolds, np.float64), np.asarray(relative_roughness, np.float64)
    )
    x = 1.0 / np.sqrt(swamee_jain(np.maximum(re, LAMINAR_BELOW), rough))
    for _ in range(_STEPS):
        inside = rough / _ROUGH + 2.51 * x / re
        step = (x + 2.0 * np.log10(inside)) / (1.0 + 2.0 / np.log(10.0) * 2.51 / (re * inside))
        x = x - step
        if np.abs(step).max(initial=0.0) < 1e-14 * np.abs(x).max(initial=1.0):
            break
    return np.asarray(np.where(re <= LAMINAR_BELOW, 64.0 / re, x**-2.0))


def blasius(reynolds: ArrayLike, coefficient: float = BLASIUS_COEFFICIENT) -> NDArray[np.float64]:
    """Friction factor of turbulent flow in a smooth pipe, ``a Re^-0.25``. [-]."""
    return np.asarray(coefficient * np.asarray(reynolds, np.float64) ** -0.25)


def darcy_weisbach(
    reynolds: ArrayLike, relative_roughness: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Friction factor of every regime, and how it turns with the flow.

    ``64 / Re`` up to Re 2000, the cubic of :func:`dunlop` up to 4000, then
    :func:`swamee_jain`.

    Returns
    -------
    factor, turn : ndarray
        The factor times the Reynolds number, which stays finite in still water, and
        ``d ln f / d ln Re``. [-]
    """
    re, rough = np.broadcast_arrays(
        np.asarray(reynolds, np.float64), np.asarray(relative_roughness, np.float64)
    )
    product, turn = np.full(re.shape, 64.0), np.full(re.shape, -1.0)
    fast = np.flatnonzero(re > TURBULENT_ABOVE)
    re_fast = re.ravel()[fast]
    smooth = _SWAMEE_JAIN_SMOOTH * re_fast**_SWAMEE_JAIN_POWER
    inside = rough.ravel()[fast] / _ROUGH + smooth
    log = np.log(inside)
    product.ravel()[fast] = (0.25 * np.log(10.0) ** 2) * re_fast / np.square(log)
    turn.ravel()[fast] = (-2.0 * _SWAMEE_JAIN_POWER) * smooth / (inside * log)
    between = np.flatnonzero((re > LAMINAR_BELOW) & (re <= TURBULENT_ABOVE))
    re_between = re.ravel()[between]
    r, cubic = re_between / LAMINAR_BELOW, _dunlop_cubic(rough.ravel()[between])
    factor = _cubic(r, *cubic)
    product.ravel()[between] = factor * re_between
    turn.ravel()[between] = r * (cubic[1] + r * (2.0 * cubic[2] + r * 3.0 * cubic[3])) / factor
    return product, turn


def head_loss_m(
    flow_m3_s: ArrayLike,
    diameter_m: ArrayLike,
    length_m: ArrayLike,
    factor: ArrayLike,
    *,
    gravity: float = STANDARD_GRAVITY_M_S2,
) -> NDArray[np.float64]:
    """Head lost by the law of Darcy and Weisbach, ``f L/D V^2/2g``. [m]."""
    bore = np.asarray(diameter_m, np.float64)
    speed = np.asarray(flow_m3_s, np.float64) / (np.pi / 4.0 * bore**2)
    along = np.asarray(factor, np.float64) * np.asarray(length_m, np.float64) / bore
    return np.asarray(along * speed**2 / (2.0 * gravity))


def hazen_williams_loss_m(
    flow_m3_s: ArrayLike,
    diameter_m: ArrayLike,
    length_m: ArrayLike,
    coefficient: ArrayLike = HAZEN_WILLIAMS_PLASTIC,
) -> NDArray[np.float64]:
    """Head lost by the formula of Hazen and Williams. [m].

    ``10.66683 L Q^1.852 / (C^1.852 D^4.871)``. Water at about 15 to 20 degrees, turbulent,
    bores of mains: in a lateral of 14 mm it loses a seventh too little.
    """
    per_flow = hazen_williams_per_flow(diameter_m, length_m, coefficient)
    return np.asarray(
        per_flow * np.abs(np.asarray(flow_m3_s, np.float64)) ** HAZEN_WILLIAMS_FLOW_POWER
    )


def hazen_williams_per_flow(
    diameter_m: ArrayLike, length_m: ArrayLike, coefficient: ArrayLike
) -> NDArray[np.float64]:
    """Head lost at a flow of 1 m3/s by Hazen and Williams. [m / (m3/s)^1.852]."""
    bore, c = np.asarray(diameter_m, np.float64), np.asarray(coefficient, np.float64)
    length = np.asarray(length_m, np.float64)
    return np.asarray(
        _HAZEN_WILLIAMS_SI * length / (c**HAZEN_WILLIAMS_FLOW_POWER * bore**_HAZEN_WILLIAMS_BORE)
    )


def watters_keller_m_per_100_m(flow_l_s: ArrayLike, diameter_mm: ArrayLike) -> NDArray[np.float64]:
    """Head lost in 100 m of smooth plastic pipe by Watters and Keller. [m/100 m].

    ``7.89e7 Q^1.75 / D^4.75`` in bores under 125 mm, ``9.58e7 Q^1.83 / D^4.83`` above, Q in L/s
    and D in mm, as the books on drip irrigation of Keller print them (from memory).
    """
    flow, bore = np.asarray(flow_l_s, np.float64), np.asarray(diameter_mm, np.float64)
    narrow = 7.89e7 * flow**1.75 / bore**4.75
    wide = 9.58e7 * flow**1.83 / bore**4.83
    return np.asarray(np.where(bore < 1000.0 * _WATTERS_KELLER_WIDE_M, narrow, wide))


def _dunlop_cubic(rough: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """Terms of the cubic in Re / 2000, constant first."""
    y2 = rough / _ROUGH + _SWAMEE_JAIN_SMOOTH * TURBULENT_ABOVE**_SWAMEE_JAIN_POWER
    y3 = -0.868589 * np.log(y2)
    fa = y3**-2.0
    fb = fa * (2.0 - 0.00514215 / (y2 * y3))
    return (
        7.0 * fa - fb,
        0.128 - 17.0 * fa + 2.5 * fb,
        -0.128 + 13.0 * fa - 2.0 * fb,
        0.032 - 3.0 * fa + 0.5 * fb,
    )


def _cubic(
    r: NDArray[np.float64],
    constant: NDArray[np.float64],
    first: NDArray[np.float64],
    second: NDArray[np.float64],
    third: NDArray[np.float64],
) -> NDArray[np.float64]:
    return constant + r * (first + r * (second + r * third))
