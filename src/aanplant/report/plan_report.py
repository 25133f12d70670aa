"""The report on a whole plan for owner and bank: all its texts and drawings, and the PDF."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.decision import at_a_glance, decisions, facts, key_figures
from aanplant.report.plan_parts import Part, homeless, parts
from aanplant.report.rows_picture import rows_picture
from aanplant.report.sheet import heading_of
from aanplant.report.site_words import Chapter, told
from aanplant.report.stock_report import widths_of
from aanplant.report.style import fitted
from aanplant.report.svg import Drawing
from aanplant.report.workings import marks_told, sources_told, workings
from aanplant.units import UnitSystem

_WORDS = (
    "title", "standing", "glance", "decide", "stops", "asked", "open", "key_figures", "contents",
    "findings", "register", "register_note", "others", "workings", "workings_note", "sources",
    "nothing_stops", "all_findings", "skip",
)  # fmt: skip
_RUNNING_MM, _RUNNING_SIZE_MM = 120.0, 8.0 * 25.4 / 72.0
"""Room and type size of the name at the head of every page."""
PAPERS: dict[UnitSystem, str] = {"metric": "a4", "imperial": "us-letter"}
_TEXT_MM = 174.0
_LOWEST_MM = 150.0
"""A drawing higher than this is drawn smaller, so that a page holds more than it."""


@dataclass(frozen=True)
class Report:
    """All that the report tells.

    Parameters
    ----------
    data : mapping
        Texts, by the names that template and page use.
    drawings : dict of str to Drawing
        By the names that ``data`` calls them.
    """

    data: dict[str, Any]
    drawings: dict[str, Drawing]


def report_of(plan: Plan, *, made: datetime, system: UnitSystem = "metric") -> Report:
    """Gather all texts and drawings of the report, for paper and page alike.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    made : datetime
        When the plan is made, with its time zone; its date stands on the report.
    system : {"metric", "imperial"}
        Units of what is shown.
    """
    drawings: dict[str, Drawing] = {"block.svg": rows_picture(plan, system=system)}
    told_parts = parts(plan, made, system)
    counts = {level: sum(finding.level == level for finding in plan.findings)
              for level in ("stop", "care", "note")}  # fmt: skip
    others = told(homeless(plan, told_parts), system)
    words = {name: word(f"plan_report.{name}") for name in _WORDS}
    if not others:
        del words["others"]
    data = {
        **properties(plan, made),
        "running": fitted(heading_of(plan), _RUNNING_MM, _RUNNING_SIZE_MM),
        "paper": PAPERS[system],
        "words": words,
        "marks": marks_told(),
        "facts": facts(plan, system),
        "picture": _placed("block.svg", drawings["block.svg"], word("plan_report.caption.block")),
        "glance": at_a_glance(plan, system),
        "decide": decisions(plan, system),
        "counts": fill("plan_report.counts", **counts),
        "key_figures": key_figures(plan, system),
        "parts": [
            {
                "key": part.key,
                "title": part.title,
                "chapters": [
                    _as_data(f"{part.key}-{chapter.key}", chapter, drawings, system)
                    for chapter in part.chapters
                ],
            }
            for part in told_parts
        ],
        "register": _register(told_parts, system),
        "others": others,
        "workings": workings(plan, system),
        "sources": sources_told(plan),
    }
    return Report(data, drawings)


def write_report_pdf(report: Report, path: Path, *, made: datetime) -> None:
    """Write the report as PDF, on A4 or, with imperial units, on US letter.

    Parameters
    ----------
    report : Report
        Its texts and drawings.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; stands in the file's properties.
    """
    print_paper("report", report.data, path, made=made, drawings=report.drawings)


def _register(told_parts: Sequence[Part], system: UnitSystem) -> list[dict[str, Any]]:
    """Return what stops the work or wants care, by part, to be ticked off."""
    listed = []
    for part in told_parts:
        grave = [item for item in part.findings if item.level != "note"]
        if grave:
            listed.append({"title": part.title, "findings": told(grave, system)})
    return listed


def _as_data(
    name: str, chapter: Chapter, drawings: dict[str, Drawing], system: UnitSystem
) -> dict[str, Any]:
    pictures: list[dict[str, Any]] = []
    plates: list[dict[str, Any]] = []
    for group, made in ((chapter.pictures, pictures), (chapter.plates, plates)):
        for caption, draw in group:
            file = f"{name}-{len(pictures) + len(plates) + 1}.svg"
            drawings[file] = draw()
            made.append(_placed(file, drawings[file], caption))
    return {
        "key": name,
        "title": chapter.title,
        "paragraphs": list(chapter.paragraphs),
        "pictures": pictures,
        "plates": plates,
        "tables": [table.as_data() | {"widths": widths_of(table.heads, table.rows)}
                   for table in chapter.tables],
        "findings": told(chapter.findings, system),
        "missing": list(chapter.missing),
    }  # fmt: skip


def _placed(file: str, drawing: Drawing, caption: str) -> dict[str, Any]:
    """Where a drawing lies: as wide as it is, less where it is very high."""
    fits = min(1.0, _TEXT_MM / drawing.width_mm, _LOWEST_MM / drawing.height_mm)
    return {"file": file, "alt": f"{drawing.title}. {caption}", "caption": caption,
            "width": round(fits * drawing.width_mm, 2), "own_width": drawing.width_mm,
            "own_height": drawing.height_mm}  # fmt: skip
