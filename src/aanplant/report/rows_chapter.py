"""The report's chapter on rows: where they lie, why so, and what they ask of the machine."""

from aanplant.messages import fill, word
from aanplant.plan import Plan
from aanplant.report.direction_chart import direction_chart
from aanplant.report.rows_picture import rows_picture
from aanplant.report.site_words import Chapter, figure_table, of_topics, short
from aanplant.units import UnitSystem, show_number

_FIGURES = (
    "layout.bearing", "layout.bearing_mean", "layout.area_planted", "layout.rows",
    "layout.row_ends", "layout.row_length", "layout.mean_row_length", "layout.vines",
    "layout.density", "layout.left_out", "layout.rows_dropped", "layout.line_posts",
    "layout.end_posts", "layout.clear_width", "layout.turn_depth", "layout.turn_room",
    "layout.turns_failing", "layout.pass_time", "layout.row_grade_mean",
    "layout.row_grade_steepest", "layout.cross_slope_steepest", "layout.row_length_ground",
    "layout.ground_difference",
)  # fmt: skip


def rows_chapter(plan: Plan, system: UnitSystem) -> Chapter:
    """Tell of the rows as laid, with the comparison of bearings where one was made."""
    sweep = plan.layout.sweep
    pictures = [
        (word("plan_report.caption.rows"), lambda: rows_picture(plan, system=system)),
    ]
    if sweep is not None:
        bearing_deg = plan.layout.bearing_deg
        pictures.append(
            (word("plan_report.caption.bearings"), lambda: direction_chart(sweep, bearing_deg))
        )
    table = figure_table(plan, system, _FIGURES)
    return Chapter(
        "rows",
        tuple(pictures),
        (table,) if table else (),
        of_topics(plan, "layout."),
        paragraphs=(_told(plan, system),),
        title=word("plan_report.chapter.rows"),
    )


def _told(plan: Plan, system: UnitSystem) -> str:
    figures = plan.figures
    return fill(
        "plan_report.say.rows",
        rows=show_number(figures.value("layout.rows")),
        length=short(figures.value("layout.row_length"), "m", system, 6),
        width=short(plan.stock.row_width_m, "m", system),
        spacing=short(plan.stock.vine_spacing_m, "m", system),
        vines=show_number(figures.value("layout.vines")),
        headland=short(plan.brief.rows.headland, "m", system),
    )
