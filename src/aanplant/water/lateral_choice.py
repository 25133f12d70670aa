"""The smallest bore of dripper line that still waters evenly along every lateral."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.water.emitters import EmitterLaw
from aanplant.water.lateral_bores import BoreTable, LateralLines, tabulate

_FIRST_TRIED = 64
"""Drippers with which the search for the longest lateral begins."""


@dataclass(frozen=True, slots=True)
class LateralLimits:
    """What a lateral must keep.

    Parameters
    ----------
    flow_variation : float
        Most that the least flow may lie under the greatest. [-]
    most_pressure_m : float
        Pressure that the line may bear, or that there is at its inlet. [m]
    local_loss : float
        Coefficient K of what a dripper takes up in the line, K V2/2g. [-]
    """

    flow_variation: float
    most_pressure_m: float = np.inf
    local_loss: float = 0.0


class LateralTooLong(InputError):  # noqa: N818 - says what is the case
    """No bore keeps the limits along a lateral.

    Parameters
    ----------
    where, found, expected : str
        As for every ``InputError``.
    lateral : int
        Place of the worst among the laterals given.
    variation : float
        Share by which its least flow lies under its greatest, in the widest bore. [-]
    longest_m : float
        How long it may be in the widest bore. [m]
    """

    def __init__(
        self,
        where: str,
        found: str,
        expected: str,
        *,
        lateral: int,
        variation: float,
        longest_m: float,
    ) -> None:
        super().__init__(where, found, expected)
        self.lateral = lateral
        self.variation = variation
        self.longest_m = longest_m


@dataclass(frozen=True)
class LateralChoice:
    """The bore that serves.

    Parameters
    ----------
    place : int
        Among the bores given.
    bore_m : float
        [m]
    table : BoreTable
        The laterals in this bore, shape (n_laterals, 1).
    """

    place: int
    bore_m: float
    table: BoreTable


def choose_bore(
    lines: LateralLines,
    bores_m: Sequence[float],
    law: EmitterLaw,
    limits: LateralLimits,
    *,
    name: str = "laterals",
) -> LateralChoice:
    """Choose the smallest bore with which all laterals keep the limits.

    Parameters
    ----------
    lines, bores_m, law
        As for ``tabulate``.
    limits : LateralLimits
        To be kept by every lateral.
    name : str
        What a person calls these laterals.

    Raises
    ------
    LateralTooLong
        If none does; with how long such a lateral may be in the widest bore.
    """
    if not len(bores_m):
        raise ValueError("no bores to choose from")
    order = np.argsort(bores_m)
    for place in order:
        table = tabulate(lines, [bores_m[place]], law, local_loss=limits.local_loss)
        if _keeps(table, law, limits).all():
            return LateralChoice(int(place), float(bores_m[place]), table)
    bore = float(bores_m[order[-1]])
    table = tabulate(lines, [bore], law, local_loss=limits.local_loss)
    keeps = _keeps(table, law, limits)[:, 0]
    worst = int(np.argmax(np.where(keeps, -np.inf, table.inlet_m[:, 0])))
    drippers = longest_drippers(lines, worst, bore, law, limits)
    longest = float(lines.cut(worst, drippers).step_m.sum()) if drippers else 0.0
    raise LateralTooLong(
        f"water: {name}",
        f"flows that differ by {table.variation[worst, 0]:.1%}, where {limits.flow_variation:.1%} "
        "is allowed, and pressures of "
        f"{table.least_m[worst, 0]:.1f} to {table.inlet_m[worst, 0]:.1f} m "
        f"in the widest line, {bore * 1000.0:g} mm",
        f"laterals of at most {math.floor(longest)} m, a wider line, or submains amid the rows",
        lateral=worst,
        variation=float(table.variation[worst, 0]),
        longest_m=longest,
    )


def longest_drippers(
    lines: LateralLines, lateral: int, bore_m: float, law: EmitterLaw, limits: LateralLimits
) -> int:
    """Return up to which dripper from its inlet a lateral keeps the limits, 0 for none.

    Parameters
    ----------
    lines, law
        As for ``tabulate``.
    lateral : int
        Which of them.
    bore_m : float
        [m]
    limits : LateralLimits
        To be kept.
    """

    def keeps(drippers: int) -> bool:
        line = lines.cut(lateral, drippers)
        table = tabulate(line, [bore_m], law, local_loss=limits.local_loss)
        return bool(_keeps(table, law, limits).all())

    all_of_it = int((lines.lateral == lateral).sum())
    low, high = 0, _FIRST_TRIED
    while high <= all_of_it and keeps(high):
        low, high = high, 2 * high
    high = min(high, all_of_it + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if keeps(middle) else (low, middle)
    return low


def _keeps(table: BoreTable, law: EmitterLaw, limits: LateralLimits) -> NDArray[np.bool_]:
    is_even = table.variation <= limits.flow_variation
    is_soft = (table.most_m <= law.highest_head_m) & (table.inlet_m <= limits.most_pressure_m)
    return np.asarray(is_even & is_soft)
