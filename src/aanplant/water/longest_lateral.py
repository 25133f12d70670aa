"""How long a lateral may be in each bore of dripper line, on level ground and up a slope."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from aanplant.water.emitters import EmitterLaw
from aanplant.water.lateral_bores import LateralLines, tabulate
from aanplant.water.lateral_choice import LateralLimits, longest_drippers

MOST_DRIPPERS = 2048
"""More are not tried on one lateral."""


@dataclass(frozen=True, slots=True)
class LongestLateral:
    """The longest lateral of one bore.

    Parameters
    ----------
    bore_m : float
        [m]
    length_m : float
        From the inlet to the last dripper, on level ground; 0 if no dripper will do. [m]
    inlet_m : float
        Pressure at its inlet. [m]
    uphill_m : float
        How long it may be where it climbs as ``rise`` says. [m]
    rise : float
        Height gained by a metre of the row that climbs most; 0 where none climbs. [-]
    """

    bore_m: float
    length_m: float
    inlet_m: float
    uphill_m: float
    rise: float


def longest_laterals(
    bores_m: Sequence[float],
    law: EmitterLaw,
    limits: LateralLimits,
    spacing_m: float,
    *,
    rise: float = 0.0,
) -> tuple[LongestLateral, ...]:
    """Find how long a straight lateral may be in each bore.

    Where drippers do not regulate, until flows differ by more than is allowed; where they do,
    until the inlet or the strongest dripper would meet more than line and dripper are made for.

    Parameters
    ----------
    bores_m : sequence of float
        [m]
    law : EmitterLaw
        Of the drippers.
    limits : LateralLimits
        To be kept.
    spacing_m : float
        From dripper to dripper, and from the inlet to the first. [m]
    rise : float
        Height gained by a metre uphill, 0 or more. [-]
    """
    found = []
    for bore in bores_m:
        level = _line(spacing_m, 0.0)
        drippers = longest_drippers(level, 0, bore, law, limits)
        uphill = drippers
        if rise:
            uphill = longest_drippers(_line(spacing_m, rise), 0, bore, law, limits)
        inlet = 0.0
        if drippers:
            table = tabulate(level.cut(0, drippers), [bore], law, local_loss=limits.local_loss)
            inlet = float(table.inlet_m[0, 0])
        found.append(LongestLateral(bore, drippers * spacing_m, inlet, uphill * spacing_m, rise))
    return tuple(found)


def _line(spacing_m: float, rise: float) -> LateralLines:
    """One lateral, far longer than any that will do."""
    along = spacing_m * np.arange(1, MOST_DRIPPERS + 1)
    steps = np.full(MOST_DRIPPERS, spacing_m)
    return LateralLines(
        np.zeros(MOST_DRIPPERS, np.intp), steps, np.asarray(rise * along, np.float64)
    )
