"""Size submains first and the mainline behind them, where drippers do not regulate.

What a submain may lose is bounded then by how evenly its drippers shall water, whatever head the
source has over; so each submain is sized by itself from the head behind its valve, and the
mainline must bring that head to every valve.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from aanplant.brief.pipes import PipeRules
from aanplant.inputs import PriceLine
from aanplant.water.pipe_choice import PipeSizing, size_pipes
from aanplant.water.reaches import SOURCE, Reaches, reaches_of
from aanplant.water.shortfall import Gradient
from aanplant.water.sizing_model import HeadForSale
from aanplant.water.system_pipes import SystemReaches

Values = NDArray[np.float64]
Whole = NDArray[np.int64]


def submains_first(  # noqa: PLR0917 - what size_pipes takes, and what a submain may lose
    rules: PipeRules,
    cut: SystemReaches,
    source_m: Values,
    rest_m: float | None,
    prices: Sequence[PriceLine],
    friction: Gradient,
    may_lose_m: float,
    pump: HeadForSale | None = None,
) -> tuple[PipeSizing, Values]:
    """Size a system in two steps.

    Parameters
    ----------
    rules, source_m, rest_m, prices, friction, pump
        As ``size_pipes`` takes them; head that is bought is weighed against the mainline.
    cut : SystemReaches
        Of the whole system.
    may_lose_m : float
        Head that may be lost from the valve to the lateral that needs most. [m]

    Returns
    -------
    PipeSizing, ndarray
        Of the mainline, and metres of every reach in every pipe. [m]

    Raises
    ------
    CannotBeSized
        As ``size_pipes``.
    """
    reaches = cut.reaches
    is_main = np.array([kind == "mainline" for kind in cut.kinds])
    flow, least = _dense(reaches)
    root = _roots(reaches, is_main)
    submains = np.flatnonzero(~is_main)
    stems = np.unique(root[submains])
    own = np.searchsorted(stems, root[submains])
    flow_sub = np.zeros((len(stems), len(submains)))
    least_sub = np.full(flow_sub.shape, -np.inf)
    flow_sub[own, np.arange(len(submains))] = flow[:, submains].max(axis=0)
    least_sub[own, np.arange(len(submains))] = least[:, submains].max(axis=0)
    head = least_sub.max(axis=1) + may_lose_m
    most_m = float(np.max(source_m)) + (0.0 if pump is None else pump.most_m)
    highest = most_m if rest_m is None else rest_m
    sub = size_pipes(
        rules,
        _part(reaches, submains, flow_sub, least_sub),
        [cut.kinds[reach] for reach in submains],
        cut.low_m[submains],
        head,
        prices=prices,
        rest_head_m=highest,
        friction=friction,
        widest=True,
    )
    mains = np.flatnonzero(is_main)
    valve = reaches.parent[stems]
    for stem, at in enumerate(valve.tolist()):
        runs = flow[:, at] > 0.0
        least[runs, at] = np.maximum(least[runs, at], head[stem])
    main = size_pipes(
        rules,
        _part(reaches, mains, flow[:, mains], least[:, mains]),
        [cut.kinds[reach] for reach in mains],
        cut.low_m[mains],
        source_m,
        prices=prices,
        rest_head_m=rest_m,
        pump=pump,
        friction=friction,
        widest=True,
    )
    length = np.zeros((len(reaches.parent), len(main.pipes)))
    length[submains], length[mains] = sub.sizes.length_m, main.sizes.length_m
    return main, length


def _dense(reaches: Reaches) -> tuple[Values, Values]:
    """Flow and least head, shape (n_sets, n_reaches)."""
    shape = (reaches.n_sets, len(reaches.parent))
    flow, least = np.zeros(shape), np.full(shape, -np.inf)
    flow[reaches.set, reaches.reach] = reaches.flow_m3_s
    least[reaches.set, reaches.reach] = reaches.least_head_m
    return flow, least


def _roots(reaches: Reaches, is_main: NDArray[np.bool_]) -> Whole:
    """First reach of the submain that each reach belongs to; its own for the mainline."""
    root = np.arange(len(reaches.parent))
    for reach, above in enumerate(reaches.parent.tolist()):
        if above != SOURCE and not is_main[reach] and not is_main[above]:
            root[reach] = root[above]
    return root


def _part(reaches: Reaches, some: Whole, flow_m3_s: Values, least_m: Values) -> Reaches:
    """Take some of the reaches by themselves; they begin where their parent is left out."""
    place = np.full(len(reaches.parent) + 1, SOURCE, np.int64)
    place[some] = np.arange(len(some))
    return reaches_of(
        place[reaches.parent[some]],
        reaches.length_m[some],
        flow_m3_s,
        least_m,
        name=[reaches.name[reach] for reach in some],
    )
