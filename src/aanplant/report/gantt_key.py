"""The key of the calendar's drawing: every mark that is on the sheet, and what it says."""

from collections.abc import Callable, Iterator

from aanplant.messages import word
from aanplant.report.gantt_marks import (
    delivery_mark,
    diamond,
    float_line,
    gate_mark,
    gate_of,
    hatch,
    keep_mark,
    pointed,
    shut_mark,
)
from aanplant.report.paper import Box
from aanplant.report.style import INK, LINE, PEN, SHEET, SOFT, WATER, WATER_TINT, text_width
from aanplant.report.svg import Drawing
from aanplant.work.tasks import Calendar

Sample = Callable[[Drawing, Box], None]
"""Draws a mark into its box."""


def draw_key(drawing: Drawing, place: Box, calendar: Calendar, *, with_capacity: bool) -> None:
    """Explain the marks that are on the sheet, in as many lines as they need.

    Parameters
    ----------
    drawing : Drawing
        On which.
    place : Box
        Its upper left corner and its width count. [mm]
    calendar : Calendar
        What is drawn.
    with_capacity : bool
        Whether there is a line of what a crew can give.
    """
    x, y = place.x, place.y
    samples = [*_samples(calendar), *([("capacity", _capacity_sample)] if with_capacity else [])]
    for name, draw in samples:
        text = word(f"work_key.{name}")
        width = 9.5 + text_width(text, 2.2) + 6.0
        if x + width - 6.0 > place.right:
            x, y = place.x, y + 5.0
        draw(drawing, Box(x, y - 2.4, 7.5, 2.9))
        drawing.text(x + 9.5, y, text, size=2.2, colour=SOFT)
        x += width


def _samples(calendar: Calendar) -> Iterator[tuple[str, Sample]]:
    yield (
        "tight",
        lambda drawing, box: drawing.path(pointed(Box(box.x, box.y, 5.5, box.height)), fill=INK),
    )
    yield "spare", _spare_sample
    yield "wait", _wait_sample
    yield (
        "desk",
        lambda drawing, box: diamond(
            drawing, box.x + 3.5, box.y + box.height / 2.0, 1.45, is_filled=False
        ),
    )
    if gate_of(calendar) is not None:
        yield (
            "gate",
            lambda drawing, box: gate_mark(drawing, box.x + 3.5, box.y + box.height / 2.0, 1.6),
        )
    if calendar.deliveries:
        yield "delivery", lambda drawing, box: delivery_mark(drawing, box.x + 3.5, box.y + 1.0)
        yield (
            "keeps",
            lambda drawing, box: keep_mark(drawing, box.x + 3.5, box.y + box.height / 2.0, 1.45),
        )
    if calendar.days_off:
        yield (
            "off",
            lambda drawing, box: drawing.box(box.x + 3.0, box.y, 0.6, box.height, fill=LINE),
        )
        yield "shut", lambda drawing, box: shut_mark(drawing, Box(box.x, box.y, 7.0, box.height))
    if calendar.chance:
        yield (
            "chance",
            lambda drawing, box: drawing.circle(
                box.x + 3.5, box.y + box.height / 2.0, 0.9, fill=SHEET, stroke=PEN, width=0.4
            ),
        )


def _capacity_sample(drawing: Drawing, box: Box) -> None:
    y = box.y + box.height / 2.0
    drawing.line(box.x, y, box.right, y, stroke=PEN, width=0.25, dash="1.2 0.8")


def _spare_sample(drawing: Drawing, box: Box) -> None:
    drawing.box(box.x, box.y + 0.2, 3.5, box.height - 0.4, fill=WATER_TINT, stroke=WATER, line=0.25)
    float_line(drawing, box.x + 3.5, box.right, box.y + box.height / 2.0)


def _wait_sample(drawing: Drawing, box: Box) -> None:
    area = Box(box.x, box.y, 7.0, box.height)
    drawing.box(area.x, area.y, area.width, area.height, fill=SHEET, stroke=INK, line=0.15)
    hatch(drawing, area, SOFT, 0.15)
