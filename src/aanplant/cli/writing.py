"""Write a plan's folder: which files belong to which group, and who draws them."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from aanplant.catalogues import FIRST_LANGUAGE
from aanplant.files.plan_folder import KINDS, Told, write_plan_folder
from aanplant.inputs import Inputs
from aanplant.plan import Plan
from aanplant.speech import Speech, speaking
from aanplant.units import UnitSystem

CREW_PAPERS = frozenset((
    "tape-and-pegs.pdf", "tape-and-pegs.txt", "spreader-sheet.pdf", "erection-sheet.pdf",
    "set-card.pdf", "receiving-card.pdf", "planting-card.pdf", "row-sheets.pdf",
    "day-sheets.pdf", "calendar.ics", "calendar.svg", "calendar.pdf", "aftercare.svg",
))  # fmt: skip
"""Papers in the language of the crew; all others are in that of the office."""

Drawer = Callable[[Plan, Path], None]
Drawers = dict[str, Drawer]


@dataclass(frozen=True, slots=True)
class Group:
    """A group of drawn files.

    Parameters
    ----------
    drawers : callable
        Returns what draws each file, by its name.
    is_there : callable
        Whether a plan has anything to show in them.
    """

    drawers: Callable[[datetime, UnitSystem], Drawers]
    is_there: Callable[[Plan], bool] = lambda _: True


def write_plan(
    plan: Plan,
    folder: Path,
    *,
    made: datetime,
    groups: Sequence[str],
    system: UnitSystem,
    language: str = "",
    told: Told = lambda _: None,
) -> tuple[str, ...]:
    """Write the folder whole or not at all; return the names of the files in it.

    ``plan.json``, ``plan.gpkg`` and the sheet are always written. ``language`` is that of the
    papers for the crew, "" for the estate's; ``told`` is told how much of it is written.
    """
    from aanplant.report.rendering import printing_beside

    with spoken_in(plan.inputs, FIRST_LANGUAGE):
        drawn = _sheet(plan, made, system)
    for name, parts in _DRAWN.items():
        if name in groups:
            for part in parts:
                drawn |= part.drawers(made, system) if part.is_there(plan) else {}
    crew = language or plan.inputs.crew_language
    drawn = {
        name: _spoken(draw, crew if name in CREW_PAPERS else FIRST_LANGUAGE)
        for name, draw in drawn.items()
    }
    kinds = [group for group in groups if group not in DRAWN_GROUPS]
    return write_plan_folder(
        plan, folder, made=made, kinds=kinds, drawn=drawn,
        within=printing_beside(lambda: told(1.0)), told=told,
    )  # fmt: skip


def spoken_in(inputs: Inputs, language: str) -> AbstractContextManager[Speech]:
    """Speak a language, with numbers and dates as the estate writes them."""
    return speaking(language, locale=inputs.locale, decimal_mark=inputs.decimal_mark)


def _spoken(draw: Drawer, language: str) -> Drawer:
    """Draw in a language."""

    def drawn(plan: Plan, path: Path) -> None:
        with spoken_in(plan.inputs, language):
            draw(plan, path)

    return drawn


def _sheet(plan: Plan, made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.rendering import page_of
    from aanplant.report.sheet import sheet

    drawing = sheet(plan, made=made, system=system)
    page = page_of(drawing, made=made, title=drawing.title, author=plan.inputs.estate)
    return {
        "sheet.svg": lambda _, path: path.write_text(drawing.svg(alone=True), encoding="utf-8"),
        "sheet.pdf": lambda _, path: page.print_to({"pdf": path}),
        "sheet.png": lambda _, path: page.print_to({"png": path}),
    }


def _tape_and_pegs(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.tape_and_pegs import write_tape_and_pegs_pdf, write_tape_and_pegs_text

    return {
        "tape-and-pegs.pdf": lambda plan, path: write_tape_and_pegs_pdf(
            plan, path, made=made, system=system
        ),
        "tape-and-pegs.txt": lambda plan, path: write_tape_and_pegs_text(
            plan, path, made=made, system=system
        ),
    }


def _direction_chart(_: datetime, __: UnitSystem) -> Drawers:
    from aanplant.report.direction_chart import draw_direction_chart

    return {
        "row-direction.svg": draw_direction_chart,
    }


def _stock_report(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.stock_report import write_stock_report

    return {
        "stock-report.pdf": lambda plan, path: write_stock_report(
            plan, path, made=made, system=system
        ),
    }


def _spares_chart(_: datetime, __: UnitSystem) -> Drawers:
    from aanplant.report.spares_chart import draw_spares_chart

    return {"spares.svg": draw_spares_chart}


def _trellis(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.erection_sheet import write_erection_sheet
    from aanplant.report.trellis_sheet import draw_trellis

    return {
        "trellis.svg": lambda plan, path: draw_trellis(plan, path, made=made, system=system),
        "erection-sheet.pdf": lambda plan, path: write_erection_sheet(
            plan, path, made=made, system=system
        ),
    }


def _water(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.pressure_map import draw_pressures
    from aanplant.report.set_card import write_set_card
    from aanplant.report.water_sheet import draw_water

    return {
        "water.svg": lambda plan, path: draw_water(plan, path, made=made, system=system),
        "water.pdf": lambda plan, path: draw_water(plan, path, made=made, system=system),
        "pressures.svg": lambda plan, path: draw_pressures(plan, path, made=made, system=system),
        "set-card.pdf": lambda plan, path: write_set_card(plan, path, made=made, system=system),
    }


def _spreader_sheet(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.files.spreader_csv import write_spreader_csv
    from aanplant.report.spreader_sheet import write_spreader_pdf

    return {
        "spreader-sheet.csv": write_spreader_csv,
        "spreader-sheet.pdf": lambda plan, path: write_spreader_pdf(
            plan, path, made=made, system=system
        ),
    }


def _row_sheets(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.row_sheets import write_row_sheets

    return {
        "row-sheets.pdf": lambda plan, path: write_row_sheets(plan, path, made=made, system=system),
    }


def _site_report(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.site_report import write_site_report

    return {
        "site-report.pdf": lambda plan, path: write_site_report(
            plan, path, made=made, system=system
        ),
    }


def _cards(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.cards import PARTS, write_card

    def drawer(name: str) -> Drawer:
        return lambda plan, path: write_card(plan, path, name, made=made, system=system)

    return {f"{name}.pdf": drawer(name) for name in PARTS}


def _day_sheets(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.day_sheets import write_day_sheets

    return {
        "day-sheets.pdf": lambda plan, path: write_day_sheets(plan, path, made=made, system=system),
    }


def _calendar(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.files.calendar_ics import write_calendar_ics
    from aanplant.report.calendar_sheet import write_calendar

    return {
        "calendar.ics": lambda plan, path: write_calendar_ics(plan, path, made=made, system=system),
        "calendar.svg": lambda plan, path: write_calendar(plan, path, made=made),
        "calendar.pdf": lambda plan, path: write_calendar(plan, path, made=made),
    }


def _aftercare(made: datetime, _: UnitSystem) -> Drawers:
    from aanplant.report.calendar_sheet import write_aftercare_svg

    return {"aftercare.svg": lambda plan, path: write_aftercare_svg(plan, path, made=made)}


def _report(made: datetime, system: UnitSystem) -> Drawers:
    from aanplant.report.plan_report import Report, report_of, write_report_pdf
    from aanplant.report.report_page import write_report_page

    gathered: list[Report] = []

    def report(plan: Plan) -> Report:
        if not gathered:
            gathered.append(report_of(plan, made=made, system=system))
        return gathered[0]

    return {
        "report.pdf": lambda plan, path: write_report_pdf(report(plan), path, made=made),
        "report.html": lambda plan, path: write_report_page(report(plan), path),
    }


_DRAWN: Mapping[str, tuple[Group, ...]] = {
    # The tape sheet knows straight rows only; a plan of contour rows says so.
    "tape": (Group(_tape_and_pegs, lambda plan: plan.layout.course is None),),
    "chart": (Group(_direction_chart, lambda plan: plan.layout.sweep is not None),),
    "stock": (
        Group(_stock_report),
        Group(_spares_chart, lambda plan: plan.work.spares.curve is not None),
    ),
    "trellis": (Group(_trellis),),
    "water": (Group(_water, lambda plan: plan.water.system is not None),),
    "site": (Group(_site_report),),
    "soil": (Group(_spreader_sheet, lambda plan: bool(plan.work.soil.spreading)),),
    "cards": (Group(_cards),),
    "days": (Group(_day_sheets, lambda plan: bool(plan.planting.days)),),
    "row-sheets": (Group(_row_sheets),),
    "calendar": (
        Group(_calendar, lambda plan: bool(plan.calendar.booked)),
        Group(_aftercare, lambda plan: bool(plan.planting.rounds)),
    ),
    "report": (Group(_report),),
}
DRAWN_GROUPS = tuple(_DRAWN)
FILE_GROUPS = (*(kind for kind in KINDS if kind not in {"json", "gpkg"}), *DRAWN_GROUPS)
"""Groups of further files, as ``--files`` names them."""
