"""One row on paper: its name, what it counts, boxes to tick, and its vines as strokes."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from aanplant.messages import fill, word
from aanplant.report.paper import Box
from aanplant.report.row_codes import Modules, code_path
from aanplant.report.row_strips import RowStrip
from aanplant.report.style import INK, LINE, SOFT, fitted, text_width
from aanplant.report.svg import Drawing, strokes
from aanplant.report.vine_marks import MARKS, draw_mark

Places = NDArray[np.int64] | NDArray[np.float64]
"""Places along the numbers of a row's vines: 5.5 lies between vines 5 and 6."""
JOBS = ("pegged", "planted", "watered", "guarded", "tied", "inspected")
HEAD_MM, LINE_MM, FOOT_MM = 28.5, 18.0, 26.0
"""Heights of the head of a strip, of a line of its vines, and of the key at the foot."""
CODE_MM = 26.0
"""Side of the square of a code, its quiet margin included."""
_PITCH_MM = 4.3
"""Least room for a vine: a cross of a blunt pencil."""
_DECADE = 10
_APART = 2
"""Numbers of vines whose labels would touch lie nearer than this. [vines]"""
_NAME_MM = 7.4
_BOX_MM = 6.5
_TEXT_MM = 3.7
"""10.5 points."""
_NUMBER_MM, _STROKE_MM, _ROOM_MM = 3.9, 5.2, 6.2
"""Heights of the numbers, of a vine's stroke, and of the room to mark it below."""


class Facts(NamedTuple):
    """What is written beside a row's name."""

    counted: str
    lot: str
    clone: str


def vines_a_line(width_mm: float) -> int:
    """Return how many vines fit side by side, in whole tens."""
    return int(width_mm / _PITCH_MM) // _DECADE * _DECADE


def draw_head(
    drawing: Drawing,
    box: Box,
    strip: RowStrip,
    facts: Facts,
    code: Modules | None,
) -> None:
    """Draw a strip's head: its row, its counts, its boxes, and the code that opens it."""
    name = fill("row_sheet.row", row=strip.row)
    draw_name(drawing, box, name)
    right = box.right
    if code is not None:
        shape = code_path(code, box.right - CODE_MM, box.y + 1.8, CODE_MM)
        drawing.path(shape, fill=INK, name="code")
        right -= CODE_MM + 3.0
    after = box.x + text_width(name, _NAME_MM, "figure") + 5.0
    drawing.text(after, box.y + 5.6, fitted(facts.counted, right - after, _TEXT_MM),
                 size=_TEXT_MM)  # fmt: skip
    told = f"{facts.lot}   {facts.clone}"
    drawing.text(after, box.y + 10.4, fitted(told, right - after, _TEXT_MM), size=_TEXT_MM)
    wide = (right - box.x) / 3.0
    for at, job in enumerate(JOBS):
        x, y = box.x + wide * (at % 3), box.y + 12.6 + 7.7 * (at // 3)
        drawing.box(x, y, _BOX_MM, _BOX_MM, stroke=INK, line=0.45)
        label = fitted(word(f"row_sheet.job.{job}"), wide - _BOX_MM - 3.0, _TEXT_MM)
        drawing.text(x + _BOX_MM + 2.0, y + 4.6, label, size=_TEXT_MM)


def draw_name(drawing: Drawing, box: Box, name: str) -> None:
    """Write the name of a row at the head of its strip."""
    drawing.line(box.x, box.y + 1.2, box.right, box.y + 1.2, stroke=INK, width=0.5)
    drawing.text(box.x, box.y + 9.0, name, size=_NAME_MM, face="figure")


def draw_line(drawing: Drawing, box: Box, strip: RowStrip, first: int) -> None:
    """Draw one line of a strip, from the vine with the number ``first``, and room to mark each."""
    count = vines_a_line(box.width)
    pitch = box.width / count
    last = first + count - 1
    foot = box.y + _NUMBER_MM + _STROKE_MM + 0.6
    low = foot + _ROOM_MM

    def at(place: Places) -> NDArray[np.float64]:
        return np.asarray(box.x + pitch * (place - first + 0.5), np.float64)

    vines = strip.vines[(strip.vines >= first) & (strip.vines <= last)]
    _draw_ground(drawing, box, strip, (first, last), foot)
    tens = vines % _DECADE == 0
    for own, width in ((vines[~tens], 0.3), (vines[tens], 0.8)):
        x = at(own)
        top = np.column_stack([x, np.full(len(x), foot - _STROKE_MM)])
        drawing.path(strokes(top, np.column_stack([x, np.full(len(x), foot)])), stroke=INK,
                     width=width, name="vine")  # fmt: skip
    _write_numbers(drawing, vines, at, box.y + _NUMBER_MM - 0.8)
    # Hair lines between the rooms, so that a mark belongs to one vine.
    edges = np.unique(np.concatenate([vines - 0.5, vines + 0.5]))
    x = at(edges)
    upper = np.column_stack([x, np.full(len(x), foot + 0.8)])
    drawing.path(strokes(upper, np.column_stack([x, np.full(len(x), low)])), stroke=LINE, width=0.2)
    posts = strip.posts[(strip.posts > first - 0.5) & (strip.posts <= last + 0.5)]
    side = 1.5
    drawing.path(
        "".join(f"M{x - side / 2.0:.3f} {foot - side:.3f}h{side}v{side}h{-side}z"
                for x in at(posts).tolist()),
        fill=INK, name="post",
    )  # fmt: skip
    ends = strip.ends[(strip.ends > first - 0.5) & (strip.ends <= last + 0.5)]
    x = at(ends)
    top = np.column_stack([x, np.full(len(x), foot - _STROKE_MM - 0.6)])
    drawing.path(strokes(top, np.column_stack([x, np.full(len(x), foot + 0.5)])), stroke=INK,
                 width=1.0, name="end")  # fmt: skip


def _draw_ground(
    drawing: Drawing, box: Box, strip: RowStrip, span: tuple[int, int], foot: float
) -> None:
    """Draw the ground under a line of vines: full inside the row, none between its pieces."""
    first, last = span
    pitch = box.width / (last - first + 1)
    for start, end in strip.ends.tolist():
        left, right = max(start, first - 0.5), min(end, last + 0.5)
        if left < right:
            x1, x2 = (box.x + pitch * (place - first + 0.5) for place in (left, right))
            drawing.line(x1, foot, x2, foot, stroke=INK, width=0.35)


def _write_numbers(
    drawing: Drawing,
    vines: NDArray[np.int64],
    at: Callable[[Places], NDArray[np.float64]],
    y: float,
) -> None:
    """Write every tenth number, and the first and last of the line where there is room."""
    tens = vines[vines % _DECADE == 0]
    named = tens.tolist()
    for end in (int(vines[0]), int(vines[-1])):
        if min((abs(end - number) for number in named), default=_DECADE) >= _APART:
            named.append(end)
    for number, x in zip(named, at(np.array(named)).tolist(), strict=True):
        drawing.text(x, y, str(number), size=_TEXT_MM, face="figure", align="middle")


def draw_foot(drawing: Drawing, box: Box, how: str, note: str) -> None:
    """Draw the key: each mark with its name, and the post and the end post."""
    drawing.line(box.x, box.y + 1.0, box.right, box.y + 1.0, stroke=INK, width=0.5)
    drawing.text(box.x, box.y + 6.0, fitted(how, box.width, _TEXT_MM), size=_TEXT_MM)
    y = box.y + 13.6
    x = box.x + 2.0
    names = [word(f"row_sheet.mark.{mark}") for mark in MARKS]
    widths = [text_width(name, _TEXT_MM) for name in names]
    gap = (box.width - 4.0 - sum(widths) - 5.5 * len(MARKS)) / max(len(MARKS) - 1, 1)
    for mark, name, width in zip(MARKS, names, widths, strict=True):
        draw_mark(drawing, mark, x, y, _STROKE_MM)
        drawing.text(x + 3.5, y - 1.2, name, size=_TEXT_MM)
        x += 5.5 + width + gap
    side = 1.5
    drawing.box(box.x + 1.2, y + 3.4, side, side, fill=INK)
    drawing.text(box.x + 5.5, y + 5.2, word("row_sheet.post"), size=_TEXT_MM)
    after = box.x + 14.0 + text_width(word("row_sheet.post"), _TEXT_MM)
    drawing.path(f"M{after:.3f} {y + 1.2:.3f}v5", stroke=INK, width=1.0)
    drawing.text(after + 3.5, y + 5.2, word("row_sheet.end_post"), size=_TEXT_MM)
    start = after + 12.0 + text_width(word("row_sheet.end_post"), _TEXT_MM)
    drawing.text(start, y + 5.2, fitted(note, box.right - start, 3.0), size=3.0, colour=SOFT)
