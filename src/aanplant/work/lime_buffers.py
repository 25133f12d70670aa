"""Lime from the pH of a buffer: Adams-Evans, Mehlich and SMP, as the laboratories print them.

Each was calibrated on soils of one region and one depth, against pH in water.
"""

import math

import numpy as np

ACRE_HA = 0.40468564224
SHORT_TON_T = 0.90718474
T_HA_PER_SHORT_TON_ACRE = SHORT_TON_T / ACRE_HA
"""2.2417: short tons an acre into tonnes a hectare."""
POUND_T = 0.00045359237
ADAMS_EVANS_SOIL_T_HA = 2_000_000 * POUND_T / ACRE_HA
"""Adams and Evans reckon with two million pounds of soil an acre. [t/ha]"""
PLOUGHED_M = 0.2032
"""The SMP and Mehlich tables are for soil worked 8 inches deep. [m]"""

SMP_PH = (4.8, 5.0, 5.5, *(round(6.0 + step / 10, 1) for step in range(9)))
SMP_SHORT_TONS = {
    6.0: (15.1, 13.7, 10.2, 6.6, 5.9, 5.2, 4.5, 3.8, 3.1, 2.4, 1.7, 1.0),
    6.5: (18.6, 16.9, 12.5, 8.1, 7.2, 6.4, 5.5, 4.7, 3.8, 2.9, 2.1, 1.2),
    6.8: (22.1, 20.0, 14.8, 9.6, 8.6, 7.5, 6.5, 5.5, 4.5, 3.4, 2.4, 1.4),
}
"""Short tons of ground limestone an acre by buffer pH (``SMP_PH``) and target pH in water."""


def base_unsaturation(ph_water: float) -> float:
    """Share of the exchange sites that hold acid at a pH, by Adams and Evans. [-].

    Smaller root of pH = 7.79 - 5.55 Hs + 2.27 Hs². The curve is recalled from memory.

    Raises
    ------
    ValueError
        If the pH is above 7.79 or below where the curve turns (4.4).
    """
    under_root = 5.55**2 - 4.0 * 2.27 * (7.79 - ph_water)
    if under_root < 0.0 or ph_water > 7.79:  # noqa: PLR2004 - the curve's own constants
        raise ValueError(f"pH must lie from 4.4 to 7.79, got {ph_water}")
    return (5.55 - math.sqrt(under_root)) / (2.0 * 2.27)


def adams_evans_acidity(buffer_ph: float) -> float:
    """Acidity from the pH in the Adams-Evans buffer: 8 (8 - pH). [cmol(+)/kg]."""
    return max(0.0, 8.0 * (8.0 - buffer_ph))


def adams_evans_lime(
    ph_water: float, buffer_ph: float, target_ph: float, soil_t_ha: float = ADAMS_EVANS_SOIL_T_HA
) -> float:
    """Calcium carbonate to a target pH by the Adams-Evans buffer. [t/ha].

    ``8000 (8 - buffer) / Hs1 × (Hs1 - Hs2) × 1.5`` are pounds an acre of two million pounds
    of soil. One paper prints the 8000 as if it gave tonnes a hectare after × 2.24: a slip of
    units by a factor of two thousand.

    Parameters
    ----------
    ph_water, buffer_ph, target_ph : float
        pH of the soil in water, of the buffer, and wanted in water.
    soil_t_ha : float
        Mass of the layer. [t/ha]
    """
    now, then = base_unsaturation(ph_water), base_unsaturation(target_ph)
    if then >= now:
        return 0.0
    pounds_acre = 1000.0 * adams_evans_acidity(buffer_ph) / now * (now - then) * 1.5
    return pounds_acre * POUND_T / ACRE_HA * soil_t_ha / ADAMS_EVANS_SOIL_T_HA


def mehlich_acidity(buffer_ph: float) -> float:
    """Acidity from the pH in the Mehlich buffer: 4 (6.6 - pH). [meq/100 cm3]."""
    return max(0.0, 4.0 * (6.6 - buffer_ph))


def mehlich_lime(
    ph_water: float,
    acidity_meq_100cm3: float,
    target_ph: float,
    thickness_m: float = PLOUGHED_M,
    credit_short_tons: float = 0.0,
) -> float:
    """Lime to a target pH by the Mehlich buffer as North Carolina uses it. [t/ha].

    Parameters
    ----------
    ph_water, target_ph : float
        pH of the soil in water, and wanted in water; both below 6.6.
    acidity_meq_100cm3 : float
        From ``mehlich_acidity``. [meq/100 cm3]
    thickness_m : float
        Depth limed; the laboratory's own is 8 in (recalled). [m]
    credit_short_tons : float
        Lime of earlier years still at work. [short tons an acre]

    Raises
    ------
    ValueError
        If a pH is not below 6.6.
    """
    if max(ph_water, target_ph) >= 6.6:  # noqa: PLR2004 - pH of the buffer itself
        raise ValueError(f"pH must be below 6.6, got {ph_water} and {target_ph}")
    share = (target_ph - ph_water) / (6.6 - ph_water)
    short_tons = max(0.0, acidity_meq_100cm3 * share - credit_short_tons)
    return short_tons * T_HA_PER_SHORT_TON_ACRE * thickness_m / PLOUGHED_M


def smp_lime(buffer_ph: float, target_ph: float = 6.5, thickness_m: float = PLOUGHED_M) -> float:
    """Ground limestone to a target pH in water by the SMP buffer. [t/ha].

    Straight between the rows of the table; nothing is needed above its highest buffer pH
    of 6.8, and it has nothing to say below 4.8.

    Parameters
    ----------
    buffer_ph : float
        pH in the SMP buffer.
    target_ph : {6.0, 6.5, 6.8}
        Column of the table.
    thickness_m : float
        Depth limed; the table is for 8 in. [m]

    Raises
    ------
    ValueError
        If the target is no column or the buffer pH is below the table.
    """
    if target_ph not in SMP_SHORT_TONS:
        raise ValueError(f"target_ph must be one of {tuple(SMP_SHORT_TONS)}, got {target_ph}")
    if buffer_ph < SMP_PH[0]:
        raise ValueError(f"the table begins at a buffer pH of {SMP_PH[0]}, got {buffer_ph}")
    if buffer_ph > SMP_PH[-1]:
        return 0.0
    short_tons = float(np.interp(buffer_ph, SMP_PH, SMP_SHORT_TONS[target_ph]))
    return short_tons * T_HA_PER_SHORT_TON_ACRE * thickness_m / PLOUGHED_M
