"""The appendix of workings: every figure with its formula, its inputs and its source."""

from typing import Any

from aanplant import tables
from aanplant.messages import formula, label, show_value, word
from aanplant.plan import Plan
from aanplant.report.site_words import MARKS, mark_of
from aanplant.units import UnitSystem
from aanplant.working import Input, Working

_ORIGINS = ("brief", "default", "table", "file", "measured")


def workings(plan: Plan, system: UnitSystem) -> list[dict[str, Any]]:
    """Return every figure of a plan, by the subject that its key begins with.

    Each has ``key, label, value, formula, inputs, source, mark``; ``source`` is the number
    of its line in ``sources_told``; an input is ``[name, value, origin, key]``, with the key
    of the figure it is, or "".
    """
    numbers = {source: at for at, source in enumerate(_sources_of(plan), start=1)}
    told: dict[str, list[dict[str, Any]]] = {}
    for figure in plan.figures:
        subject = figure.key.partition(".")[0]
        told.setdefault(subject, []).append(_told(figure, plan, numbers, system))
    return [{"title": word(f"plan_report.subject.{subject}"), "figures": figures}
            for subject, figures in told.items()]  # fmt: skip


def sources_told(plan: Plan) -> list[list[str]]:
    """Return every source that a figure or an input rests on: number, text, certainty."""
    known = tables.sources()
    return [
        [str(number), known[source].text,
         word(f"plan_report.certainty.{known[source].certainty}")]
        for number, source in enumerate(_sources_of(plan), start=1)
    ]  # fmt: skip


def _sources_of(plan: Plan) -> list[str]:
    """Ids of all sources, in the order in which they are first used."""
    used = (
        source
        for figure in plan.figures
        for source in (figure.source, *(item.source for item in figure.inputs))
    )
    return [source for source in dict.fromkeys(used) if source in tables.sources()]


def _told(
    figure: Working, plan: Plan, numbers: dict[str, int], system: UnitSystem
) -> dict[str, Any]:
    return {
        "key": figure.key,
        "label": label(figure),
        "value": show_value(figure.value, figure.unit, system),
        "formula": formula(figure),
        "inputs": [_input(item, plan, numbers, system) for item in figure.inputs],
        "source": numbers.get(figure.source, 0),
        "mark": mark_of(figure.source),
    }


def _input(item: Input, plan: Plan, numbers: dict[str, int], system: UnitSystem) -> list[str]:
    kind, _, name = item.origin.partition(":")
    key = name if kind == "figure" and name in plan.figures else ""
    origin = ""
    if kind in _ORIGINS:
        origin = f"{word(f'plan_report.origin.{kind}')} {name}".strip()
    number = numbers.get(item.source)
    if number:
        origin = f"{origin} [{number}]{mark_of(item.source)}"
    return [item.name, show_value(item.value, item.unit, system), origin, key]


def marks_told() -> str:
    """Say what the marks of uncertain sources mean."""
    return word("site_report.mark_note").format(practice=MARKS["practice"], memory=MARKS["memory"])
