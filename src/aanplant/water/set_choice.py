"""How many sets a block has, and which rows belong to each, as the brief and the water allow."""

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.water.bands import Bands
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
    each = brief.water.emitter.flow / _LITRES
    piece = bands.piece
    flow = np.asarray(emitters[piece] * each, np.float64)
    limit = rules.flow or supply or np.inf
    if flow.max() > limit:
        raise _row_too_large(brief, float(flow.max()), limit)
    fewest = fewest_sets(flow, limit)
    if rules.number is not None and rules.number > len(piece):
        raise InputError(
            "brief.toml: sets.number",
            f"{rules.number} sets of {len(piece)} rows",
            f"at most {len(piece)}, one row in each",
        )
    weights = SetWeights(rules.soil_weight, rules.valve_weight, rules.even_weight)
    kept = limit if rules.number is None or rules.number >= fewest else np.inf
    set_of = group(
        flow,
        in_zone[piece] * each,
        bands.band,
        kept,
        number=rules.number,
        weights=weights,
    )
    largest = np.bincount(set_of, flow)
    allowed = supply if supply is not None else limit
    over = None
    if largest.max() > allowed * (1.0 + FLOW_SLACK):
        works = fewest_sets(flow, allowed) if flow.max() <= allowed else None
        part = f"{int(largest.argmax()) + 1}"
        over = LayoutBreach(
            "set_above_supply", part, float(largest.max()), float(allowed), "m3/h", works
        )
    return set_of, float(allowed) * _M3_S_PER_M3_H, over


def _row_too_large(brief: Brief, flow: float, limit: float) -> InputError:
    key = "sets.flow" if brief.sets.flow else "water.flow_available"
    emitter = brief.water.emitter
    return InputError(
        f"brief.toml: {key}",
        f"{limit:g} m3/h, while one row alone takes {flow:.3g} m3/h",
        f"at least {flow:.3g} m3/h; or rows.longest of at most "
        f"{limit * _LITRES / emitter.flow * emitter.spacing:.0f} m, or a smaller dripper",
    )
