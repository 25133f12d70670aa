"""Networks to solve twice, and EPANET 2.2 through wntr to solve them the other time."""

import math
import tempfile
import warnings
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

LITRES_PER_HOUR = 3.6e6
EPANET_GRAVITY = 32.2 * 0.3048
EPANET_VISCOSITY = 1.1e-5 * 0.3048**2
EPANET_LITRES = 28.317 / (1000.0 * 0.3048**3)
"""EPANET takes a cubic foot as 28.317 L; it holds this many of its own litres a litre."""
AS_EPANET = {"gravity": EPANET_GRAVITY, "viscosity_m2_s": EPANET_VISCOSITY}
PLASTIC_M = 1.5e-6
_DEMAND, _HEAD = 9, 10


@dataclass(frozen=True)
class Network:
    """The arrays that `solve` takes, in its order."""

    parent: np.ndarray
    length_m: np.ndarray
    diameter_m: np.ndarray
    elevation_m: np.ndarray
    coefficient: np.ndarray
    exponent: float = 0.5
    source_m: float = 15.0
    local_loss: float | np.ndarray = 0.0

    @property
    def arguments(self):
        return (
            self.parent,
            self.length_m,
            self.diameter_m,
            self.elevation_m,
            self.coefficient,
            self.exponent,
            self.source_m,
        )

    @property
    def emits(self):
        return self.coefficient > 0.0

    def but(self, **changes):
        return replace(self, **changes)


def comb(emitters, *, slope_x, slope_y, bores, flow_lph=2.0, exponent=0.5, source_m=15.0):
    """A submain with one lateral at each of its joints, `emitters[i]` drippers on the i-th.

    Block B1 of the notes on drip hydraulics has this form: 2.5 m between laterals, 0.6 m
    between drippers, half of either to the first, and waves on both slopes.
    """
    emitters = np.asarray(emitters)
    joint = 1 + np.concatenate([[0], np.cumsum(emitters[:-1] + 1)])
    nodes = 1 + int((emitters + 1).sum())
    x = 1.25 + 2.5 * np.arange(emitters.size)
    parent = np.arange(-1, nodes - 1)
    parent[joint[1:]] = joint[:-1]
    length = np.full(nodes, 0.6)
    length[joint] = np.where(np.arange(emitters.size) == 0, 1.25, 2.5)
    bore = np.full(nodes, 0.0142)
    quarter = (np.arange(emitters.size) * len(bores)) // emitters.size
    bore[joint] = np.asarray(bores)[quarter]
    height = np.zeros(nodes)
    height[joint] = slope_x * x + 0.4 * np.sin(x / 30.0)
    coefficient = np.full(nodes, flow_lph / LITRES_PER_HOUR / 10.0**exponent)
    coefficient[0] = coefficient[joint] = 0.0
    for at, count in zip(joint, emitters, strict=True):
        y = 0.3 + 0.6 * np.arange(count)
        mine = slice(at + 1, at + 1 + count)
        height[mine] = height[at] + slope_y * y + 0.3 * np.sin(y / 25.0)
        length[at + 1 : at + 1 + min(count, 1)] = 0.3
    return Network(parent, length, bore, height, coefficient, exponent, source_m)


def block_b1(laterals=100, emitters=200):
    """Block B1: 20,000 emitters."""
    return comb(
        np.full(laterals, emitters),
        slope_x=0.015,
        slope_y=-0.01,
        bores=(0.1036, 0.0846, 0.0704, 0.0592),
    )


def lateral(slope=0.0, *, emitters=200, spacing_m=0.6, first_m=0.3, bore_m=0.0142, source_m=10.0):
    """One lateral of 2.0 L/h drippers, flat or rising evenly."""
    nodes = emitters + 1
    along = np.concatenate([[0.0], first_m + spacing_m * np.arange(emitters)])
    coefficient = np.full(nodes, 2.0 / LITRES_PER_HOUR / math.sqrt(10.0))
    coefficient[0] = 0.0
    return Network(
        np.arange(-1, emitters),
        np.diff(along, prepend=0.0),
        np.full(nodes, bore_m),
        slope * along,
        coefficient,
        0.5,
        source_m,
    )


def epanet(network, *, headloss="D-W", roughness=PLASTIC_M, trials=200, options="", demand=None):
    """Flow of every node and its head, as EPANET finds them. [m3/s], [m]

    The input file is in litres a second, whose emitters keep their exponent. `demand`
    stands for emitters that regulate: their flow [m3/s] wherever the pressure is enough.
    """
    from wntr.epanet.toolkit import ENepanet

    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        at = Path(folder)
        text = _input(network, headloss, roughness, trials, options, demand)
        (at / "net.inp").write_text(text)
        engine = ENepanet(version=2.2)
        engine.ENopen(str(at / "net.inp"), str(at / "net.rpt"), str(at / "net.bin"))
        engine.ENopenH()
        engine.ENinitH(0)
        engine.ENrunH()
        nodes = network.parent.size
        index = [engine.ENgetnodeindex(f"n{i}") for i in range(nodes)]
        flow = np.array([engine.ENgetnodevalue(i, _DEMAND) for i in index]) / 1000.0
        head = np.array([engine.ENgetnodevalue(i, _HEAD) for i in index])
        engine.ENcloseH()
        engine.ENclose()
    flow[0] = 0.0
    return flow, head


def _input(network, headloss, roughness, trials, options, demand):  # noqa: PLR0917
    nodes = range(1, network.parent.size)
    wall = roughness * 1000.0 if headloss == "D-W" else roughness
    loss = np.broadcast_to(network.local_loss, network.parent.shape)
    asked = np.zeros(network.parent.shape) if demand is None else demand * 1000.0
    return "\n".join(
        [
            "[JUNCTIONS]",
            *(f"n{i} {float(network.elevation_m[i])!r} {float(asked[i])!r}" for i in nodes),
            "[RESERVOIRS]",
            f"n0 {float(network.source_m)!r}",
            "[PIPES]",
            *(
                f"p{i} n{network.parent[i]} n{i} {float(network.length_m[i])!r} "
                f"{1000.0 * float(network.diameter_m[i])!r} {wall!r} {float(loss[i])!r} Open"
                for i in nodes
            ),
            "[EMITTERS]",
            *(
                f"n{i} {1000.0 * float(network.coefficient[i])!r}"
                for i in nodes
                if network.coefficient[i] > 0.0
            ),
            "[OPTIONS]",
            "UNITS LPS",
            f"HEADLOSS {headloss}",
            f"EMITTER EXPONENT {network.exponent}",
            "VISCOSITY 1",
            "ACCURACY 1e-5",
            f"TRIALS {trials}",
            "UNBALANCED STOP",
            options,
            "[TIMES]",
            "DURATION 0",
            "[END]",
            "",
        ]
    )
