"""Defaults that hang on other keys, and what stands beside them."""

import pytest

from aanplant import tables
from aanplant.brief.linked import TABLE, linked
from aanplant.brief.reading import parse_brief
from aanplant.trellis.systems import system_names
from tests.trellis.test_design import BLOCK, planned, stops


def brief_of(rest):
    return linked(parse_brief(BLOCK + rest, "brief.toml"))


@pytest.mark.parametrize("system", system_names())
def test_every_system_of_the_table_holds_with_its_own_defaults(system):
    assert stops(planned(f'[trellis]\nsystem = "{system}"\n')) == {}


@pytest.mark.parametrize(
    "ends",
    ['assembly = "h-brace"', 'assembly = "strut"', 'anchor = "deadman"', 'anchor = "plate"'],
)
def test_every_kind_of_end_holds_a_common_trellis_with_its_own_defaults(ends):
    assert stops(planned(f"[ends]\n{ends}\n")) == {}


def test_what_is_given_stands_and_what_is_filled_in_does_not_count_as_given():
    brief = brief_of('[trellis]\nsystem = "lyre"\n[ends]\nhelix_diameter = 150\n')

    assert brief.ends.helix_diameter == 150.0
    assert brief.ends.brace_wire_strands == 3
    assert not brief.is_given("ends.brace_wire_strands")
    assert brief.is_given("ends.helix_diameter")
    assert brief.as_input("ends.anchor_depth").origin == "default:ends.anchor_depth"


def test_the_soil_of_posts_and_anchors_is_one_where_only_one_is_given():
    assert brief_of("").posts.cohesion == brief_of("").ends.cohesion
    assert brief_of("").posts.friction_angle == brief_of("").ends.friction_angle
    assert brief_of("[posts]\ncohesion = 30\n").ends.cohesion == 30.0
    assert brief_of("[ends]\nfriction_angle = 35\n").posts.friction_angle == 35.0
    both = brief_of("[posts]\ncohesion = 30\n[ends]\ncohesion = 80\n")
    assert (both.posts.cohesion, both.ends.cohesion) == (30.0, 80.0)
    assert brief_of('[posts]\nsoil = "sandy gravel"\n').ends.ground == "sand"


def test_posts_dug_in_are_drawn_out_the_sooner_at_row_ends_too():
    assert brief_of('[posts]\nset_by = "digging and ramming"\n').ends.post_pull_out == 0.88


def test_every_linked_default_is_a_value_its_key_takes():
    for row in tables.rows(TABLE):
        section, name = row["key"].split(".")
        text = f"{BLOCK}[{section}]\n{name} = {_toml(row['value'])}\n"
        assert parse_brief(text, "brief.toml").is_given(row["key"])


def _toml(value):
    return value if value.replace(".", "").isdigit() else f'"{value}"'
