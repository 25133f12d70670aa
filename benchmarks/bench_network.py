"""Flow of every dripper of block B1, beside EPANET 2.2 alone and through wntr."""

import tempfile
import time
import warnings
from pathlib import Path

import numpy as np

from aanplant.water.network import Flows, solve
from benchmarks.timing import Result, best_of

LITRES_PER_HOUR, SOURCE_M, PLASTIC_M = 3.6e6, 15.0, 1.5e-6
LATERALS, DRIPPERS = 100, 200
BORES_M = (0.1036, 0.0846, 0.0704, 0.0592)
AS_EPANET = {"gravity": 32.2 * 0.3048, "viscosity_m2_s": 1.1e-5 * 0.3048**2}
APART = 5e-6
SETS, ESTATE_LIMIT_S = 50, 10.0
_DEMAND = 9


def block():
    """Block B1 of the notes on drip hydraulics: 100 laterals of 200 drippers of 2 L/h."""
    x, y = 1.25 + 2.5 * np.arange(LATERALS), 0.3 + 0.6 * np.arange(DRIPPERS)
    joint = 1 + np.arange(LATERALS) * (DRIPPERS + 1)
    nodes = 1 + LATERALS * (DRIPPERS + 1)
    parent = np.arange(-1, nodes - 1)
    parent[joint[1:]] = joint[:-1]
    length, bore, height = np.full(nodes, 0.6), np.full(nodes, 0.0142), np.zeros(nodes)
    length[joint], length[joint + 1], length[1] = 2.5, 0.3, 1.25
    bore[joint] = np.repeat(BORES_M, LATERALS // len(BORES_M))
    height[joint] = 0.015 * x + 0.4 * np.sin(x / 30.0)
    along = -0.01 * y + 0.3 * np.sin(y / 25.0)
    height[joint[:, None] + 1 + np.arange(DRIPPERS)] = height[joint][:, None] + along
    coefficient = np.full(nodes, 2.0 / LITRES_PER_HOUR / np.sqrt(10.0))
    coefficient[0] = coefficient[joint] = 0.0
    return parent, length, bore, height, coefficient, 0.5


def results():
    """Yield B1 beside the engine, beside wntr, then an estate of fifty such sets."""
    arrays = block()
    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield from _beside(arrays, Path(folder))
    yield _estate(arrays)


def ours(arrays, source_m=SOURCE_M) -> Flows:
    """Solve the block with EPANET's constants."""
    return solve(*arrays, source_m, **AS_EPANET)


def _beside(arrays, folder):
    import wntr

    network = _model(wntr, arrays)
    wntr.network.write_inpfile(network, str(folder / "b1.inp"), units="LPS")
    engine = wntr.epanet.toolkit.ENepanet(version=2.2)
    engine.ENopen(*(str(folder / f"b1.{end}") for end in ("inp", "rpt", "bin")))
    engine.ENopenH()

    def alone():
        engine.ENinitH(0)
        engine.ENrunH()

    def through_wntr():
        return wntr.sim.EpanetSimulator(network).run_sim(file_prefix=str(folder / "run"))

    runs = 20
    ours_s, alone_s = best_of(runs, lambda: ours(arrays), alone)
    drips = np.flatnonzero(arrays[4] > 0.0)
    index = [engine.ENgetnodeindex(f"n{node}") for node in drips]
    theirs = np.array([engine.ENgetnodevalue(node, _DEMAND) for node in index]) / 1000.0
    engine.ENcloseH()
    engine.ENclose()
    apart = float(np.abs(ours(arrays).emitter_flow_m3_s[drips] / theirs - 1.0).max())
    assert apart < APART, f"the flows differ by up to {apart}"
    work = f"drip block B1, {drips.size:,} drippers"
    note = f"flows equal to {apart:.1e}"
    yield Result(work, "EPANET 2.2, solve only", ours_s, alone_s, 10.0, note)
    ours_s, whole_s = best_of(3, lambda: ours(arrays), through_wntr)
    yield Result(work, "wntr, model built, run_sim", ours_s, whole_s, 100.0)


def _model(wntr, arrays):
    """The same block as wntr's own objects."""
    parent, length, bore, height, coefficient, exponent = arrays
    network = wntr.network.WaterNetworkModel()
    hydraulic = network.options.hydraulic
    hydraulic.inpfile_units, hydraulic.headloss = "LPS", "D-W"
    hydraulic.emitter_exponent, hydraulic.accuracy, hydraulic.trials = exponent, 1e-5, 200
    network.options.time.duration = 0
    network.add_reservoir("n0", base_head=SOURCE_M)
    for node in range(1, parent.size):
        network.add_junction(f"n{node}", 0.0, elevation=height[node])
        if coefficient[node]:
            network.get_node(f"n{node}").emitter_coefficient = coefficient[node]
        ends = f"n{parent[node]}", f"n{node}"
        network.add_pipe(f"p{node}", *ends, length[node], bore[node], PLASTIC_M, 0.0)
    return network


def _estate(arrays):
    start = time.perf_counter()
    total = sum(
        ours(arrays, source_m).pipe_flow_m3_s[0] for source_m in np.linspace(10.0, 20.0, SETS)
    )
    seconds = time.perf_counter() - start
    note = f"{total * 3600:.0f} m3/h in all; sizing of pipes not in it"
    work = f"{SETS} sets of {LATERALS * DRIPPERS:,} drippers"
    return Result(work, "limit", seconds, ESTATE_LIMIT_S, 1, note)
