"""Wires of all rows of a 1,000 ha estate in three load cases, beside a root finder in a loop."""

import time

import numpy as np
from scipy.optimize import brentq

from aanplant.brief import parse_brief
from aanplant.trellis.systems import system_of
from aanplant.trellis.wire_states import wire_states
from aanplant.trellis.wire_strength import (
    STEEL_EXPANSION_PER_K,
    axial_stiffness_n,
    weight_n_per_m,
)
from aanplant.trellis.wires import change_of_state
from benchmarks.timing import Result, best_of

ROWS, SEED, LIMIT_S = 10_000, 5, 1.0
LOADED_N_M, HOT_K, COLD_K = 58.0, 25.0, -23.0
SAMPLE = 200
"""Wires the loop solves; its time is that of all, reckoned from these."""
SEVEN = "".join(
    f'[[trellis.wires]]\nname = "{number}"\nheight = {0.7 + 0.15 * number}\ndiameter = 2.5\n'
    for number in range(7)
)
BRIEF = f'[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n{SEVEN}'


def results():
    """Yield the whole estate beside its limit, then the solution alone beside a loop."""
    system = system_of(parse_brief(BRIEF, "brief.toml"))
    span_m = np.random.default_rng(SEED).uniform(4.0, 8.0, ROWS)

    def solved():
        found = wire_states(system, span_m, 25.0, 33.0, hot_k=HOT_K, cold_k=COLD_K)
        return found.utilisation

    seconds = []
    for _ in range(5):
        start = time.perf_counter()
        solved()
        seconds.append(time.perf_counter() - start)
    utilisation = solved()
    assert utilisation.shape == (ROWS, 7)
    work = f"wires, {ROWS:,} rows x 7 lines x 3 cases"
    note = f"pull, sag and share of the break load, 1 s allowed; worst {utilisation.max():.2f}"
    yield Result(work, "limit", min(seconds), LIMIT_S, 1, note)
    yield _beside_a_loop(span_m)


def _beside_a_loop(span_m):
    own, stiffness = weight_n_per_m(2.5), axial_stiffness_n(2.5)
    tension_n = np.random.default_rng(SEED).uniform(300.0, 1500.0, (ROWS, 7))
    arguments = (own, LOADED_N_M, stiffness, STEEL_EXPANSION_PER_K, HOT_K)

    def ours():
        return change_of_state(tension_n, span_m[:, None], *arguments)

    def theirs():
        return [
            brentq(_off_balance, 1e-3, 1e6, args=(pull, span, *arguments), xtol=1e-9)
            for pull, span in zip(tension_n[:SAMPLE, 0], span_m[:SAMPLE], strict=True)
        ]

    np.testing.assert_allclose(ours()[:SAMPLE, 0], theirs(), rtol=1e-9)
    ours_s, theirs_s = best_of(5, ours, theirs)
    wires = tension_n.size
    return Result(
        f"change of state of {wires:,} wires",
        "scipy.optimize.brentq in a loop",
        ours_s,
        theirs_s / SAMPLE * wires,
        100.0,
        f"theirs reckoned from {SAMPLE} wires, equal to 1e-9",
    )


def _off_balance(after, before, span, first, second, stiffness, expansion, warmer):  # noqa: PLR0917
    return (
        after
        - before
        + (first * span) ** 2 * stiffness / (24.0 * before**2)
        - (second * span) ** 2 * stiffness / (24.0 * after**2)
        + stiffness * expansion * warmer
    )
