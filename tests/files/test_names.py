"""Names that people gave, made harmless."""

from xml.sax.saxutils import unescape

import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.files.names import cell_text, printable, xml_text


@given(st.text())
def test_a_printable_name_can_be_written_in_utf_8_and_holds_no_control_character(text):
    name = printable(text)

    assert name.encode("utf-8").decode("utf-8") == name
    assert len(name) == len(text)
    assert not [letter for letter in name if ord(letter) < 0x20]


@given(st.text())
def test_text_in_xml_reads_back_as_the_printable_name(text):
    from defusedxml.ElementTree import fromstring

    assert (fromstring(f"<name>{xml_text(text)}</name>").text or "") == printable(text)
    assert "<" not in xml_text(text)
    assert unescape(xml_text("<&>")) == "<&>"


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "\n@x", "\uff1d1"]
)
def test_a_cell_that_begins_like_a_formula_is_marked_as_text(text):
    assert cell_text(text).startswith("'")


@pytest.mark.parametrize("text", ["", "Chenin blanc", "2.5 m", "a=b", "ê"])
def test_other_cells_stay_as_they_are(text):
    assert cell_text(text) == text
