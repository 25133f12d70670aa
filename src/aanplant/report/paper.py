"""Which paper and which round scale a block is drawn on."""

import itertools
import math
from dataclasses import dataclass

from aanplant.errors import InputError

_STEPS = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5)
SCALES = tuple(
    int(step * 10**power)
    for power, step in itertools.product(range(2, 6), _STEPS)
    if step * 10**power not in (125.0, 150.0)
)
"""Denominators a scale may have: 100, 200, 250, 300, 400, 500, 750, 1 000, 1 250 …"""
READABLE_MM = 1.5
"""Rows closer together than this on paper are hard to count."""
PANEL_LANDSCAPE = {"A4": 62.0, "A3": 76.0}
PANEL_PORTRAIT = {"A4": 58.0, "A3": 66.0}
"""Room for title block and legend: its width beside the map, or its height below [mm]."""
EDGE_MM = {"A4": 8.0, "A3": 10.0}
TICKS_MM = 6.0
"""Room between the outer and the inner frame, for coordinates."""
PADDING_MM = 9.0
"""Clear ground between the block and the inner frame."""
_SIZES = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on paper, y down [mm]."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right side."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower side."""
        return self.y + self.height

    def shrunk(self, margin: float) -> "Box":
        """Return the rectangle inside it by a margin on all sides."""
        return Box(
            self.x + margin, self.y + margin, self.width - 2 * margin, self.height - 2 * margin
        )


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper with its map window and its panel.

    Parameters
    ----------
    name : {"A4", "A3"}
        Paper.
    is_landscape : bool
        Whether it lies on its long side; then the panel stands at the right,
        otherwise below.
    denominator : int
        Of the scale: 1 mm on paper is this many millimetres on the ground.
    """

    name: str
    is_landscape: bool
    denominator: int

    @property
    def width_mm(self) -> float:
        """Width of the paper [mm]."""
        return _SIZES[self.name][self.is_landscape]

    @property
    def height_mm(self) -> float:
        """Height of the paper [mm]."""
        return _SIZES[self.name][not self.is_landscape]

    @property
    def frame(self) -> Box:
        """Outer frame around map and panel."""
        return Box(0.0, 0.0, self.width_mm, self.height_mm).shrunk(EDGE_MM[self.name])

    @property
    def panel(self) -> Box:
        """Where title block and legend stand."""
        frame = self.frame
        if self.is_landscape:
            width = PANEL_LANDSCAPE[self.name]
            return Box(frame.right - width, frame.y, width, frame.height)
        height = PANEL_PORTRAIT[self.name]
        return Box(frame.x, frame.bottom - height, frame.width, height)

    @property
    def map(self) -> Box:
        """The map window, inside its ticks."""
        frame, panel = self.frame, self.panel
        if self.is_landscape:
            outer = Box(frame.x, frame.y, panel.x - frame.x, frame.height)
        else:
            outer = Box(frame.x, frame.y, frame.width, panel.y - frame.y)
        return outer.shrunk(TICKS_MM)


def paper_asked(
    width_m: float,
    height_m: float,
    row_width_m: float,
    *,
    name: str | None = None,
    denominator: int | None = None,
) -> Paper:
    """Return the paper and scale that somebody asks for; what is left open is chosen.

    Parameters
    ----------
    width_m, height_m : float
        Extent of the block east and north. [m]
    row_width_m : float
        Distance between rows. [m]
    name : {"A4", "A3"}, optional
        Paper; the smallest that holds the block at the scale when left out.
    denominator : int, optional
        Of the scale; the largest round one that fits when left out.

    Raises
    ------
    InputError
        If the block does not fit; it tells the largest scale that does.
    """
    if denominator is None:
        if name is None:
            return choose_paper(width_m, height_m, row_width_m)
        return _largest_scale(name, width_m, height_m)
    for own in _SIZES if name is None else (name,):
        for is_landscape in (True, False):
            paper = Paper(own, is_landscape, denominator)
            if _holds(paper, width_m, height_m):
                return paper
    largest = _largest_scale(name or "A3", width_m, height_m)
    raise InputError(
        "scale",
        f"1:{denominator}, at which the block does not fit on {largest.name}",
        f"1:{largest.denominator} or smaller",
    )


def choose_paper(width_m: float, height_m: float, row_width_m: float) -> Paper:
    """Smallest paper on which a block can be read, at the largest round scale that fits.

    A4 when rows lie at least ``READABLE_MM`` apart on it, A3 when not; the way round
    that gives the larger scale, landscape when both give the same.

    Parameters
    ----------
    width_m, height_m : float
        Extent of the block east and north. [m]
    row_width_m : float
        Distance between rows. [m]

    Raises
    ------
    ValueError
        If the block is too large for any scale.
    """
    small, large = (_largest_scale(name, width_m, height_m) for name in ("A4", "A3"))
    return small if row_width_m * 1000.0 / small.denominator >= READABLE_MM else large


def _largest_scale(name: str, width_m: float, height_m: float) -> Paper:
    for denominator in SCALES:
        for is_landscape in (True, False):
            paper = Paper(name, is_landscape, denominator)
            if _holds(paper, width_m, height_m):
                return paper
    raise ValueError(f"no scale for a block of {width_m:g} m by {height_m:g} m")


def _holds(paper: Paper, width_m: float, height_m: float) -> bool:
    room, mm_per_m = paper.map.shrunk(PADDING_MM), 1000.0 / paper.denominator
    return width_m * mm_per_m <= room.width and height_m * mm_per_m <= room.height


def round_step(least: float) -> float:
    """Smallest of 1, 2, 5, 10, 20, 50 … that is at least this."""
    power = 10.0 ** math.floor(math.log10(least))
    enough = least * (1.0 - 1e-9)
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= enough)
