"""What every set asks of the pump, which set asks most, and where the pump falls short."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.brief import Brief
from aanplant.trellis.breaches import Breach
from aanplant.water.emitters import WATER_N_M3
from aanplant.water.pump import PumpCurve, curve_of
from aanplant.water.pump_power import SECONDS_PER_HOUR, W_PER_KW

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SetDuties:
    """The pump's duty in each set; all arrays of shape (n_sets,).

    Parameters
    ----------
    flow_m3_s, head_m : ndarray
        Asked of the pump. [m3/s], [m]
    pumped_head_m : ndarray
        Head it gives at that flow, which the valve cuts to what is asked; what is asked where
        no curve is known or the pump can't give it. [m]
    spare_m : ndarray
        Head it has over, below 0 where it falls short; nan without a curve and outside it. [m]
    input_kw : ndarray
        Drawn at the meter. [kW]
    kwh_per_m3 : ndarray
        [kWh/m3]
    worst : int
        Set that leaves the pump least head over; that of the greatest head without a curve.
    breaches : tuple of Breach
        Sets that ask for more head than the pump has, or for a flow outside its curve; ``row``
        is the set.
    """

    flow_m3_s: Values
    head_m: Values
    pumped_head_m: Values
    spare_m: Values
    input_kw: Values
    kwh_per_m3: Values
    worst: int
    breaches: tuple[Breach, ...]


def set_duties(brief: Brief, flow_m3_s: ArrayLike, head_m: ArrayLike) -> SetDuties:
    """Work out what each set asks of the brief's pump.

    A pump gives its own head whatever is asked, so a set that asks for less pays for the rest
    too: energy counts the head that is pumped.

    Parameters
    ----------
    brief : Brief
        Gives the pump's curve, if it is known, and the efficiencies.
    flow_m3_s, head_m : array_like, shape (n_sets,)
        Asked by each set. [m3/s], [m]

    Raises
    ------
    ValueError
        If there is no set.
    """
    flow, head = np.asarray(flow_m3_s, np.float64), np.asarray(head_m, np.float64)
    if flow.size == 0 or flow.shape != head.shape:
        raise ValueError("a pump needs one set or more, with a head for each flow")
    curve = curve_of(brief.pump.curve) if brief.pump.curve else None
    spare = np.full(flow.shape, np.nan) if curve is None else curve.head(flow) - head
    pumped = head + np.maximum(np.nan_to_num(spare), 0.0)
    whole = brief.pump.efficiency * brief.pump.motor_efficiency
    per_m3 = WATER_N_M3 * pumped / whole / W_PER_KW / SECONDS_PER_HOUR
    is_known = bool(np.any(np.isfinite(spare)))
    return SetDuties(
        flow,
        head,
        pumped,
        spare,
        per_m3 * flow * SECONDS_PER_HOUR,
        per_m3,
        int(np.nanargmin(spare)) if is_known else int(head.argmax()),
        () if curve is None else tuple(_breaches(curve, flow, head, spare)),
    )


def _breaches(curve: PumpCurve, flow: Values, head: Values, spare: Values) -> Sequence[Breach]:
    found = []
    first, last = curve.ends
    for at in range(flow.size):
        m3_h = float(flow[at]) * SECONDS_PER_HOUR
        if flow[at] < first or flow[at] > last:
            nearest = (first if flow[at] < first else last) * SECONDS_PER_HOUR
            found.append(Breach("flow_outside_pump_curve", "pump", m3_h, nearest, "m3/h", at))
        elif spare[at] < 0.0:
            given = float(head[at] + spare[at])
            found.append(Breach("pump_head_short", "pump", float(head[at]), given, "m", at))
    return found
