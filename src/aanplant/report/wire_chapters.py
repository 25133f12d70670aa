"""The report's chapters on the trellis: how it is built, and what it has to bear."""

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.erection_sheet import trellis_pictures
from aanplant.report.erection_tables import posts_by_size
from aanplant.report.site_words import Chapter, Table, figure_table, of_topics
from aanplant.report.trellis_parts import parts_of, unit_of
from aanplant.report.trellis_view import TrellisView, view_of
from aanplant.report.wire_list import HEADS, wire_rows
from aanplant.units import UnitSystem, show_number

_QUANTITIES = (
    "trellis.line_posts", "trellis.end_posts", "trellis.anchors", "trellis.exposed_posts",
    "trellis.wire_length", "trellis.wire_length.", "trellis.wire_length_of.", "trellis.wire_joins",
    "trellis.brace_wire", "trellis.strainers", "trellis.fixed_places", "trellis.hooks",
    "trellis.pair_clips",
)  # fmt: skip
_LOADS = (
    "trellis.gust", "trellis.crop_load", "trellis.canopy_load", "trellis.coldest_wire",
    "trellis.wire_tension.", "trellis.wire_pull.", "trellis.wire_use.", "trellis.wire_sag.",
    "trellis.row_pull", "trellis.post_moment.", "trellis.post_use.", "trellis.post_wind.",
    "trellis.ground_wind.", "trellis.lift", "trellis.end_load.", "trellis.end_use.",
    "trellis.tie_use",
)  # fmt: skip


def wire_chapters(plan: Plan, system: UnitSystem) -> tuple[Chapter, ...]:
    """Tell how the trellis is built, then what it bears and how near its limits."""
    return (_built(plan, system), _borne(plan, system))


def _built(plan: Plan, system: UnitSystem) -> Chapter:
    view = view_of(plan)
    drawn = trellis_pictures(view, system)
    pictures = tuple(
        (_caption(name, scale), lambda drawing=drawing: drawing)
        for name, (drawing, scale) in drawn.items()
    )
    return Chapter(
        "wire",
        pictures,
        tuple(table for table in (
            _wires(view, system),
            _parts(view, system),
            figure_table(plan, system, _QUANTITIES),
        ) if table),
        paragraphs=(_posts(plan, system),) if view.system.wires else (),
        title=word("plan_report.chapter.wire"),
    )  # fmt: skip


def _borne(plan: Plan, system: UnitSystem) -> Chapter:
    table = figure_table(plan, system, _LOADS)
    return Chapter(
        "loads",
        tables=(table,) if table else (),
        findings=of_topics(plan, "trellis."),
        title=word("plan_report.chapter.loads"),
    )


def _caption(name: str, scale: int) -> str:
    shown = fill("trellis_drawing.scale", scale=show_number(scale))
    return f"{word(f'plan_report.caption.{name}')} {shown}."


def _wires(view: TrellisView, system: UnitSystem) -> Table | None:
    rows = wire_rows(view, system)
    if not rows:
        return None
    heads = [fill(f"trellis_drawing.head.{name}", unit=unit_of(system)) for name in HEADS]
    return Table(heads, rows, left=(0, 1, 3, 4), title=word("erection.wires"))


def _parts(view: TrellisView, system: UnitSystem) -> Table | None:
    rows = [[str(part.number), part.text] for part in parts_of(view, system)]
    if not rows:
        return None
    heads = [word("plan_report.head.number"), word("plan_report.head.part")]
    return Table(heads, rows, left=(0, 1), title=word("erection.parts"))


def _posts(plan: Plan, system: UnitSystem) -> str:
    return " ".join(posts_by_size(plan, system))
