"""The brief: everything has a default with its source, and what is wrong is named by key."""

import json
import re
import tomllib

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant import tables
from aanplant.brief import Brief, Default, Section, field_of, parse_brief
from aanplant.cli.new import brief_text
from aanplant.errors import InputError

SMALLEST = '[block]\nboundary = "a.gpx"\n[vines]\nrow_width = "9 ft"\nvine_spacing = 1.2\n'
WHOLE = """
[block]
name = "Kiepersol"
boundary = "boundary.gpx"
grid = ""
exclusions = "exclusions.geojson"
heights = "heights.csv"
pits = "pits.csv"
[vines]
cultivar = "Chenin blanc"
clone = ""
rootstock = "choose"
row_width = "2.5 m"
vine_spacing = "1.2 m"
pattern = "square"
loss_fraction = 0.03
assurance = 0.95
[rows]
bearing = "choose"
headland = "8 m"
side_margin = "3 m"
end_gap = "0.6 m"
shortest = "20 m"
longest = "200 m"
cross_alley = "6 m"
first_row_corner = "north-west"
spacing_along = "plan"
anchor_distance = "1.5 m"
[trellis]
system = "vertical-5"
post_every = 5
[water]
source = "pump.geojson"
flow_available = "40 m3/h"
water_right = "52000 m3"
committed = "0 m3"
right_months = "Sep-Apr"
storage = "0 m3"
emitter = { flow = "2.3 L/h", spacing = "0.6 m", pressure_compensating = true }
[work]
planting = "2027-08"
crew = 8
"""


def keys(model=Brief, prefix=""):
    for name, info in model.model_fields.items():
        annotation = info.annotation
        if isinstance(annotation, type) and issubclass(annotation, Section):
            yield from keys(annotation, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}"


def test_three_keys_make_a_brief():
    brief = parse_brief(SMALLEST, "brief.toml")

    assert brief.vines.row_width == pytest.approx(2.7432)
    assert brief.rows.headland == 8.0


def test_the_whole_binding_brief_is_understood():
    brief = parse_brief(WHOLE, "brief.toml")

    assert brief.water.flow_available == 40.0
    assert brief.canonical()["rows"]["bearing"] == "choose"


def test_a_figure_knows_whether_a_setting_was_asked_for_or_stands_by_default():
    brief = parse_brief(SMALLEST, "brief.toml")

    assert brief.as_input("vines.row_width").origin == "brief:vines.row_width"
    assert brief.as_input("rows.headland").origin == "default:rows.headland"
    assert brief.as_input("rows.headland").source in tables.sources()


def test_every_number_with_a_default_names_a_known_source():
    numbers = [key for key in keys() if isinstance(field_of(key).default, int | float)]
    named = {
        item.source
        for key in numbers
        for item in field_of(key).metadata
        if isinstance(item, Default)
    }

    assert len(numbers) > 20
    assert named <= set(tables.sources())
    assert all(
        any(isinstance(item, Default) for item in field_of(key).metadata) or key == "trellis.wires"
        for key in numbers
    )


@pytest.mark.parametrize(
    ("lines", "where", "expected"),
    [
        ("[rows]\nheadlnd = 3", "rows.headlnd", '"headland"'),
        ('[rows]\nheadland = "3 kg"', "rows.headland", "a quantity in m"),
        ("[rows]\nheadland = -1", "rows.headland", "between 0 and 50 m"),
        ("[rows]\nheadland = nan", "rows.headland", "finite"),
        ('[posts]\nporosity = "96 %"', "posts.porosity", "between 0 and 95 %"),
        ('[mains]\nlevel_grade = "31 %"', "mains.level_grade", "between 0 and 30 %"),
        ("[rows]\nbearing = 200", "rows.bearing", "such as 20"),
        ("[rows]\nbearing = true", "rows.bearing", "choose"),
        ('[rows]\nfirst_row_corner = "north"', "rows.first_row_corner", "north-west"),
        ('[work]\nplanting = "August"', "work.planting", "2027-08"),
        ("[trellis]\npost_every = 0", "trellis.post_every", "1"),
        ('[[trellis.wires]]\nname = "a"\nheight = 1\ndiametr = 2', "diametr", '"diameter"'),
        ("[rows]\nspacing_along = 'ground'", "spacing_along", 'vines.pattern = "free"'),
        ("[vines2]", "vines2", '"vines"'),
    ],
)
def test_what_is_wrong_is_named_by_its_key(lines, where, expected):
    with pytest.raises(InputError) as caught:
        parse_brief(SMALLEST + lines, "brief.toml")

    assert where in str(caught.value)
    assert expected in str(caught.value)


@pytest.mark.parametrize("width", ["0.1 m", "40 m", 0, -2.5, "'0 m'"])
def test_absurd_row_widths_are_refused(width):
    text = SMALLEST.replace(
        '"9 ft"', str(width) if isinstance(width, int | float) else f'"{width}"'
    )

    with pytest.raises(InputError, match=r"vines\.row_width"):
        parse_brief(text, "brief.toml")


@pytest.mark.parametrize("spacing", ["2.75 m", "3 m"])
def test_very_wide_plantings_are_legal(spacing):
    text = f'[block]\nboundary = "a.gpx"\n[vines]\nrow_width = "6 m"\nvine_spacing = "{spacing}"'

    assert parse_brief(text, "brief.toml").vines.row_width == 6.0


@given(st.text(max_size=200))
def test_any_text_is_a_brief_or_one_clear_message(text):
    with pytest.raises(InputError, match=r"^brief\.toml"):
        parse_brief(f"{text}\n[block]\nboundary = 3", "brief.toml")


def test_the_schema_accepts_the_whole_brief_and_refuses_an_unknown_key():
    schema = Brief.model_json_schema()
    whole = tomllib.loads(WHOLE)

    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(whole, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**whole, "rows": {"headlnd": 3}}, schema)


def test_the_commented_brief_sets_only_what_is_given_and_shows_the_true_defaults():
    given = {"block.boundary": "a.gpx", "vines.row_width": "2.5 m", "vines.vine_spacing": "1.2 m"}
    text = brief_text(given)
    opened = "\n".join(
        re.sub(r"^# ([a-z_]+ = )", r"\1", line)
        for line in text.splitlines()
        if not line.endswith(" =")
    )

    assert (
        parse_brief(text, "brief.toml").canonical() == parse_brief(opened, "brief.toml").canonical()
    )
    assert json.dumps(parse_brief(text, "brief.toml").canonical())
