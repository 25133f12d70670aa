"""How many sets a block has, and which rows belong to each, as the brief and the water allow."""

import math

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.water.bands import Bands
from aanplant.water.emitters import LITRES_PER_HOUR, law_of
from aanplant.water.sets import FLOW_SLACK, SetWeights, fewest_sets, group
from aanplant.water.system import LayoutBreach

Values = NDArray[np.float64]
Whole = NDArray[np.int64]

_LITRES = 1000.0
_M3_S_PER_M3_H = 1.0 / 3600.0


def choose_sets(
    brief: Brief, bands: Bands, emitters: Whole, in_zone: Values
) -> tuple[Whole, float, LayoutBreach | None]:
    """Choose the sets.

    Parameters
    ----------
    brief : Brief
        What is asked.
    bands : Bands
        Pieces in the order in which sets may follow one another.
    emitters : ndarray of int, shape (n_rows,)
        Drippers of every piece.
    in_zone : ndarray, shape (n_rows, n_zones)
        The same by soil zone.

    Returns
    -------
    set_of : ndarray of int
        Set of every piece, in the order of the bands.
    limit : float
        Largest flow the water allows; infinite when nothing is known. [m3/s]
    breach : LayoutBreach or None
        If a set takes more.

    Raises
    ------
    InputError
        If one row alone takes more than a set may, or more sets than rows are asked for.
    """
    rules, supply = brief.sets, brief.water.flow_available
    each = law_of(brief).flow_m3_s / LITRES_PER_HOUR / _LITRES
    piece = bands.piece
    flow = np.asarray(emitters[piece] * each, np.float64)
    limit = rules.flow or supply or np.inf
    if flow.max() > limit * (1.0 + FLOW_SLACK):
        raise _row_too_large(brief, float(flow.max()), limit, each)
    allowed = supply if supply is not None else limit
    if rules.number is not None and rules.number > len(piece):
        raise InputError(
            "brief.toml: sets.number",
            f"{rules.number} sets of {len(piece)} rows",
            f"at most {len(piece)}, one row in each",
        )
    weights = SetWeights(rules.soil_weight, rules.valve_weight, rules.even_weight)
    kept = limit
    if rules.number is not None:
        kept = _kept(flow, rules.number, min(limit, allowed), limit)
    set_of = group(
        flow,
        in_zone[piece] * each,
        bands.band,
        kept,
        number=rules.number,
        weights=weights,
    )
    largest = np.bincount(set_of, flow)
    over = None
    if largest.max() > allowed * (1.0 + FLOW_SLACK):
        works = fewest_sets(flow, allowed) if flow.max() <= allowed else None
        part = f"{int(largest.argmax()) + 1}"
        over = LayoutBreach(
            "set_above_supply", part, float(largest.max()), float(allowed), "m3/h", works
        )
    return set_of, float(allowed) * _M3_S_PER_M3_H, over


def _kept(flow: Values, number: int, *limits: float) -> float:
    """Return the first of the limits that so many sets can keep; infinite where they keep none."""
    return next(
        (
            limit
            for limit in limits
            if flow.max() <= limit * (1.0 + FLOW_SLACK) and number >= fewest_sets(flow, limit)
        ),
        np.inf,
    )


def _row_too_large(brief: Brief, flow: float, limit: float, each: float) -> InputError:
    key = "sets.flow" if brief.sets.flow else "water.flow_available"
    longest = int(limit / each) * brief.water.emitter.spacing
    return InputError(
        f"brief.toml: {key}",
        f"{limit:g} m3/h, while one row alone takes {flow:.3g} m3/h",
        f"at least {_up(flow)} m3/h; or rows.longest of at most {int(longest)} m, or a smaller "
        "dripper",
    )


def _up(flow: float) -> str:
    return f"{math.ceil(flow * 1000.0 - FLOW_SLACK) / 1000.0:g}"
