"""The care of the young vines drawn: each round on its days, over three years."""

from collections.abc import Sequence
from datetime import date

from aanplant.messages import fill, show_date, word
from aanplant.report.gantt_marks import days_short
from aanplant.report.paper import Box
from aanplant.report.plot import LABEL
from aanplant.report.style import HEADLAND, INK, LINE, SOFT, WATER, WATER_TINT, fitted, text_width
from aanplant.report.svg import Drawing
from aanplant.report.time_axis import HEAD_MM, TimeAxis, draw_head, time_axis
from aanplant.units import show_number
from aanplant.work.aftercare import ROUND_WORD, Round

WIDTH_MM = 297.0
_EDGE, _NAMES_MM, _HOURS_MM, _ROW_MM = 10.0, 58.0, 12.0, 6.4
_TITLE_MM = 13.0
_LEAST_MM = 0.9


def aftercare_chart(rounds: Sequence[Round], *, heading: str, made: date) -> Drawing:
    """Draw the rounds, each kind on a row, on a sheet as wide as A4 is long.

    Parameters
    ----------
    rounds : sequence of Round
        At least one.
    heading : str
        Estate and block.
    made : date
        Stands beside the title.
    """
    kinds: dict[str, list[Round]] = {}
    for one in sorted(rounds, key=lambda one: one.first):
        kinds.setdefault(one.id, []).append(one)
    above = _EDGE + _TITLE_MM + HEAD_MM
    height = above + _ROW_MM * len(kinds) + _EDGE
    drawing = Drawing(WIDTH_MM, height, fill("work_file.aftercare_of", block=heading))
    left = _EDGE + _NAMES_MM + _HOURS_MM
    area = Box(left, above, WIDTH_MM - _EDGE - left, _ROW_MM * len(kinds))
    last = max(one.last for one in rounds)
    axis = time_axis(area, min(one.first for one in rounds), last)
    drawing.text(_EDGE, _EDGE + 4.5, fitted(heading, 190.0, 5.0, "title"), size=5.0, face="title")
    drawing.text(_EDGE, _EDGE + 9.5, word("work_file.aftercare"), size=2.8, colour=SOFT)
    drawing.text(WIDTH_MM - _EDGE, _EDGE + 4.5, fill("work_file.made", day=show_date(made)),
                 size=LABEL, align="end", colour=SOFT)  # fmt: skip
    _shade_seasons(drawing, axis, rounds)
    draw_head(drawing, axis)
    for number, (kind, items) in enumerate(kinds.items()):
        _draw_row(drawing, axis, area.y + _ROW_MM * number, kind, items)
    return drawing


def _shade_seasons(drawing: Drawing, axis: TimeAxis, rounds: Sequence[Round]) -> None:
    """Shade every second season, and number each above the rows."""
    starts: dict[int, date] = {}
    for one in rounds:
        starts[one.year] = min(starts.get(one.year, one.first), one.first)
    seasons = sorted(starts)
    edges = [*(axis.at(starts[year]) for year in seasons), axis.area.right]
    for year, left, right in zip(seasons, edges[:-1], edges[1:], strict=True):
        if year % 2:
            drawing.box(left, axis.area.y, right - left, axis.area.height, fill=HEADLAND)
        told = fill("work_file.season", number=year + 1)
        if left + 0.8 + text_width(told, LABEL) < axis.area.right:
            drawing.text(left + 0.8, axis.area.y - 1.4, told, size=LABEL, colour=SOFT)


def _draw_row(
    drawing: Drawing, axis: TimeAxis, y: float, kind: str, items: Sequence[Round]
) -> None:
    foot = y + _ROW_MM / 2.0 + 0.85
    drawing.line(_EDGE, y + _ROW_MM, axis.area.right, y + _ROW_MM, stroke=LINE, width=0.1)
    drawing.text(_EDGE + 1.0, foot, fitted(word(f"{ROUND_WORD}{kind}"), _NAMES_MM - 2.0, 2.5),
                 size=2.5)  # fmt: skip
    hours = sum(one.person_hours for one in items)
    if hours:
        drawing.text(axis.area.x - 1.5, foot, f"{show_number(max(1, round(hours)))} h", size=2.2,
                     align="end", face="figure", colour=SOFT)  # fmt: skip
    free = axis.area.x
    for number, one in enumerate(items):
        left = axis.at(one.first)
        right = max(axis.after(one.last), left + _LEAST_MM)
        drawing.box(left, y + 1.6, right - left, _ROW_MM - 3.2, fill=WATER_TINT, stroke=WATER,
                    line=0.25)  # fmt: skip
        following = items[number + 1].first if number + 1 < len(items) else None
        room = axis.at(following) if following else axis.area.right
        told = days_short(one.first, one.last)
        if right + 1.2 + text_width(told, 1.9) < room - 0.6 and right >= free:
            drawing.text(right + 1.2, foot - 0.2, told, size=1.9, colour=SOFT)
        free = max(free, right)
    drawing.line(axis.area.x, y, axis.area.x, y + _ROW_MM, stroke=INK, width=0.2)
