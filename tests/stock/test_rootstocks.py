"""Rootstocks: the table, names, and the chlorosis index."""

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files.own_rootstocks import read_rootstocks
from aanplant.rootstock_facts import ATTRIBUTES, RANGES, RootstockFact
from aanplant.stock.affinity import affinity
from aanplant.stock.chlorosis import chlorosis_index
from aanplant.stock.rootstocks import rootstocks


@pytest.mark.published(
    source="Juste and Pouget (1972), the formula worked by hand; the scale is from memory",
    quantity="chlorosis power index",
    unit="",
)
@pytest.mark.parametrize(
    ("lime", "iron", "printed", "tolerance"),
    [(10, 50, 40.0, 0.05), (20, 50, 80.0, 0.05), (15, 80, 23.44, 0.005), (25, 30, 277.8, 0.05)],
)
def test_chlorosis_index(published, lime, iron, printed, tolerance):
    index = chlorosis_index(lime, iron)

    published.equal(index, printed=printed, tolerance=tolerance, label=f"{lime} %, {iron} mg/kg")


@pytest.mark.parametrize(("lime", "iron"), [(-1, 50), (101, 50), (10, 0), (np.nan, 50)])
def test_the_index_refuses_what_no_soil_has(lime, iron):
    with pytest.raises(ValueError, match="must be"):
        chlorosis_index(lime, iron)


def test_every_stock_says_something_of_every_attribute_within_its_range():
    known = rootstocks()

    assert len(known.names) >= 24
    assert {fact.attribute for fact in known.facts} <= set(ATTRIBUTES)
    for attribute, (least, greatest) in RANGES.items():
        assert all(known.of(name, attribute) for name in known.names)
        found = known.ranges(attribute)
        known_cells = found[~np.isnan(found[:, 0])]
        assert (known_cells[:, 0] <= known_cells[:, 1]).all()
        assert ((known_cells >= least) & (known_cells <= greatest)).all()


def test_conflicting_sources_stand_as_a_range_and_unknown_stays_unknown():
    known = rootstocks()

    lime, chlorosis = known.ranges("active_lime"), known.ranges("chlorosis")

    assert lime[known.names.index("140Ru")].tolist() == [20, 40]
    assert np.isnan(chlorosis[known.names.index("Ramsey")]).all()
    assert known.spread("dagger", 0.5)[known.names.index("US 8-7")].tolist() == [1, 5]


def test_own_rows_take_the_place_of_shipped_ones():
    own = RootstockFact("140Ru", "active_lime", 30.0, 30.0, "", "own", "own")

    known = rootstocks([own])

    assert known.of("140Ru", "active_lime") == (own,)


@pytest.mark.parametrize("name", ["99R", "r99", "Richter 99", "99 R"])
def test_a_stock_is_known_by_its_other_names(name):
    assert rootstocks().named(name) == "99R"


def test_no_name_means_two_stocks():
    known = rootstocks()

    assert all(known.named(name) == name for name in known.names)


def test_an_unknown_stock_is_refused_with_the_nearest_names():
    with pytest.raises(InputError, match="110R"):
        rootstocks().named("111R")


@pytest.mark.parametrize(
    ("stock", "scion", "levels"),
    [
        ("41B", "merlot", ["stop"]),
        ("101-14", "Chardonnay", ["care"]),
        ("101-14", "Colombard", ["care"]),
        ("101-14", "Sémillon", ["care"]),
        ("99R", "Merlot", []),
    ],
)
def test_a_graft_that_fails_stops_the_plan(stock, scion, levels):
    assert [finding.level for finding in affinity(stock, scion)] == levels


OWN_ROWS = """# invented
rootstock,attribute,low,high,text,source
Richter 99,drought,2,,,own trial 2015-2024
140Ru,active lime,30,35,,own trial
140Ru,chlorosis,,,unknown,doubted
99R,caution,,,weak on our gravel,own trial
99R,graft weak,,,Chénin Blanc,nursery's letter of 2024
Paulsen 775,vigour,4,5,,a neighbour
Paulsen 775,vinifera parent,,,no,a neighbour
"""


def own_rows(tmp_path, text):
    path = tmp_path / "rootstocks.csv"
    path.write_text(text, encoding="utf-8")
    return read_rootstocks(path)


def test_the_estates_own_rows_are_read_and_overrule(tmp_path):
    known = rootstocks(own_rows(tmp_path, OWN_ROWS))

    drought, lime = known.ranges("drought"), known.ranges("active_lime")
    assert drought[known.names.index("99R")].tolist() == [2, 2]
    assert lime[known.names.index("140Ru")].tolist() == [30, 35]
    assert np.isnan(known.ranges("chlorosis")[known.names.index("140Ru")]).all()
    assert len(known.texts("99R", "caution")) == len(rootstocks().texts("99R", "caution")) + 1
    assert known.named("paulsen 775") == "Paulsen 775"
    assert known.spread("ring", 0.5)[known.names.index("Paulsen 775")].tolist() == [1, 5]


def test_a_graft_the_estate_warns_of_is_a_care(tmp_path):
    known = rootstocks(own_rows(tmp_path, OWN_ROWS))

    found = list(affinity("99R", "Chenin blanc", known))

    assert [(f.level, f.values["text"]) for f in found] == [("care", "nursery's letter of 2024")]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("99R,vigor,3,,,x", "'vigour'"),
        ("99R,root knott,3,,,x", "'root knot'"),
        ("99R,vigour,9,,,x", "between 1 and 5"),
        ("99R,active_lime,101,,,x", "between 0 and 100"),
        ("99R,vigour,4,3,,x", "low before high"),
        ("99R,vigour,,,,x", "a number"),
        ("99R,vigour,,4,,x", "a number in the column low"),
        ("99R,vigour,strong,,,x", "a plain number"),
        ("99R,vigour,3,,,", "who says so"),
        ("99R,caution,,,,x", "words"),
        ("99R,caution,3,,,x", "words"),
        ("99R,vinifera parent,,,maybe,x", "one of yes, no, unknown"),
        (",vigour,3,,,x", "the rootstock's name"),
    ],
)
def test_a_bad_line_of_the_estates_rootstocks_is_refused_with_its_number(tmp_path, line, said):
    with pytest.raises(InputError, match=said) as refused:
        own_rows(tmp_path, f"rootstock,attribute,low,high,text,source\n{line}\n")

    assert "line 2" in refused.value.where


@pytest.mark.parametrize(
    ("header", "said"),
    [("rootstock,attribute,low,high,text", "no column 'source'"),
     ("rootstock,attribute,low,high,words,source", "the column 'words'")],
)  # fmt: skip
def test_a_table_of_rootstocks_with_wrong_columns_is_refused(tmp_path, header, said):
    with pytest.raises(InputError, match=said):
        own_rows(tmp_path, f"{header}\n" + ",".join("x" for _ in header.split(",")) + "\n")
