"""Papers are printed at once, or beside what else is done."""

import threading

import pytest

from aanplant.report.rendering import Press, RenderingError, printing_beside
from tests.report import blocks


def test_a_paper_printed_beside_is_the_same_and_there_at_the_end(tmp_path):
    press = Press("words", {}, made=blocks.MADE)
    press.print_to({"pdf": tmp_path / "at-once.pdf"})

    with printing_beside():
        press.print_to({"pdf": tmp_path / "beside.pdf"})

    assert (tmp_path / "beside.pdf").read_bytes() == (tmp_path / "at-once.pdf").read_bytes()


def test_what_goes_wrong_beside_is_told_at_the_end(tmp_path):
    room = printing_beside()
    room.__enter__()
    Press("#nothing()", {}, made=blocks.MADE).print_to({"pdf": tmp_path / "broken.pdf"})

    with pytest.raises(RenderingError, match=r"broken\.pdf"):
        room.__exit__(None, None, None)


def test_trouble_meanwhile_is_what_is_told_and_nothing_goes_on_printing(tmp_path):
    def told_while_printing():
        with printing_beside():
            Press("#nothing()", {}, made=blocks.MADE).print_to({"pdf": tmp_path / "broken.pdf"})
            raise OSError("the disk is full")

    with pytest.raises(OSError, match="the disk is full"):
        told_while_printing()
    assert not [one for one in threading.enumerate() if one.name.startswith("press")]
