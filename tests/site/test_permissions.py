"""What the law may ask: known and not granted stops, open asks, and always: verify."""

import numpy as np
import pytest

from aanplant import messages, tables
from aanplant.brief import parse_brief
from aanplant.errors import InputError
from aanplant.site.permissions import survey_permissions

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'
ZA = '[permissions]\ncountry = "ZA"\n'
ALL_NO = "".join(
    f'{key} = "no"\n'
    for key in (
        "virgin_soil", "listed_soil", "near_watercourse", "natural_vegetation", "heritage",
        "new_water_use", "planting_registration",
    )
)  # fmt: skip


def permissions(text, slope_pct=None):
    slopes = None if slope_pct is None else np.full(200, slope_pct)
    return survey_permissions(parse_brief(SMALLEST + text, "brief.toml"), slopes)


def levels(text, slope_pct=None):
    return {f.message: f.level for f in permissions(text, slope_pct).findings}


def answer(name, status):
    return f'[[permissions.answers]]\nid = "{name}"\nstatus = "{status}"\n'


def test_a_brief_that_says_nothing_gets_questions_and_no_stop():
    asked = levels("")

    assert asked["permissions.unanswered"] == "care"
    assert "stop" not in asked.values()


@pytest.mark.parametrize(
    ("status", "level"),
    [("unanswered", "stop"), ("applied", "stop"), ("refused", "stop"), ("granted", None)],
)
def test_virgin_soil_stops_until_the_permission_is_granted(status, level):
    found = levels(f'{ZA}virgin_soil = "yes"\n{answer("za-virgin-soil", status)}', 5.0)

    assert found.get("permissions.not_granted") == level


@pytest.mark.parametrize(("slope_pct", "stops"), [(20.0, False), (20.1, True), (None, False)])
def test_a_slope_over_a_fifth_stops_and_an_unknown_one_asks(slope_pct, stops):
    found = levels(ZA + ALL_NO, slope_pct)

    assert ("permissions.not_granted" in found) is stops
    assert ("permissions.unanswered" in found) is (slope_pct is None)


def test_one_steep_bank_leaves_the_question_open_and_does_not_stop():
    slopes = np.full(200, 8.0)
    slopes[0] = 45.0
    brief = parse_brief(SMALLEST + ZA + ALL_NO, "brief.toml")

    found = {f.message: f for f in survey_permissions(brief, slopes).findings}

    assert "steep slope" in found["permissions.unanswered"].values["names"]
    assert "permissions.not_granted" not in found


def test_a_listed_soil_counts_only_on_ground_steeper_than_its_limit():
    listed = ZA + ALL_NO.replace('listed_soil = "no"', 'listed_soil = "yes"')

    assert "permissions.not_granted" not in levels(listed, 11.0)
    assert levels(listed, 13.0)["permissions.not_granted"] == "stop"


def test_not_needed_is_taken_from_the_authority_but_remarked_on():
    found = levels(f'{ZA}heritage = "yes"\n{answer("za-heritage", "not needed")}', 3.0)

    assert found["permissions.said_not_needed"] == "care"
    assert "permissions.not_granted" not in found


def test_a_country_without_a_table_gets_the_general_questions():
    asked = permissions('[permissions]\ncountry = "FR"\n', 3.0)

    assert {item.id for item in asked.permissions} == {
        row["id"] for row in tables.rows("permissions.csv") if row["country"] == "*"
    }
    assert any(finding.message == "permissions.general" for finding in asked.findings)


def test_every_sentence_says_to_verify_with_the_authority():
    sentences = [
        entry["text"]
        for key, entry in messages.catalogue()["finding"].items()
        if key.startswith("permissions.")
    ]

    assert len(sentences) == 5
    assert all("erify with the authority" in sentence for sentence in sentences)


def test_the_sentence_of_a_stop_names_the_authority_and_the_time_to_allow():
    stop = permissions(f'{ZA}virgin_soil = "yes"\n').findings[0]

    text = messages.sentence(stop)

    assert "department of agriculture" in text
    assert "26 weeks" in text


def test_the_count_of_open_permissions_can_be_reckoned_from_its_inputs():
    figure = permissions(ZA + ALL_NO + answer("za-planting", "granted"), 25.0).figures[0]
    inputs = {item.name: item.value for item in figure.inputs}

    assert figure.value == 1
    assert inputs["in_table"] - inputs["settled"] - inputs["not_applying"] == figure.value


@pytest.mark.parametrize(
    "text",
    [
        answer("za-vrgin-soil", "granted"),
        answer("za-heritage", "granted") + answer("za-heritage", "applied"),
        answer("za-heritage", "perhaps"),
    ],
)
def test_an_answer_to_no_question_is_refused(text):
    with pytest.raises(InputError, match=r"permissions\.answers"):
        permissions(ZA + text)


@pytest.mark.published(
    source="Conservation of Agricultural Resources Act (South Africa), summary of its regulations",
    quantity="slope above which cultivation needs permission",
    unit="%",
)
def test_the_slope_that_needs_permission_is_as_the_act_has_it(published):
    row = next(row for row in tables.rows("permissions.csv") if row["id"] == "za-steep-slope")

    published.equal(float(row["limit_pct"]), printed=20, tolerance=0)
