"""Row sheets: every row a strip, for gloves and a pencil, with a code for the field page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from aanplant.messages import fill, show_date, word
from aanplant.plan import Plan
from aanplant.report.bound import print_paper, properties
from aanplant.report.paper import Box
from aanplant.report.row_codes import Modules, codes, row_address
from aanplant.report.row_drawing import (
    CODE_MM,
    FOOT_MM,
    HEAD_MM,
    LINE_MM,
    Facts,
    draw_foot,
    draw_head,
    draw_line,
    draw_name,
    vines_a_line,
)
from aanplant.report.row_strips import RowStrip, lines_of, row_strips
from aanplant.report.sheet import heading_of
from aanplant.report.style import INK, SOFT, STOP, fitted, text_width
from aanplant.report.svg import Drawing
from aanplant.units import UnitSystem, show, show_number

SHEETS: dict[str, tuple[float, float]] = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
LETTER_COUNTRIES = frozenset(
    ("BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
)
"""Countries whose paper is US letter, by Unicode's locale data; all others have A4."""
_SIDE_MM, _TOP_MM = 14.0, 22.0
_STOPS_MM = 6.0
"""Room below the heading for what stops the work, where anything does."""
_TEXT_MM = 3.6
"""10.2 points."""


@dataclass(frozen=True, slots=True)
class _Part:
    """What stands of a row on a page: the first numbers of its lines, and whether it begins."""

    strip: RowStrip
    lines: tuple[int, ...]
    begins: bool


@dataclass(frozen=True, slots=True)
class _Book:
    """What all pages share."""

    plan: Plan
    made: datetime
    system: UnitSystem
    room: Box
    pages: int
    codes: Mapping[int, Modules]
    note: str


def write_row_sheets(
    plan: Plan, path: Path, *, made: datetime, system: UnitSystem = "metric"
) -> None:
    """Write the sheets as PDF.

    Parameters
    ----------
    plan : Plan
        At least up to its layout.
    path : Path
        Where to write.
    made : datetime
        When the plan is made; its date stands on each page.
    system : {"metric", "imperial"}
        Units shown.
    """
    pages = draw_row_sheets(plan, made=made, system=system)
    data = {
        **properties(plan, made),
        "pages": [
            {"file": f"page-{number}.svg", "alt": page.title}
            for number, page in enumerate(pages, 1)
        ],
        "size": [pages[0].width_mm, pages[0].height_mm],
    }
    drawings = {f"page-{number}.svg": page for number, page in enumerate(pages, 1)}
    print_paper("row-sheets", data, path, made=made, drawings=drawings)


def paper_of(locale: str) -> str:
    """Return the paper of a locale's country."""
    country = locale.replace("-", "_").partition("_")[2].upper()
    return "us-letter" if country in LETTER_COUNTRIES else "a4"


def draw_row_sheets(plan: Plan, *, made: datetime, system: UnitSystem) -> list[Drawing]:
    """Draw all pages, rows in the order of their numbers; one page where there is no row."""
    width, height = SHEETS[paper_of(plan.inputs.locale)]
    top = _TOP_MM + (_STOPS_MM if _stops(plan) else 0.0)
    room = Box(_SIDE_MM, top, width - 2.0 * _SIDE_MM, height - top - FOOT_MM)
    strips = row_strips(plan.layout.positions)
    pages = _paged(strips, vines_a_line(room.width), room.height)
    address = plan.inputs.field_address
    made_codes = codes(
        [row_address(address, plan.site.name, strip.row) for strip in strips] if address else [],
        CODE_MM,
    )
    book = _Book(
        plan, made, system, room, len(pages),
        codes={strip.row: code for strip, code in zip(strips, made_codes, strict=False)},
        note="" if made_codes else word(f"row_sheet.{'long' if address else 'no'}_address"),
    )  # fmt: skip
    return [_draw_page(book, parts, number) for number, parts in enumerate(pages, 1)]


def _paged(strips: Sequence[RowStrip], per_line: int, height: float) -> list[list[_Part]]:
    """Share the strips out to pages; a row goes over to the next only where it fits on none."""
    pages: list[list[_Part]] = [[]]
    left, most = height, int((height - HEAD_MM) // LINE_MM)
    for strip in strips:
        lines, begins = tuple(lines_of(strip, per_line)), True
        while lines:
            fits = int((left - HEAD_MM) // LINE_MM)
            if fits < min(len(lines), most):
                pages.append([])
                left, fits = height, most
            pages[-1].append(_Part(strip, lines[:fits], begins))
            left -= HEAD_MM + LINE_MM * len(lines[:fits])
            lines, begins = lines[fits:], False
    return pages


def _draw_page(book: _Book, parts: Sequence[_Part], number: int) -> Drawing:
    room = book.room
    title = _title(book.plan, [part.strip.row for part in parts])
    drawing = Drawing(room.width + 2.0 * _SIDE_MM, room.bottom + FOOT_MM, title)
    _draw_top(drawing, book, number)
    y = room.y
    for part in parts:
        head = Box(room.x, y, room.width, HEAD_MM)
        if part.begins:
            facts = _facts(book.plan, part.strip, book.system)
            draw_head(drawing, head, part.strip, facts, book.codes.get(part.strip.row))
        else:
            draw_name(drawing, head, fill("row_sheet.continued", row=part.strip.row))
        y += HEAD_MM
        for first in part.lines:
            draw_line(drawing, Box(room.x, y, room.width, LINE_MM), part.strip, first)
            y += LINE_MM
    corner = word(f"row_sheet.corner.{book.plan.brief.rows.first_row_corner}")
    foot = Box(room.x, room.bottom, room.width, FOOT_MM)
    draw_foot(drawing, foot, fill("row_sheet.how", corner=corner), book.note if number == 1 else "")
    return drawing


def _title(plan: Plan, rows: Sequence[int]) -> str:
    block = heading_of(plan)
    if len(rows) == 1:
        return fill("row_sheet.page_of_one", block=block, row=rows[0])
    return fill("row_sheet.page", block=block, first=rows[0], last=rows[-1])


def _draw_top(drawing: Drawing, book: _Book, number: int) -> None:
    """Write whose rows these are, room for a name and a day, and what stops the work."""
    room = book.room
    drawing.text(room.x, 12.0, fitted(drawing.title, room.width - 20.0, 5.2, "title"), size=5.2,
                 face="title")  # fmt: skip
    drawing.text(room.right, 12.0, f"{number} / {book.pages}", size=_TEXT_MM, align="end",
                 colour=SOFT)  # fmt: skip
    standing = f"{word('row_sheet.standing')} · {show_date(book.made)}"
    drawing.text(room.x, 18.6, standing, size=_TEXT_MM, colour=SOFT)
    at = room.x + 0.42 * room.width
    for name, share in (("name", 0.36), ("date", 0.22)):
        told = word(f"row_sheet.{name}")
        end = at + share * room.width
        drawing.text(at, 18.6, told, size=_TEXT_MM, colour=SOFT)
        drawing.line(at + text_width(told, _TEXT_MM) + 2.0, 19.2, end - 3.0, 19.2, stroke=INK,
                     width=0.25)  # fmt: skip
        at = end
    if stops := _stops(book.plan):
        said = fitted(fill("sheet.stops", count=stops), room.width, _TEXT_MM, "figure")
        drawing.text(room.x, 25.0, said, size=_TEXT_MM, face="figure", colour=STOP)


def _stops(plan: Plan) -> int:
    return sum(finding.level == "stop" for finding in plan.findings)


def _facts(plan: Plan, strip: RowStrip, system: UnitSystem) -> Facts:
    lots, stock = plan.brief.nursery.lots, plan.stock
    clones = {part.clone for part in plan.brief.nursery.parts} or {stock.clone}
    clone = next(iter(clones)) if len(clones) == 1 else ""
    clone = clone or (lots[0].scion_clone if len(lots) == 1 else "")
    return Facts(
        counted=fill(
            "row_sheet.facts",
            length=show(round(strip.length_m, 1), "m", system),
            vines=show_number(len(strip.vines)),
            posts=show_number(len(strip.posts) + strip.ends.size),
        ),
        lot=fill("row_sheet.lot", lot=lots[0].id) if len(lots) == 1
        else word("row_sheet.lot_blank"),
        clone=fill("row_sheet.clone", clone=clone) if clone else word("row_sheet.clone_blank"),
    )  # fmt: skip
