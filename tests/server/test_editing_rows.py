"""Rows of a table in the brief change, move and go, and what is said beside the others stays."""

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from aanplant.server.editing import changed

BRIEF = """\
[trellis] # mine
yield_by_year = [ # the first two years bring nothing
  0.0, # first
  0.4, # second
  1.0, # grown
]

[[trellis.wires]] # the low one
name = "cordon" # measured
height = "0.7 m"
diameter = 2.5

[[trellis.wires]]
name = "pair"
height = 1.1
diameter = 2.0

[water]
flow_available = "40 m3/h" # tested
"""
CORDON = {"name": "cordon", "height": "0.7 m", "diameter": 2.5}
PAIR = {"name": "pair", "height": 1.1, "diameter": 2.0}


def with_wires(*rows: dict[str, Any]) -> str:
    return changed(BRIEF, {"trellis.wires": list(rows)})


def test_a_row_that_moves_takes_its_comments_along():
    text = with_wires(PAIR, CORDON)

    assert tomllib.loads(text)["trellis"]["wires"] == [PAIR, CORDON]
    assert text.index("pair") < text.index('[[trellis.wires]] # the low one\nname = "cordon" # me')


def test_a_changed_row_keeps_its_comments_and_a_new_one_takes_none():
    text = with_wires({**CORDON, "height": "0.8 m"}, {"name": "top", "height": 1.8})

    assert 'name = "cordon" # measured\nheight = "0.8 m"' in text
    assert "pair" not in text
    assert 'name = "top"\n' in text
    assert 'flow_available = "40 m3/h" # tested' in text


def test_items_of_a_list_keep_their_comments():
    text = changed(BRIEF, {"trellis.yield_by_year": [0.0, 0.3, 0.9, 1.0]})

    assert "0.3, # second" in text
    assert "# the first two years bring nothing" in text
    assert tomllib.loads(text)["trellis"]["yield_by_year"] == [0.0, 0.3, 0.9, 1.0]


def test_tables_within_rows_are_written_as_tables():
    lots = [{"id": "A", "virus_tests": [{"organism": "leafroll virus 3"}]}, {"id": "B"}]

    text = changed(BRIEF, {"nursery.lots": lots})

    assert tomllib.loads(text)["nursery"]["lots"] == lots
    assert (
        tomllib.loads(changed(text, {"nursery.lots": lots[::-1]}))["nursery"]["lots"] == lots[::-1]
    )


ROW = st.fixed_dictionaries(
    {"name": st.sampled_from("abc")},
    optional={
        "height": st.sampled_from([1.1, "0.7 m", "2 ft"]),
        "tests": st.lists(st.fixed_dictionaries({"x": st.integers(0, 2)}), max_size=2),
    },
)


@given(
    st.lists(ROW, max_size=4), st.lists(ROW, max_size=4), st.lists(st.integers(0, 3), max_size=4)
)
def test_whatever_rows_are_written_are_read_again(first, then, items):
    text = changed(BRIEF, {"trellis.wires": first})
    text = changed(text, {"trellis.wires": then, "trellis.yield_by_year": items})

    read = tomllib.loads(text)
    assert read["trellis"]["wires"] == then
    assert read["trellis"]["yield_by_year"] == items
    assert read["water"] == {"flow_available": "40 m3/h"}
