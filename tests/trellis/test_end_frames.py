"""End assemblies by another road: PyNite, a finite-element library for frames."""

import itertools

import numpy as np
import Pynite
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aanplant.trellis.end_strength import euler_load_n, post_bending_nm
from aanplant.trellis.ends import h_brace, row_pull, strut, tie_back

TENSION_N = (1500.0, 1000.0, 1000.0, 1000.0)
HEIGHT_M = (0.75, 1.05, 1.35, 1.70)
STIFFNESS_PA = 9e9
heights = st.floats(1.0, 2.0)
distances = st.floats(0.8, 3.0)
tensions = st.lists(st.floats(100.0, 3000.0), min_size=4, max_size=4)


class Frame:
    """A plane frame of round timber 100 mm thick; x along the row, y upright."""

    def __init__(self):
        self.model = Pynite.FEModel3D()
        self.model.add_material("timber", STIFFNESS_PA, STIFFNESS_PA / 16.0, 0.3, 0.0)
        area, inertia = np.pi * 0.1**2 / 4.0, np.pi * 0.1**4 / 64.0
        self.model.add_section("round", area, inertia, inertia, 2.0 * inertia)

    def node(self, name, x, y):
        self.model.add_node(name, x, y, 0.0)
        # Out of the plane nothing moves.
        self.model.def_support(name, support_DZ=True, support_RX=True, support_RY=True)

    def pinned(self, name, *, turns=True):
        """Hold a node in place; one that meets released bars alone must not spin by itself."""
        self.model.def_support(
            name,
            support_DX=True,
            support_DY=True,
            support_DZ=True,
            support_RX=True,
            support_RY=True,
            support_RZ=not turns,
        )

    def bar(self, name, start, end):
        """Add a bar that turns freely at both ends."""
        self.model.add_member(name, start, end, "timber", "round")
        self.model.def_releases(name, Rzi=True, Rzj=True)

    def post(self, held_at, tension, lean=0.0):
        """Add an end post pinned at its foot, with its wires and a node where it is held."""
        levels = sorted({0.0, held_at, *HEIGHT_M})
        out = -np.tan(np.radians(lean))
        for level in levels:
            self.node(f"at {level}", level * out, level)
        for low, high in itertools.pairwise(levels):
            self.model.add_member(f"post {low}", f"at {low}", f"at {high}", "timber", "round")
        for level, pull in zip(HEIGHT_M, tension, strict=True):
            self.model.add_node_load(f"at {level}", "FX", pull)
        self.pinned("at 0.0")
        return f"at {held_at}", [f"post {low}" for low in levels[:-1]]

    def solve(self):
        self.model.analyze_linear(check_statics=False)

    def reaction(self, name):
        node = self.model.nodes[name]
        return node.RxnFX["Combo 1"], node.RxnFY["Combo 1"]

    def axial(self, name):
        """Push in a bar, below 0 where it pulls."""
        return self.model.members[name].axial(0.0)

    def bending(self, names):
        members = [self.model.members[name] for name in names]
        return max(max(abs(m.max_moment("Mz")), abs(m.min_moment("Mz"))) for m in members)


def check_tie_back(tension, height, distance, lean):
    frame = Frame()
    head, post = frame.post(height, tension, lean)
    frame.node("anchor", -distance, 0.0)
    frame.pinned("anchor", turns=False)
    frame.bar("tie", head, "anchor")
    frame.solve()

    held = tie_back(row_pull(tension, HEIGHT_M), height, distance, lean)

    size = {"rel": 1e-6, "abs": 1e-2}
    assert frame.axial("tie") == pytest.approx(-held.tie_n, **size)
    assert frame.reaction("anchor") == pytest.approx(
        np.array([-held.anchor_horizontal_n, -held.uplift_n]), **size
    )
    assert frame.reaction("at 0.0") == pytest.approx(
        np.array([-held.foot_shear_n, held.thrust_n]), **size
    )
    assert frame.bending(post) == pytest.approx(post_bending_nm(tension, HEIGHT_M, height), **size)


def check_h_brace(tension, height, distance):
    frame = Frame()
    head, post = frame.post(height, tension)
    frame.node("second foot", distance, 0.0)
    frame.node("second head", distance, height)
    frame.pinned("second foot")
    frame.model.add_member("second", "second foot", "second head", "timber", "round")
    frame.bar("rail", head, "second head")
    frame.bar("wire", "at 0.0", "second head")
    frame.solve()

    held = h_brace(row_pull(tension, HEIGHT_M), height, distance)

    size = {"rel": 1e-6, "abs": 1e-2}
    assert frame.axial("rail") == pytest.approx(held.rail_n, **size)
    assert frame.axial("wire") == pytest.approx(-held.wire_n, **size)
    assert frame.reaction("at 0.0") == pytest.approx(
        np.array([-held.foot_shear_n, -held.uplift_n]), **size
    )
    assert frame.reaction("second foot") == pytest.approx(
        np.array([0.0, held.second_thrust_n]), **size
    )
    assert frame.bending(post) == pytest.approx(post_bending_nm(tension, HEIGHT_M, height), **size)


def check_strut(tension, height, distance):
    frame = Frame()
    head, post = frame.post(height, tension)
    frame.node("block", distance, 0.0)
    frame.pinned("block", turns=False)
    frame.bar("strut", head, "block")
    frame.solve()

    held = strut(row_pull(tension, HEIGHT_M), height, distance)

    size = {"rel": 1e-6, "abs": 1e-2}
    assert frame.axial("strut") == pytest.approx(held.axial_n, **size)
    assert frame.reaction("block") == pytest.approx(
        np.array([-held.block_horizontal_n, held.block_thrust_n]), **size
    )
    assert frame.reaction("at 0.0") == pytest.approx(
        np.array([-held.foot_shear_n, -held.uplift_n]), **size
    )
    assert frame.bending(post) == pytest.approx(post_bending_nm(tension, HEIGHT_M, height), **size)


@pytest.mark.parametrize(
    ("lean", "distance"), [(0.0, 1.7), (0.0, 1.2), (20.0, 1.7), (30.0, 1.8), (45.0, 1.0)]
)
def test_a_tied_post_has_the_forces_of_a_frame(lean, distance):
    check_tie_back(TENSION_N, 1.7, distance, lean)


def test_a_braced_pair_has_the_forces_of_a_frame():
    check_h_brace(TENSION_N, 1.5, 2.5)


def test_a_strutted_post_has_the_forces_of_a_frame():
    check_strut(TENSION_N, 1.3, 2.2)


@settings(max_examples=10)
@given(tensions, heights, distances, st.floats(0.0, 40.0).map(lambda lean: round(lean, 3)))
def test_any_assembly_has_the_forces_of_a_frame(tension, height, distance, lean):
    check_tie_back(tension, height, distance, lean)
    check_h_brace(tension, height, distance)
    check_strut(tension, height, distance)


def test_a_strut_bows_at_the_push_that_second_order_theory_gives():
    # Pushed with half its Euler load, a bar bends under a load at its middle by
    # 3 (tan u - u) / u3 times as much, u = (pi / 2) sqrt(1 / 2): Timoshenko and Gere.
    push = 0.5 * float(euler_load_n(100.0, 2.56, STIFFNESS_PA))
    sag = []
    for along in (0.0, push):
        frame = Frame()
        for i in range(21):
            frame.node(f"{i}", 2.56 * i / 20, 0.0)
        for i in range(20):
            frame.model.add_member(f"{i}", f"{i}", f"{i + 1}", "timber", "round")
        frame.pinned("0")
        frame.model.def_support(
            "20", support_DY=True, support_DZ=True, support_RX=True, support_RY=True
        )
        frame.model.add_node_load("20", "FX", -along)
        frame.model.add_node_load("10", "FY", -1.0)
        frame.model.analyze_PDelta()
        sag.append(frame.model.nodes["10"].DY["Combo 1"])

    u = np.pi / 2.0 * np.sqrt(0.5)
    assert sag[1] / sag[0] == pytest.approx(3.0 * (np.tan(u) - u) / u**3, rel=1e-3)
