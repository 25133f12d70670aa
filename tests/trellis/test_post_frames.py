"""Bending of a line post by another road: PyNite, a finite-element library for frames."""

import numpy as np
import Pynite
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aanplant.brief.reading import parse_brief
from aanplant.trellis.loads import post_loads
from aanplant.trellis.posts import post_of

BRIEF = (
    '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
    '[posts]\nsize = "100-125"\n[canopy]\nheight = {height}\n'
)


def base_of(post, pressure_n_m, foot_m, top_m, *, side_n, side_height_m):
    """Force and bending at the foot of a post fixed in the ground, leafy from foot to top."""
    model = Pynite.FEModel3D()
    model.add_material("timber", post.elasticity_mpa * 1e6, post.elasticity_mpa * 1e6 / 16, 0.3, 0)
    area, inertia = np.pi * post.width_m**2 / 4.0, np.pi * post.width_m**4 / 64.0
    model.add_section("round", area, inertia, inertia, 2.0 * inertia)
    model.add_node("ground", 0.0, 0.0, 0.0)
    model.add_node("top", 0.0, top_m, 0.0)
    model.def_support("ground", *(True,) * 6)
    model.add_member("post", "ground", "top", "timber", "round")
    model.add_member_dist_load("post", "FX", pressure_n_m, pressure_n_m, foot_m, top_m)
    model.add_member_pt_load("post", "FX", side_n, side_height_m)
    model.analyze_linear()
    ground = model.nodes["ground"]
    return abs(ground.RxnFX["Combo 1"]), abs(ground.RxnMZ["Combo 1"])


@given(st.floats(0.3, 2.0), st.floats(0.3, 1.2), st.floats(0.0, 500.0), st.floats(0.4, 0.99))
@settings(max_examples=25)
def test_a_post_fixed_in_the_ground_bends_as_a_frame_library_says(height, foot, side, share):
    brief = parse_brief(BRIEF.format(height=height), "brief.toml")
    top = foot + height
    loads = post_loads(brief, 6.0, foot, side_n=side, side_height_m=share * top)
    pressure = loads.force_n(loads.gust_m_s) - side

    force, moment = base_of(
        post_of(brief), float(pressure) / height, foot, top, side_n=side, side_height_m=share * top
    )

    assert float(loads.force_n(loads.gust_m_s)) == pytest.approx(force, rel=1e-6)
    assert float(loads.moment_nm(loads.gust_m_s)) == pytest.approx(moment, rel=1e-6)


def test_the_stress_at_the_ground_line_is_the_strength_at_the_ultimate_moment():
    post = post_of(parse_brief(BRIEF.format(height=1.2), "brief.toml"))
    force = post.ultimate_moment_nm / 1.3

    _, moment = base_of(post, 0.0, 0.5, 1.7, side_n=force, side_height_m=1.3)
    # Outer fibre of the section the library was given: M c / I.
    stress = moment * (post.width_m / 2.0) / (np.pi * post.width_m**4 / 64.0)

    assert stress / 1e6 == pytest.approx(post.strength_mpa)
