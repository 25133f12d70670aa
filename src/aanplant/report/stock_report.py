"""The stock report: which vine, how far apart and how many, argued on a few pages, as PDF."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.sheet import heading_of
from aanplant.report.site_words import MARKS, Chapter, short, told
from aanplant.report.stock_chapters import stock_chapters, stock_findings
from aanplant.report.stock_summary import not_known, proposed, rootstock_of, stock_stops
from aanplant.report.style import fitted
from aanplant.report.svg import Drawing
from aanplant.units import UnitSystem, show_number

_WORDS = ("title", "standing", "summary", "open", "findings", "stops", "note")
_RUNNING_MM, _RUNNING_SIZE_MM = 130.0, 8.0 * 25.4 / 72.0
"""Room and type size of the name at the head of every page."""
_WIDEST_MM = {"spares": 134.0}
"""A drawing that is taller than most: it is drawn smaller, and after the tables."""
_LONG = 32
"""Letters from which a column of texts shares the room of the page."""


def write_stock_report(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the stock report of a block.

    Parameters
    ----------
    plan : Plan
        A whole plan; the number of vines comes from its layout and its spares from the work.
    path : Path
        Where to write.
    made : datetime
        When the plan is made, with its time zone; its date stands on the report.
    system : {"metric", "imperial"}
        Units of what is shown.
    """
    drawings: dict[str, Drawing] = {}
    chapters = [_as_data(chapter, drawings, system) for chapter in stock_chapters(plan, system)]
    found = stock_findings(plan)
    counts = {level: sum(item.level == level for item in found)
              for level in ("stop", "care", "note")}  # fmt: skip
    data = {
        **properties(plan, made),
        "running": fitted(heading_of(plan), _RUNNING_MM, _RUNNING_SIZE_MM),
        "words": {name: word(f"stock_report.{name}") for name in _WORDS}
        | {"mark_note": fill("stock_report.mark_note", practice=MARKS["practice"],
                             memory=MARKS["memory"])},
        "facts": _facts(plan, system),
        "summary": proposed(plan, system),
        "open": not_known(plan),
        "stops": stock_stops(plan, system),
        "counts": fill("stock_report.counts", **counts),
        "chapters": chapters,
    }  # fmt: skip
    print_paper("stock-report", data, path, made=made, drawings=drawings)


def _facts(plan: Plan, system: UnitSystem) -> list[list[str]]:
    vines, spares = plan.brief.vines, plan.work.spares
    stock = " / ".join(name for name in (plan.stock.cultivar, rootstock_of(plan)) if name)
    spaced = " × ".join(short(size, "m", system) for size in (vines.row_width, vines.vine_spacing))
    order = spares.order.value
    return [
        [word("stock_report.fact.stock"), stock or word("sheet.not_named")],
        [word("stock_report.fact.spacing"), spaced],
        [word("stock_report.fact.order"), order if isinstance(order, str) else show_number(order)],
        [word("stock_report.fact.spares"), show_number(spares.spares)],
    ]


def _as_data(chapter: Chapter, drawings: dict[str, Drawing], system: UnitSystem) -> dict[str, Any]:
    pictures = []
    for number, (caption, draw) in enumerate(chapter.pictures, start=1):
        name = f"{chapter.key}-{number}.svg"
        drawing = draw()
        drawings[name] = drawing
        width = min(drawing.width_mm, _WIDEST_MM.get(chapter.key, drawing.width_mm))
        pictures.append({"file": name, "alt": drawing.title, "caption": caption, "width": width})
    return {
        "title": word(f"stock_report.chapter.{chapter.key}"),
        "paragraphs": list(chapter.paragraphs),
        "pictures": pictures,
        "tables_first": chapter.key in _WIDEST_MM,
        "tables": [table.as_data() | {"widths": widths_of(table.heads, table.rows)}
                   for table in chapter.tables],
        "findings": told(chapter.findings, system),
        "missing": list(chapter.missing),
    }  # fmt: skip


def widths_of(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[float]:
    """Share of the room for each column of long texts; 0 takes what it needs."""
    longest = [max(len(cell) for cell in column) for column in zip(heads, *rows, strict=True)]
    return [0.0 if length < _LONG else min(length, 120) ** 0.6 for length in longest]
