"""The parts of the report on a whole plan: which chapters stand in which."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.report.money_chapter import money_chapter
from aanplant.report.rows_chapter import rows_chapter
from aanplant.report.site_chapters import chapters as site_chapters
from aanplant.report.site_words import Chapter
from aanplant.report.stock_chapters import stock_chapters
from aanplant.report.water_chapters import water_chapters
from aanplant.report.wire_chapters import wire_chapters
from aanplant.report.work_chapters import work_chapters
from aanplant.units import UnitSystem
from aanplant.working import LEVELS, Finding

_TOPICS = {"prepare": "ground", "stock": "stock", "nursery": "stock", "layout": "rows",
           "trellis": "wire", "water": "water", "system": "water", "calendar": "work",
           "planting": "work", "aftercare": "work", "ordering": "work", "work": "work",
           "money": "money"}  # fmt: skip
_STAGES = {"site": "ground", "stock": "stock", "layout": "rows", "trellis": "wire",
           "water": "water", "money": "money"}  # fmt: skip


@dataclass(frozen=True)
class Part:
    """One of the great chapters of the report.

    Parameters
    ----------
    key : str
        Part of the ids of its words, such as ``ground``.
    chapters : tuple of Chapter
        What it tells, in order.
    """

    key: str
    chapters: tuple[Chapter, ...]

    @property
    def title(self) -> str:
        """Its heading."""
        return word(f"plan_report.part.{self.key}")

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings it tells."""
        return tuple(item for chapter in self.chapters for item in chapter.findings)


def parts(plan: Plan, made: datetime, system: UnitSystem) -> tuple[Part, ...]:
    """All parts of a whole plan; a finding stands in one of them, or in none that it fits."""
    site = {chapter.key: replace(chapter, title=word(f"site_report.chapter.{chapter.key}"))
            for chapter in site_chapters(plan, system)}  # fmt: skip
    sun = site.pop("sun")
    stock = [replace(chapter, title=word(f"stock_report.chapter.{chapter.key}"))
             for chapter in stock_chapters(plan, system) if chapter.key != "sources"]  # fmt: skip
    found = (
        Part("ground", tuple(site.values())),
        Part("stock", tuple(stock)),
        Part("rows", (rows_chapter(plan, system), sun)),
        Part("wire", wire_chapters(plan, system)),
        Part("water", water_chapters(plan, made, system)),
        Part("work", work_chapters(plan, made, system)),
        Part(
            "money",
            (replace(money_chapter(plan, system), title=word("plan_report.chapter.money")),),
        ),
    )
    return tuple(_with_own_findings(plan, part) for part in found)


def homeless(plan: Plan, told: Iterable[Part]) -> tuple[Finding, ...]:
    """Return the findings that stand in no part."""
    seen = {id(item) for part in told for item in part.findings}
    return tuple(item for item in plan.findings if id(item) not in seen)


def _part_of(finding: Finding) -> str:
    topic = finding.message.partition(".")[0]
    return _TOPICS.get(topic) or _STAGES.get(finding.stage, "")


def _with_own_findings(plan: Plan, part: Part) -> Part:
    """Keep the findings of this part, each in the first chapter that names it or in the last."""
    own = {id(item): item for item in plan.findings if _part_of(item) == part.key}
    chapters = []
    for chapter in part.chapters:
        here = tuple(own.pop(id(item)) for item in chapter.findings if id(item) in own)
        chapters.append(replace(chapter, findings=here))
    if own:
        last = chapters[-1]
        found = sorted((*last.findings, *own.values()), key=lambda item: LEVELS.index(item.level))
        chapters[-1] = replace(last, findings=tuple(found))
    return replace(part, chapters=tuple(chapters))
