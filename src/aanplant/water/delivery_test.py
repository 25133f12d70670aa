"""The test of an installed system: volumes caught at drippers, set beside the design."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.errors import InputError
from aanplant.site.soil_classes import Rated, rated
from aanplant.water import uniformity

Values = NDArray[np.float64]

LEAST_PLACES = 4
"""Below this, a quarter of the places is less than one."""
ADVISED_PLACES = 16
"""Four laterals, four places on each (recalled)."""
PLACES_ON_EACH = (0.0, 1 / 3, 2 / 3, 1.0)
"""Inlet, a third, two thirds, end."""
ML_PER_M3 = 1e6
CLASSES = "uniformity_classes.csv"
FAR_FROM_DESIGN = 0.20
"""A place that gives this much more or less than its design is worth a visit (practice)."""


@dataclass(frozen=True, slots=True)
class DeliveryTest:
    """What was caught, and what it says.

    Parameters
    ----------
    flow_m3_s : ndarray, shape (n,)
        By volume and time. [m3/s]
    share_of_design : ndarray, shape (n,)
        Of the flow the design promised there; nan where there is none. [-]
    worst : ndarray of int, shape (n_far,)
        Places that are far from their design, or clogged, the farthest first.
    low_quarter_pct, statistical_pct, christiansen_pct : float
        Uniformity as measured. [%]
    design_low_quarter_pct : float
        Of the designed flows at the same places; nan without a design. [%]
    grade : Rated
        Class of the measured distribution uniformity.
    pressure_variation, dripper_variation : float
        Parts of the variation of flow that pressure and drippers make; nan where no
        pressures were measured. [-]
    is_small : bool
        Whether fewer than the advised places were measured.
    """

    flow_m3_s: Values
    share_of_design: Values
    worst: NDArray[np.intp]
    low_quarter_pct: float
    statistical_pct: float
    christiansen_pct: float
    design_low_quarter_pct: float
    grade: Rated
    pressure_variation: float
    dripper_variation: float
    is_small: bool


def delivery_test(
    volume_ml: ArrayLike,
    seconds: ArrayLike,
    *,
    design_m3_s: ArrayLike | None = None,
    head_m: ArrayLike | None = None,
    exponent: float = 0.5,
    where: str = "delivery test",
) -> DeliveryTest:
    """Judge an installed system by volumes caught at drippers.

    Parameters
    ----------
    volume_ml : array_like, shape (n,)
        Caught at each place, 0 where nothing came. [mL]
    seconds : array_like
        For how long. [s]
    design_m3_s : array_like, shape (n,), optional
        Flow that the design gives at the same drippers. [m3/s]
    head_m : array_like, shape (n,), optional
        Pressure measured at the same places. [m]
    exponent : float
        Of the dripper, to part what pressure does from what drippers do. [-]
    where : str
        File or form, for what is wrong.

    Raises
    ------
    InputError
        If fewer than four places were measured, a time or volume makes no sense, or lists
        differ in length.

    References
    ----------
    .. [1] Merriam, Keller (1978), Farm irrigation system evaluation, Utah State University.
    .. [2] Bralts, Kesner (1983), Drip irrigation field uniformity estimation, Trans. ASAE 26:
       1369-1374, from memory.
    """
    volume = np.asarray(volume_ml, np.float64).ravel()
    time = np.asarray(seconds, np.float64)
    _check(volume, time, where)
    flow = np.asarray(volume / ML_PER_M3 / time)
    design = _alike(design_m3_s, volume, "designed flows", where)
    share = np.full(volume.shape, np.nan) if design is None else flow / design
    low_quarter = uniformity.low_quarter_uniformity(flow)
    varies = uniformity.coefficient_of_variation(flow)
    by_pressure, by_dripper = _parts(varies, _alike(head_m, volume, "pressures", where), exponent)
    return DeliveryTest(
        flow,
        share,
        _worst(flow, share),
        low_quarter,
        uniformity.statistical_uniformity(varies),
        uniformity.christiansen_uniformity(flow),
        math.nan if design is None else uniformity.low_quarter_uniformity(design),
        rated("field DU", low_quarter, table=CLASSES),
        by_pressure,
        by_dripper,
        volume.size < ADVISED_PLACES,
    )


@dataclass(frozen=True, slots=True)
class Places:
    """Where to measure: four drippers on each of four laterals.

    Parameters
    ----------
    lateral, dripper : ndarray of int, shape (n,)
        Lateral along the submain and dripper along the lateral, both from 0 at the inlet.
    """

    lateral: NDArray[np.intp]
    dripper: NDArray[np.intp]


def places_to_measure(drippers: ArrayLike) -> Places:
    """Choose the places of a delivery test in a set.

    Inlet, a third, two thirds and end of the submain, and the same along each lateral; fewer
    where there are fewer laterals or drippers.

    Parameters
    ----------
    drippers : array_like of int, shape (n_laterals,)
        On each lateral, in the order the water reaches them.
    """
    counts = np.asarray(drippers, np.intp)
    laterals = _spread(counts.size)
    chosen = [(lateral, place) for lateral in laterals for place in _spread(int(counts[lateral]))]
    both = np.array(chosen, np.intp).reshape(-1, 2)
    return Places(both[:, 0], both[:, 1])


def _spread(count: int) -> list[int]:
    return sorted({round(share * (count - 1)) for share in PLACES_ON_EACH}) if count else []


def _worst(flow: Values, share: Values) -> NDArray[np.intp]:
    """Places off their design, or off the mean where there is none, the farthest first."""
    off = np.abs(np.where(np.isnan(share), flow / flow.mean(), share) - 1.0)
    order = np.argsort(-off, kind="stable")
    return np.asarray(order[off[order] > FAR_FROM_DESIGN], np.intp)


def _parts(varies: float, head_m: Values | None, exponent: float) -> tuple[float, float]:
    if head_m is None:
        return math.nan, math.nan
    by_pressure = exponent * uniformity.coefficient_of_variation(head_m)
    return by_pressure, math.sqrt(max(varies**2 - by_pressure**2, 0.0))


def _alike(values: ArrayLike | None, volume: Values, what: str, where: str) -> Values | None:
    if values is None:
        return None
    given = np.asarray(values, np.float64).ravel()
    if given.size != volume.size:
        raise InputError(
            where, f"{given.size} {what} for {volume.size} volumes", "one for each volume"
        )
    if not np.all(given > 0.0):
        raise InputError(where, f"{what} of 0 or less", f"{what} above 0")
    return given


def _check(volume: Values, time: Values, where: str) -> None:
    if volume.size < LEAST_PLACES:
        raise InputError(
            where,
            f"{volume.size} volumes",
            f"at least {LEAST_PLACES}, and better {ADVISED_PLACES}: four places on four laterals",
        )
    if np.any(~np.isfinite(volume)) or np.any(volume < 0.0) or not volume.any():
        raise InputError(where, "volumes below 0, missing, or all 0", "what was caught, in mL")
    if time.size not in {1, volume.size} or not np.all(np.isfinite(time)) or np.any(time <= 0.0):
        raise InputError(
            where, f"{time.size} times, or one of 0", "one time for all, or one each, above 0 s"
        )
