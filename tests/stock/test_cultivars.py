"""Cultivars: what is known of them, and what becomes of bad lines and unknown names."""

import pytest

from aanplant import tables
from aanplant.errors import InputError
from aanplant.files.cultivar_tables import read_cultivars
from aanplant.inputs import CultivarFact
from aanplant.stock.bud_frost import critical_temperature
from aanplant.stock.cultivars import cultivars, find

NUMBERS = ("vigour", "bud_break", "maturity", "winkler")


def test_at_least_25_cultivars_have_every_attribute_in_range():
    known = cultivars()

    assert len(known) >= 25
    for one in known:
        assert one.texts("training"), one.name
        for attribute in NUMBERS:
            span = one.span(attribute)
            assert span is not None, (one.name, attribute)
            assert 1 <= span.low <= span.high <= 5


def test_a_cultivar_is_found_by_another_name_and_without_its_accent():
    assert find("syrah").name == "Shiraz"
    assert find(" Mourvèdre ").name == "Mourvedre"


def test_an_open_cultivar_is_no_cultivar():
    assert find("") is None


def test_an_unknown_cultivar_is_refused_with_the_nearest_names():
    with pytest.raises(InputError, match="'Chenin blanc'") as refused:
        find("Chenim blank")

    assert refused.value.where == "brief.toml: vines.cultivar"


def test_the_estates_own_fact_replaces_the_shipped_ones_on_that_attribute_alone(tmp_path):
    path = tmp_path / "cultivars.csv"
    path.write_text(
        "cultivar,attribute,low,high,source\nSyrah,maturity,1.5,2,own record\n", encoding="utf-8"
    )

    shiraz = find("Shiraz", read_cultivars(path))

    assert (shiraz.span("maturity").low, shiraz.span("maturity").high) == (1.5, 2)
    assert shiraz.span("vigour").low == 4


def test_several_sources_on_one_attribute_make_a_range():
    own = [CultivarFact("New", "vigour", low, None, "", "own") for low in (2.0, 4.0)]

    span = find("new", own).span("vigour")

    assert (span.low, span.high) == (2, 4)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Shiraz,vigor,3,,x", "'vigour'"),
        ("Shiraz,vigour,9,,x", "between 1 and 5"),
        ("Shiraz,vigour,4,3,x", "low before high"),
        ("Shiraz,vigour,,,x", "a number"),
        ("Shiraz,vigour,strong,,x", "a plain number"),
        ("Shiraz,vigour,3,,", "who says so"),
        (",vigour,3,,x", "the cultivar's name"),
    ],
)
def test_a_bad_line_of_the_estates_table_is_refused_with_its_number(line, said, tmp_path):
    path = tmp_path / "cultivars.csv"
    path.write_text(f"cultivar,attribute,low,high,source\n{line}\n", encoding="utf-8")

    with pytest.raises(InputError, match=said) as refused:
        read_cultivars(path)

    assert "line 2" in refused.value.where


CONCORD = [
    ("first swell", -10.6, -19.4),
    ("late swell", -6.1, -12.2),
    ("bud burst", -3.9, -8.9),
    ("first leaf", -2.8, -6.1),
    ("second leaf", -2.2, -5.6),
    ("third leaf", -2.2, -3.3),
    ("fourth leaf", -2.2, -2.8),
]
# What the handbook gives in Celsius was published in whole degrees Fahrenheit.
FAHRENHEIT = (13, -3, 21, 10, 25, 16, 27, 21, 28, 22, 28, 26, 28, 27)


@pytest.mark.published(
    source="FAO frost handbook, table after Proebsting, cv. Concord; whole degrees Fahrenheit",
    quantity="critical temperature of buds and shoots",
    unit="°C",
)
def test_critical_temperatures_of_concord_are_whole_degrees_fahrenheit(published):
    degrees = iter(FAHRENHEIT)
    for stage, tenth, nine_tenths in CONCORD:
        for killed, printed in (("0.1", tenth), ("0.9", nine_tenths)):
            low, high = critical_temperature("Concord", stage, killed)
            celsius = (next(degrees) - 32) / 1.8
            assert low == high == printed
            published.equal(celsius, printed=low, tolerance=0.05, label=f"{stage}, {killed} killed")


def test_colder_is_worse_and_later_stages_bear_less():
    tenth = [critical_temperature("Concord", stage, "0.1")[0] for stage, *_ in CONCORD]
    most = [critical_temperature("Concord", stage, "0.9")[0] for stage, *_ in CONCORD]

    assert tenth == sorted(tenth)
    assert all(worse < first for first, worse in zip(tenth, most, strict=True))


def test_the_cautious_set_never_bears_more_than_the_other():
    for row in tables.rows("critical_temperatures.csv"):
        if row["set"] == "Ontario":
            assert float(row["low_c"]) > critical_temperature("Concord", row["stage"], "0.1")[0]
