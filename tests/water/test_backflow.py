"""What guards drinking water and the source, by where the water comes from."""

import pytest

from aanplant.brief.reading import parse_brief
from aanplant.errors import InputError
from aanplant.water.backflow import guards

SMALLEST = '[block]\nboundary = "b"\n[vines]\nrow_width = 2.5\nvine_spacing = 1.2\n'


def asked(text):
    return guards(parse_brief(f"{SMALLEST}[head_works]\n{text}\n", "brief.toml"))


@pytest.mark.published(
    source="Washington WAC 16-202-1014 and 16-202-1018 and Colorado 8 CCR 1206-4, part 6",
    quantity="parts that guard injection",
    unit="in, psi, ft",
)
def test_sizes_of_the_guards_of_injection(published):
    amounts = {one.rule: one.amount for one in asked("injects = true")}

    # The tables give whole millimetres, kilopascals and metres.
    published.equal(amounts["inspection"] / 25.4, printed=4, tolerance=0.02, label="port, in")
    published.equal(amounts["injection-valve"] / 6.894757, printed=10, tolerance=0.1, label="psi")
    published.equal(amounts["distance"] / 0.3048, printed=10, tolerance=0.2, label="well head, ft")


@pytest.mark.parametrize(
    ("text", "when"),
    [
        ('source_kind = "dam"\ninjects = false', set()),
        ('source_kind = "dam"\ninjects = true', {"injection"}),
        ('source_kind = "municipal"\ninjects = false', {"drinking water"}),
        ('source_kind = "municipal"\ninjects = true', {"drinking water", "injection"}),
    ],
)
def test_drinking_water_and_injection_each_ask_for_their_guards(text, when):
    assert {one.when for one in asked(text)} == when


def test_a_source_nobody_knows_is_refused():
    with pytest.raises(InputError, match="source_kind"):
        asked('source_kind = "sea"')
