"""A chart on paper: an area with two scales, its ticks, and lines drawn through values."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.report.paper import Box
from aanplant.report.style import INK, LINE, SOFT, text_width
from aanplant.report.svg import CAP_HEIGHT, Drawing, ring
from aanplant.units import show_number

LABEL = 2.3
HEADING = 2.5
_TICK = 1.3


@dataclass(frozen=True, slots=True)
class Plot:
    """An area on paper and the values at its sides.

    Parameters
    ----------
    area : Box
        Where. [mm]
    left, right : float
        Value at its left and at its right side.
    low, high : float
        Value at its lower and at its upper side.
    """

    area: Box
    left: float
    right: float
    low: float
    high: float

    def across(self, value: ArrayLike) -> NDArray[np.float64]:
        """Place values between the left and the right side. [mm]."""
        part = (np.asarray(value, dtype=np.float64) - self.left) / (self.right - self.left)
        return np.asarray(self.area.x + part * self.area.width)

    def down(self, value: ArrayLike) -> NDArray[np.float64]:
        """Place values between the lower and the upper side. [mm]."""
        part = (np.asarray(value, dtype=np.float64) - self.low) / (self.high - self.low)
        return np.asarray(self.area.bottom - part * self.area.height)

    def places(self, x: ArrayLike, y: ArrayLike) -> NDArray[np.float64]:
        """Places on paper of values, shape (n, 2). [mm]."""
        return np.column_stack([self.across(x), self.down(y)])

    def curve(self, x: ArrayLike, y: ArrayLike) -> str:
        """Path data of a line through values; it breaks where one is nan."""
        return broken_line(self.places(x, y))

    def band(self, x: ArrayLike, low: ArrayLike, high: ArrayLike) -> str:
        """Path data of the area between two lines over the same x."""
        there, back = self.places(x, low), self.places(x, high)
        return ring(np.vstack([there, back[::-1]]))

    def levels(self, drawing: Drawing, ticks: Sequence[float], texts: Sequence[str] = ()) -> None:
        """Draw a faint line at each tick of the upright scale, its text at the left."""
        for tick, text in zip(ticks, texts or [show_number(tick) for tick in ticks], strict=True):
            y = float(self.down(tick))
            drawing.line(self.area.x, y, self.area.right, y, stroke=LINE, width=0.15)
            drawing.text(
                self.area.x - 1.2, y + CAP_HEIGHT * LABEL / 2.0, text,
                size=LABEL, align="end", colour=SOFT,
            )  # fmt: skip

    def foot(self, drawing: Drawing, ticks: Sequence[float], texts: Sequence[str]) -> None:
        """Draw the lower side with ticks; a text without room beside the last is left out."""
        area = self.area
        drawing.line(area.x, area.bottom, area.right, area.bottom, stroke=INK, width=0.2)
        free = -math.inf
        for tick, text in zip(ticks, texts, strict=True):
            x = float(self.across(tick))
            drawing.line(x, area.bottom, x, area.bottom + _TICK, stroke=INK, width=0.2)
            half = text_width(text, LABEL) / 2.0
            if text and x - half > free:
                drawing.text(
                    x, area.bottom + 4.0, text, size=LABEL, align="middle", colour=SOFT
                )  # fmt: skip
                free = x + half + 1.2

    def heading(self, drawing: Drawing, text: str) -> None:
        """Name what the chart shows, above its upper left corner."""
        drawing.text(self.area.x, self.area.y - 2.4, text, size=HEADING, face="figure")


def broken_line(places: NDArray[np.float64]) -> str:
    """Path data of a line, shape (n, 2), that breaks where a place is nan."""
    parts, is_open = [], False
    for x, y in places.tolist():
        if math.isnan(x) or math.isnan(y):
            is_open = False
            continue
        parts.append(f"{'L' if is_open else 'M'}{x:.3f} {y:.3f}")
        is_open = True
    return "".join(parts)


def round_ticks(low: float, high: float, about: int = 4) -> list[float]:
    """Round values from low to high, at most one more than ``about``."""
    if not high > low:
        return [low]
    power = 10.0 ** math.floor(math.log10((high - low) / about))
    step = next(
        part * power
        for part in (1.0, 2.0, 5.0, 10.0, 20.0)
        if math.floor(high / (part * power)) - math.ceil(low / (part * power)) <= about
    )
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(number * step, 10) for number in range(first, last + 1)] or [low]
