"""Systems stand as they are told; what cannot stand is named."""

from pathlib import Path

import pytest

from aanplant import tables
from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.trellis.breaches import Breach
from aanplant.trellis.systems import breaches_of, system_names, system_of, without_arm
from aanplant.trellis.wires import LOAD_BEARING

SMALLEST = '[block]\nboundary = "a.gpx"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
CORDON = '[[trellis.wires]]\nname = "cordon"\nheight = 0.9\ndiameter = 2.5\n'
TOP = '[[trellis.wires]]\nname = "top"\nheight = 1.6\ndiameter = 2.24\ngrade = "high strain"\n'


def system(lines):
    return system_of(parse_brief(SMALLEST + lines, "brief.toml"))


@pytest.mark.parametrize("name", system_names())
def test_every_system_of_the_table_stands(name):
    made = system(f'[trellis]\nsystem = "{name}"')

    assert made.name == name
    assert breaches_of(made) == ()
    assert (made.stake_length_m > 0.0) == (name == "bush")
    assert all(wire.role in {*LOAD_BEARING, "foliage"} for wire in made.wires)
    assert bool(made.wires) == (name != "bush")
    heights = [wire.height_m for wire in made.wires]
    assert heights == sorted(heights)


@pytest.mark.parametrize("strands", [3, 4, 5, 6, 7])
def test_a_vertical_system_has_as_many_strands_as_its_name_says(strands):
    assert system(f'[trellis]\nsystem = "vertical-{strands}"').strands == strands


def test_the_tables_of_systems_and_posts_name_the_same_systems():
    wires = {row["system"] for row in tables.rows("trellis_systems.csv")}
    arms = {row["system"] for row in tables.rows("trellis_arms.csv")}

    assert wires == set(system_names())
    assert arms <= wires
    for row in tables.rows("trellis_posts.csv"):
        assert 0.0 < float(row["embedment_m"]) < float(row["length_m"]) < 5.0


def test_wires_on_arms_lie_at_the_arms():
    """Half the strands on either side, no further out than the tips by a hand's width."""
    for name in ("double-cordon", "lyre", "gable"):
        made = system(f'[trellis]\nsystem = "{name}"')

        reach_m = max(arm.half_width_m for arm in made.arms)
        assert all(0.0 < wire.offset_m <= reach_m for wire in made.wires)
        assert all(wire.strands % 2 == 0 for wire in made.wires)


def test_the_wires_of_a_gable_lie_on_its_sloping_arm():
    made = system('[trellis]\nsystem = "gable"')
    (arm,) = made.arms

    for wire in made.wires:
        on_arm_m = arm.height_m + arm.rise_m * wire.offset_m / arm.half_width_m
        assert wire.height_m == pytest.approx(on_arm_m, abs=0.006)


def test_own_wires_stand_before_the_table_and_the_lowest_is_the_cordon():
    made = system("[trellis]\n" + CORDON + TOP)

    assert [(wire.name, wire.role) for wire in made.wires] == [
        ("cordon", "cordon"),
        ("top", "foliage"),
    ]
    assert {wire.origin for wire in made.wires} == {"brief:trellis.wires"}
    assert made.post_top_m == pytest.approx(1.8)


def test_own_wires_say_their_role_pull_and_place():
    made = system(
        CORDON + 'role = "fruit"\ntension = "0.6 kN"\noffset = "40 cm"\nstrands = 2\nmovable = true'
    )
    (wire,) = made.wires

    assert (wire.role, wire.tension_n, wire.offset_m) == ("fruit", 600.0, 0.4)
    assert wire.movable
    assert wire.carries_crop


def test_own_arms_rise_by_their_slope():
    made = system(CORDON + '[[trellis.arms]]\nheight = 1.4\nwidth = "2 m"\nslope = 45\n')
    (arm,) = made.arms

    assert (arm.half_width_m, arm.rise_m) == (1.0, pytest.approx(1.0))


def test_a_system_of_ones_own_may_have_any_name():
    assert system('[trellis]\nsystem = "my hedge"\n' + CORDON).name == "my hedge"


def test_the_system_described_on_the_page_stands():
    page = (Path(__file__).parents[2] / "docs" / "trellis.md").read_text(encoding="utf-8")
    described = next(part for part in page.split("```toml\n") if "my hedge" in part)

    made = system(described.partition("```")[0])

    assert breaches_of(made) == ()
    assert [wire.carries_crop for wire in made.wires] == [True, False]
    assert made.strands == 3
    assert [arm.half_width_m for arm in made.arms] == [0.3]


def test_own_wires_on_bush_vines_get_posts():
    assert system('[trellis]\nsystem = "bush"\n' + CORDON).post_length_m > 0.0


def test_lengths_of_the_brief_stand_before_the_table():
    made = system(
        "[trellis]\npost_length = 2.2\npost_embedment = 0.7\nend_post_length = 2.8\n"
        "end_post_embedment = 0.9\n[materials]\nline_post_length = 2.0\nend_post_length = 2.1\n"
    )

    assert (made.post_length_m, made.post_embedment_m) == (2.2, 0.7)
    assert (made.end_post_length_m, made.end_post_embedment_m) == (2.8, 0.9)


def test_a_length_given_with_the_materials_stands_before_the_table_too():
    made = system("[materials]\nline_post_length = 2.1\nend_post_length = 2.6\n")

    assert (made.post_length_m, made.end_post_length_m) == (2.1, 2.6)


def test_a_wire_above_the_post_top_is_named():
    found = breaches_of(system("[trellis]\npost_length = 2.1\n" + CORDON + TOP))

    (breach,) = found
    assert breach == Breach("wire_above_post", "top", 1.6, pytest.approx(1.5), "m")


def test_a_wire_on_an_arm_may_stand_above_the_post():
    arm = "[[trellis.arms]]\nheight = 1.4\nwidth = 2\nslope = 35\n"
    wire = '[[trellis.wires]]\nname = "tip"\nheight = 2.05\ndiameter = 2.5\noffset = 0.95\n'

    assert breaches_of(system("[trellis]\npost_length = 2.2\n" + CORDON + wire + arm)) == ()


def test_an_arm_above_the_post_top_is_named():
    arm = "[[trellis.arms]]\nheight = 2\nwidth = 1\n"

    found = breaches_of(system("[trellis]\npost_length = 2.4\n" + CORDON + arm))

    assert [breach.kind for breach in found] == ["arm_above_post"]


@pytest.mark.parametrize(
    ("lengths", "part"),
    [
        ("post_length = 1\npost_embedment = 1.2", "line post"),
        ("end_post_length = 1\nend_post_embedment = 1", "end post"),
    ],
)
def test_a_post_no_longer_than_its_hole_is_named_alone(lengths, part):
    (breach,) = breaches_of(system(f"[trellis]\n{lengths}"))

    assert (breach.kind, breach.part) == ("post_shorter_than_embedment", part)


@pytest.mark.parametrize(
    ("lines", "where", "expected"),
    [
        ('[trellis]\nsystem = "vertical5"', "trellis.system", '"vertical-5"'),
        ('[trellis]\nsystem = "zzz"', "trellis.system", "[[trellis.wires]]"),
        (CORDON + 'role = "foliage"', "trellis.wires", "support"),
        (CORDON + 'role = "hook"', "role", "'cordon'"),
        (CORDON + "tension = -600", "tension", "between 50 and 10000 N"),
        (CORDON + 'tension = "600 kg"', "tension", "a quantity in N"),
        (CORDON + "offset = -1", "offset", "between 0 and 2 m"),
        (CORDON + "strands = 0", "strands", "1"),
        (CORDON.replace("0.9", "-0.9"), "height", "between 0.1 and 3.5 m"),
        (CORDON.replace("2.5", "-2.5"), "diameter", "between 1 and 6 mm"),
        ("[trellis]\npost_length = -2", "trellis.post_length", "between 0.8 and 5 m"),
        ("[trellis]\npost_embedment = 0", "trellis.post_embedment", "between 0.1 and 2.5 m"),
        ("[trellis]\npost_every = 0", "trellis.post_every", "greater than or equal to 1"),
        ("[[trellis.arms]]\nheight = 1.4\nwidth = 0", "width", "between 0.1 and 4 m"),
        ("[[trellis.arms]]\nheight = 1.4\nwidth = 1\nslope = 90", "slope", "-60 and 75 deg"),
    ],
)
def test_what_is_wrong_is_named_by_its_key(lines, where, expected):
    with pytest.raises(InputError) as caught:
        system(lines)

    assert where in str(caught.value)
    assert expected in str(caught.value)


def test_an_unknown_grade_is_taken_and_ordered_under_its_own_name():
    (wire,) = system(CORDON + 'grade = "Soft, black"').wires

    assert wire.item == "wire-2.5-soft-black"


@pytest.mark.parametrize("name", system_names())
def test_an_arm_reaches_every_wire_of_the_table_that_hangs_aside(name):
    assert without_arm(system(f'[trellis]\nsystem = "{name}"\n')) == ()


def test_a_wire_aside_of_the_post_without_an_arm_is_found():
    (wire,) = without_arm(system('[trellis]\nsystem = "lyre"\n' + CORDON + "offset = 0.4\n"))

    assert wire.offset_m == 0.4
