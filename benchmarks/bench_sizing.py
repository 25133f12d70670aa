"""Pipe sizes of an estate of 50 sets, beside the time allowed and a solver called set by set."""

import time

import numpy as np

from aanplant.brief.pipes import PipeRules
from aanplant.water.pipe_choice import gradient_of, size_pipes
from aanplant.water.pipes import pipes_of
from aanplant.water.reaches import Reaches, gathered, reaches_of
from aanplant.water.sizing import size
from aanplant.water.taper import broken_joints
from benchmarks.timing import Result

SETS, LATERALS, SEED, LIMIT_S = 50, 100, 5, 10.0
ROW_M, BLOCK_M = 2.5, 120.0
SET_M3_S = 40.0 / 3600.0
INLET_M, SOURCE_M = 12.0, 60.0


def estate() -> tuple[Reaches, list[str], np.ndarray]:
    """One mainline past 50 blocks, each a submain with 100 laterals on rolling ground."""
    random = np.random.default_rng(SEED)
    trunk = np.arange(-1, SETS - 1)
    parent, low, length = [*trunk], [*random.uniform(-2.0, 2.0, SETS)], [BLOCK_M] * SETS
    for one in range(SETS):
        begin = len(parent)
        parent += [one, *range(begin, begin + LATERALS - 1)]
        x = ROW_M * np.arange(LATERALS)
        low += [*(low[one] + 0.005 * x + 0.4 * np.sin(x / 30.0))]
        length += [ROW_M] * LATERALS
    height = np.array(low)
    taken = np.zeros((SETS, len(parent)))
    least = np.full(taken.shape, -np.inf)
    for one in range(SETS):
        own = slice(SETS + one * LATERALS, SETS + (one + 1) * LATERALS)
        taken[one, own] = SET_M3_S / LATERALS
        least[one, own] = height[own] + INLET_M
    kinds = ["mainline"] * SETS + ["submain"] * (SETS * LATERALS)
    return reaches_of(parent, length, gathered(parent, taken), least), kinds, height


def results():
    """Yield the whole estate beside its limit, tapered and free, and the rules' own price."""
    reaches, kinds, low = estate()
    for taper in (True, False):
        rules = PipeRules(taper=taper)

        def sized(rules=rules):
            return size_pipes(rules, reaches, kinds, low, SOURCE_M)

        seconds = []
        for _ in range(3):
            start = time.perf_counter()
            sized()
            seconds.append(time.perf_counter() - start)
        found = sized()
        order = np.unique([pipe.outside_m for pipe in found.pipes], return_inverse=True)[1]
        grows = broken_joints(reaches, found.sizes.length_m, order)
        assert found.sizes.spare_m.min() > -1e-3
        assert not (taper and grows)
        yield Result(
            f"pipe sizes of {SETS} sets, {'tapered' if taper else 'free'}",
            "limit",
            min(seconds),
            LIMIT_S,
            1,
            f"{len(reaches.parent):,} reaches, {len(found.pipes)} pipes; "
            f"{found.sizes.cost / 1000.0:.2f} t of plastic, {len(grows)} joints grow",
        )
    yield _one_reach_at_a_time(reaches)


def _one_reach_at_a_time(reaches):
    """One submain, beside the cheapest of whole reaches by noughts and ones."""
    own = slice(SETS, SETS + LATERALS)
    flow = reaches.flow_m3_s[reaches.set == 0][1:]
    least = np.where(np.arange(LATERALS) == LATERALS - 1, -1.0, -np.inf)
    line = reaches_of(np.arange(-1, LATERALS - 1), reaches.length_m[own], flow, least)
    pipes = pipes_of("PVC-U", "class 6")
    gradient = gradient_of(line.flow_m3_s[:, None], np.array([pipe.bore_m for pipe in pipes]))
    cost = [pipe.weight_kg_m for pipe in pipes]
    seconds, costs = [], []
    for whole in (False, True):
        start = time.perf_counter()
        costs.append(size(line, gradient, cost, 0.0, whole_reaches=whole).cost)
        seconds.append(time.perf_counter() - start)
    return Result(
        f"one submain of {LATERALS} reaches",
        "whole reaches, by integers",
        seconds[0],
        seconds[1],
        1,
        f"whole reaches cost {costs[1] / costs[0] - 1.0:.2%} more",
    )
