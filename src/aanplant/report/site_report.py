"""The site report: what was learned of the ground, the soil, the weather and the sun, as PDF."""

from datetime import datetime
from pathlib import Path
from typing import Any

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.sheet import bearing_word, heading_of
from aanplant.report.site_chapters import chapters
from aanplant.report.site_summary import stops, summary
from aanplant.report.site_words import MARKS, Chapter, told
from aanplant.report.style import fitted
from aanplant.report.svg import Drawing
from aanplant.units import UnitSystem, show, show_fixed, show_number

_WORDS = ("title", "standing", "summary", "contents", "findings", "stops", "note")


_RUNNING_MM, _RUNNING_SIZE_MM = 130.0, 8.0 * 25.4 / 72.0
"""Room and type size of the name at the head of every page."""


def write_site_report(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the site report of a block.

    Parameters
    ----------
    plan : Plan
        At least up to its layout; without the work the chapter on preparation is short.
    path : Path
        Where to write.
    made : datetime
        When the plan is made, with its time zone; its date stands on the report.
    system : {"metric", "imperial"}
        Units of what is shown.
    """
    drawings: dict[str, Drawing] = {}
    told_chapters = [_as_data(chapter, drawings, system) for chapter in chapters(plan, system)]
    counts = {level: sum(finding.level == level for finding in plan.findings)
              for level in ("stop", "care", "note")}  # fmt: skip
    data = {
        **properties(plan, made),
        "running": fitted(heading_of(plan), _RUNNING_MM, _RUNNING_SIZE_MM),
        "words": {name: word(f"site_report.{name}") for name in _WORDS}
        | {"mark_note": word("site_report.mark_note").format(
            practice=MARKS["practice"], memory=MARKS["memory"])},
        "facts": _facts(plan, system),
        "summary": summary(plan, system),
        "stops": stops(plan, system),
        "counts": fill("site_report.counts", **counts),
        "chapters": told_chapters,
    }  # fmt: skip
    print_paper("site-report", data, path, made=made, drawings=drawings)


def _facts(plan: Plan, system: UnitSystem) -> list[list[str]]:
    figures = plan.figures
    facts = [[word("sheet.area"), show(figures.value("site.area"), "ha", system)]]
    if "layout.vines" in figures:
        facts.append([word("sheet.vines"), show_number(figures.value("layout.vines"))])
        facts.append([word(bearing_word(plan)), f"{show_fixed(plan.layout.bearing_deg, 1)}°"])
    facts.append(
        [word("sheet.cultivar"), plan.brief.vines.cultivar or word("sheet.not_named")]
    )  # fmt: skip
    return facts


def _as_data(chapter: Chapter, drawings: dict[str, Drawing], system: UnitSystem) -> dict[str, Any]:
    pictures = []
    for number, (caption, draw) in enumerate(chapter.pictures, start=1):
        name = f"{chapter.key}-{number}.svg"
        drawing = draw()
        drawings[name] = drawing
        pictures.append(
            {"file": name, "alt": drawing.title, "caption": caption,
             "width": drawing.width_mm}
        )  # fmt: skip
    return {
        "title": word(f"site_report.chapter.{chapter.key}"),
        "pictures": pictures,
        "tables": [table.as_data() for table in chapter.tables],
        "findings": told(chapter.findings, system),
        "missing": list(chapter.missing),
    }
