"""Requests for what a person chooses by: charts, alternatives, and how far they are."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query

from aanplant.errors import Cancelled, InputError
from aanplant.messages import label, show_date, word
from aanplant.report.alternatives import (
    MORE,
    Outcome,
    columns,
    cost_told,
    count_told,
    day_of,
    is_costed,
)
from aanplant.server.alternative_shapes import (
    AlternativesQuestionShape,
    AlternativesShape,
    ComparedAlternativeShape,
    ComparedShape,
    ProgressShape,
    ResultShape,
)
from aanplant.server.chart_shapes import ChartQuestionShape
from aanplant.server.charts import CHARTS, AnyChart, ChartName
from aanplant.server.desk import BlockName, DeskOf, ReaderOf
from aanplant.server.problems import Problem
from aanplant.units import UnitSystem, show
from aanplant.working import Working

router = APIRouter(tags=["choosing"])
Question = Annotated[
    str,
    Query(
        max_length=80,
        description="Page and chart, such as `a3f0/direction`, or `a3f0/alternatives`.",
        examples=["a3f0/direction"],
    ),
]
_OVERTAKEN = "Overtaken by a later question of this page."


@router.post("/blocks/{block}/charts/{name}")
def read_chart(
    desk: DeskOf, block: BlockName, name: ChartName, asked: ChartQuestionShape, reader: ReaderOf
) -> AnyChart:
    """Tell what a chart is drawn from, under unsaved changes, in the words of the report."""
    desk.block(block)
    chart = CHARTS[name]
    brief = desk.planner.opened(block, asked.changes).brief
    try:
        plan = desk.planner.preview(
            block, {**asked.changes, **chart.instead}, page=f"{asked.page}/{name}",
            until=chart.until,
        )  # fmt: skip
    except Cancelled:
        raise Problem(HTTPStatus.CONFLICT, _OVERTAKEN) from None
    with reader.spoken_to():
        return chart.make(plan, brief, reader.units, desk.now().date())


@router.post("/blocks/{block}/alternatives")
def compare_alternatives(
    desk: DeskOf, block: BlockName, asked: AlternativesQuestionShape, reader: ReaderOf
) -> AlternativesShape:
    """Plan alternatives to the end and tell how each differs from the first."""
    desk.block(block)
    names = [one.name for one in asked.alternatives]
    changes = [one.changes for one in asked.alternatives]
    try:
        outcomes = desk.planner.outcomes(block, changes, page=f"{asked.page}/alternatives")
    except Cancelled:
        raise Problem(HTTPStatus.CONFLICT, _OVERTAKEN) from None
    with reader.spoken_to():
        return _side_by_side(names, outcomes, reader.units)


@router.get("/blocks/{block}/progress")
def read_progress(
    desk: DeskOf,
    block: BlockName,
    question: Question,
) -> ProgressShape:
    """Read how far a question of a page is."""
    desk.block(block)
    stage, fraction = desk.planner.standing(block, question)
    return ProgressShape(stage=stage, fraction=fraction)


def _side_by_side(
    names: list[str], outcomes: list[Outcome | InputError], system: UnitSystem
) -> AlternativesShape:
    planned = [one for one in outcomes if isinstance(one, Outcome)]
    keys = [key for key in (*columns(planned), *MORE)
            if all(key in one.figures for one in planned)]  # fmt: skip
    figures = [
        ComparedShape(
            key=key,
            label=word(f"vary.{key}") if key not in MORE else label(planned[0].figures[key]),
            unit=planned[0].figures[key].unit,
        )
        for key in keys
        if planned
    ]
    return AlternativesShape(
        figures=figures,
        alternatives=[
            _compared(name, one, keys, None if at == 0 else (names[0], outcomes[0]), system)
            for at, (name, one) in enumerate(zip(names, outcomes, strict=True))
        ],
        words={name: word(f"vary.{name}") for name in ("unpriced", "stops")},
    )


def _compared(
    name: str,
    outcome: Outcome | InputError,
    keys: list[str],
    beside: tuple[str, Outcome | InputError] | None,
    system: UnitSystem,
) -> ComparedAlternativeShape:
    if isinstance(outcome, InputError):
        return ComparedAlternativeShape(name=name, results=[], unpriced=0, stops=0,
                                        told=[str(outcome)])  # fmt: skip
    told = []
    called, first = beside or ("", None)
    if isinstance(first, Outcome):
        if is_costed([first, outcome]):
            told.append(cost_told(outcome, first, name=name, beside=called))
        told.append(count_told(outcome, first, system, beside=called))
    figures = [outcome.figures[key] for key in keys]
    return ComparedAlternativeShape(
        name=name,
        results=[ResultShape(value=one.value, shown=_shown(one, system)) for one in figures],
        unpriced=outcome.unpriced,
        stops=outcome.stops,
        told=told,
    )  # fmt: skip


def _shown(figure: Working, system: UnitSystem) -> str:
    day = day_of(figure)
    return show(figure.value, figure.unit, system) if day is None else show_date(day)
