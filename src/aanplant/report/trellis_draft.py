"""A draughtsman's tools for the trellis: metres to paper, timber, ground, dimension lines."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from aanplant.report.style import INK, SHEET, SOFT, text_width
from aanplant.report.svg import CAP_HEIGHT, Align, Drawing, ring

SIZE = 2.5
"""Of the figures on dimension lines. [mm]"""
STEP = 3.2
"""Least distance of figures above one another. [mm]"""
SCALES = (10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 150, 200)
"""Denominators a drawing of the trellis may have."""
TIMBER = "#E9DFC8"
_TICK, _BALLOON, _HATCH = 0.9, 2.1, 2.2


@dataclass(frozen=True, slots=True)
class Draft:
    """A drawing with a true scale: metres to the right and up from a point on the ground.

    Parameters
    ----------
    drawing : Drawing
        Where marks are laid down.
    x_mm, y_mm : float
        Where (0, 0) lies on the paper. [mm]
    denominator : int
        Of the scale.
    """

    drawing: Drawing
    x_mm: float
    y_mm: float
    denominator: int

    def x(self, along_m: float) -> float:
        """Place on paper of a distance. [mm]."""
        return self.x_mm + along_m * 1000.0 / self.denominator

    def y(self, up_m: float) -> float:
        """Place on paper of a height. [mm]."""
        return self.y_mm - up_m * 1000.0 / self.denominator

    def line(
        self, start: tuple[float, float], end: tuple[float, float], *,
        width: float = 0.25, stroke: str = INK, dash: str = "", name: str = "",
    ) -> None:  # fmt: skip
        """Draw a line between points in metres."""
        shape = f"M{self.x(start[0]):.3f} {self.y(start[1]):.3f}"
        shape += f"L{self.x(end[0]):.3f} {self.y(end[1]):.3f}"
        self.drawing.path(shape, stroke=stroke, width=width, dash=dash, name=name)

    def timber(
        self, foot: tuple[float, float], top: tuple[float, float], thick_m: float, *,
        fill: str = TIMBER, dash: str = "", name: str = "",
    ) -> None:  # fmt: skip
        """Draw a pole between two points of its middle line, in metres."""
        start, end = np.array(foot), np.array(top)
        along = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
        side = np.array([-along[1], along[0]]) * thick_m / 2.0
        corners = [start + side, end + side, end - side, start - side]
        placed = np.array([[self.x(x), self.y(y)] for x, y in corners])
        self.drawing.path(ring(placed), fill=fill, stroke=INK, width=0.22, dash=dash, name=name)

    def dot(self, at: tuple[float, float], *, hollow: bool = False) -> None:
        """Draw a wire that runs away from the reader."""
        self.drawing.circle(
            self.x(at[0]), self.y(at[1]), 0.75 if hollow else 0.65,
            fill=SHEET if hollow else INK, stroke=INK if hollow else "none", width=0.32,
        )  # fmt: skip

    def ground(self, left_m: float, right_m: float) -> None:
        """Draw the ground line with strokes of earth below it."""
        left, right = self.x(left_m), self.x(right_m)
        strokes = "".join(
            f"M{x:.3f} {self.y_mm:.3f}l-1.3 1.5"
            for x in np.arange(left + _HATCH, right, _HATCH).tolist()
        )
        self.drawing.path(strokes, stroke=SOFT, width=0.14)
        self.drawing.path(
            f"M{left:.3f} {self.y_mm:.3f}L{right:.3f} {self.y_mm:.3f}",
            stroke=INK, width=0.4, name="ground",
        )  # fmt: skip

    def balloon(self, number: int, at: tuple[float, float], away_mm: tuple[float, float]) -> None:
        """Draw a ring with the number of a part, its leader ending at a point in metres."""
        x, y = self.x(at[0]), self.y(at[1])
        self.drawing.line(x, y, x + away_mm[0], y + away_mm[1], stroke=SOFT, width=0.16)
        self.drawing.circle(x, y, 0.35, fill=SOFT)
        balloon(self.drawing, number, x + away_mm[0], y + away_mm[1])


def balloon(drawing: Drawing, number: int, x: float, y: float) -> None:
    """Draw a ring with the number of a part in it."""
    drawing.circle(x, y, _BALLOON, fill=SHEET, stroke=INK, width=0.22)
    drawing.text(x, y + 0.85, str(number), size=2.4, face="figure", align="middle")


def heights(
    drawing: Drawing, x_mm: float, levels: Sequence[tuple[float, str]], *,
    from_x_mm: float, align: Align, low_mm: float, high_mm: float,
) -> None:  # fmt: skip
    """Draw an upright dimension line with a figure at every level.

    Parameters
    ----------
    drawing : Drawing
        Where.
    x_mm : float
        Of the line. [mm]
    levels : sequence of (float, str)
        Place of a level on paper [mm], and what is written beside it.
    from_x_mm : float
        Where the levels' own fine lines begin. [mm]
    align : {"start", "end"}
        Figures stand to the right of the line, or to its left.
    low_mm, high_mm : float
        Figures stay between, the higher on paper the smaller. [mm]
    """
    if not levels:
        return
    upward = sorted(levels, key=lambda level: -level[0])
    places = [level[0] for level in upward]
    drawing.line(x_mm, places[0], x_mm, places[-1], stroke=SOFT, width=0.18)
    written = spread(places, STEP, high_mm, low_mm)
    side = 1.0 if align == "start" else -1.0
    for (y, text), text_y in zip(upward, written, strict=True):
        drawing.line(from_x_mm, y, x_mm + side * 0.8, y, stroke=SOFT, width=0.12)
        drawing.line(x_mm - _TICK / 2, y + _TICK / 2, x_mm + _TICK / 2, y - _TICK / 2, width=0.3)
        drawing.line(x_mm + side * 0.8, y, x_mm + side * 2.6, text_y, stroke=SOFT, width=0.12)
        drawing.text(
            x_mm + side * 3.1, text_y + CAP_HEIGHT * SIZE / 2.0, text,
            size=SIZE, face="figure", align=align,
        )  # fmt: skip


def run(drawing: Drawing, y_mm: float, stops: Sequence[float], texts: Sequence[str]) -> None:
    """Draw a level dimension line: a figure between each stop and the next. [mm]."""
    drawing.line(stops[0], y_mm, stops[-1], y_mm, stroke=SOFT, width=0.18)
    for x in stops:
        drawing.line(x, y_mm - 1.6, x, y_mm + 1.0, stroke=SOFT, width=0.12)
        drawing.line(x - _TICK / 2, y_mm + _TICK / 2, x + _TICK / 2, y_mm - _TICK / 2, width=0.3)
    for left, right, text in zip(stops[:-1], stops[1:], texts, strict=True):
        size = SIZE
        while size > 1.7 and text_width(text, size, "figure") > right - left - 1.0:  # noqa: PLR2004 - smallest type
            size -= 0.1
        drawing.text(
            (left + right) / 2.0, y_mm - 0.9, text,
            size=round(size, 1), face="figure", align="middle", halo=0.2,
        )  # fmt: skip


def break_mark(drawing: Drawing, x_mm: float, low_mm: float, high_mm: float) -> None:
    """Draw the line at which a drawing breaks off though the thing goes on."""
    middle = (low_mm + high_mm) / 2.0
    shape = (
        f"M{x_mm:.3f} {high_mm:.3f}L{x_mm:.3f} {middle - 2.0:.3f}l1.2 1.2l-2.4 1.6l1.2 1.2"
        f"L{x_mm:.3f} {low_mm:.3f}"
    )
    drawing.path(shape, stroke=SOFT, width=0.18)


def spread(places: Sequence[float], step: float, top: float, bottom: float) -> list[float]:
    """Move places apart until each lies ``step`` above the one before it, as little as may be.

    Places fall in the order given, as heights on paper do upwards; all stay between ``top``
    and ``bottom`` while there is room for them.
    """
    groups: list[tuple[float, int]] = []
    for index, place in enumerate(places):
        mean, count = place + index * step, 1
        # Neighbours that would overlap move together, about their middle.
        while groups and groups[-1][0] < mean:
            other, others = groups.pop()
            mean = (mean * count + other * others) / (count + others)
            count += others
        groups.append((mean, count))
    level = [mean for mean, count in groups for _ in range(count)]
    most = bottom
    least = top + (len(level) - 1) * step
    return [min(max(mean, least), most) - index * step for index, mean in enumerate(level)]


def scale_that_fits(width_m: float, height_m: float, width_mm: float, height_mm: float) -> int:
    """Largest scale at which metres fit into millimetres; the smallest where none does."""
    for denominator in SCALES:
        per_m = 1000.0 / denominator
        if width_m * per_m <= width_mm and height_m * per_m <= height_mm:
            return denominator
    return SCALES[-1]
