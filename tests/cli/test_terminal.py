"""Advice in a terminal: what warns of harm is never cut short, however narrow it is."""

import io

import pytest
from rich.console import Console

from aanplant import messages
from aanplant.cli import terminal
from aanplant.working import DANGERS, Finding


@pytest.fixture
def narrow(monkeypatch):
    shown = io.StringIO()
    console = Console(file=shown, force_terminal=True, width=50, color_system=None)
    monkeypatch.setattr(terminal, "advice", console)
    return shown


def test_a_care_that_warns_of_harm_is_wrapped_and_another_is_cut(narrow):
    danger = Finding("trellis", "care", "trellis.wire_danger")
    other = Finding("work", "care", "prepare.no_pits")

    terminal.show_findings([danger, other], "metric")

    shown = " ".join(narrow.getvalue().split())
    assert messages.sentence(danger) in shown
    assert "…" in shown


def test_a_file_or_another_program_gets_a_care_whole_on_one_line(monkeypatch):
    shown = io.StringIO()
    monkeypatch.setattr(terminal, "advice", Console(file=shown, width=50))
    care = Finding("work", "care", "prepare.no_pits")

    terminal.show_findings([care], "metric")

    assert len(messages.sentence(care)) > 50
    assert f"  {messages.sentence(care)}" in shown.getvalue().splitlines()


def test_every_finding_that_warns_of_harm_is_one_of_the_program():
    assert set(messages.catalogue()["finding"]) >= DANGERS
