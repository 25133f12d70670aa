"""A drawing in millimetres on paper, written as SVG with its text left text."""

import re
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from aanplant.report.style import FACES, INK, SHEET, Face, font_faces_css, text_width

Align = Literal["start", "middle", "end"]
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_INNER_NAME = re.compile(r'(?<=<clipPath id=")|(?<=clip-path="url\(#)')
CAP_HEIGHT = 0.67
"""Height of a capital in Atkinson Hyperlegible over the type size."""


class Drawing:
    """Marks laid down one after the other; x runs right and y down [mm].

    Parameters
    ----------
    width_mm, height_mm : float
        Size of the paper. [mm]
    title : str
        What a screen reader says the drawing is.
    """

    def __init__(self, width_mm: float, height_mm: float, title: str) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.title = title
        self._marks: list[str] = []
        self._clips = 0

    def path(
        self,
        shape: str,
        *,
        fill: str = "none",
        stroke: str = "none",
        width: float = 0.18,
        dash: str = "",
        cap: str = "butt",
        opacity: float = 1.0,
        name: str = "",
    ) -> None:
        """Draw a shape given as SVG path data; ``name`` becomes its class."""
        if not shape:
            return
        called = f'class="{name}" ' if name else ""
        parts = [f'<path {called}d="{shape}" fill="{fill}"']
        if fill != "none":
            parts.append('fill-rule="evenodd"')
        if stroke != "none":
            parts.append(f'stroke="{stroke}" stroke-width="{width:g}"')
            if cap != "butt":
                parts.append(f'stroke-linecap="{cap}"')
            if dash:
                parts.append(f'stroke-dasharray="{dash}"')
        if opacity < 1.0:
            parts.append(f'opacity="{opacity:g}"')
        self._marks.append(" ".join(parts) + "/>")

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *,
        stroke: str = INK, width: float = 0.18, dash: str = "",
    ) -> None:  # fmt: skip
        """Draw a straight line."""
        self.path(f"M{x1:.3f} {y1:.3f}L{x2:.3f} {y2:.3f}", stroke=stroke, width=width, dash=dash)

    def box(
        self, x: float, y: float, width: float, height: float, *,
        fill: str = "none", stroke: str = "none", line: float = 0.18, dash: str = "",
    ) -> None:  # fmt: skip
        """Draw a rectangle."""
        shape = f"M{x:.3f} {y:.3f}h{width:.3f}v{height:.3f}h{-width:.3f}z"
        self.path(shape, fill=fill, stroke=stroke, width=line, dash=dash)

    def circle(
        self, x: float, y: float, radius: float, *,
        fill: str = "none", stroke: str = "none", width: float = 0.18,
    ) -> None:  # fmt: skip
        """Draw a circle."""
        self._marks.append(
            f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{radius:.3f}" fill="{fill}" '
            f'stroke="{stroke}" stroke-width="{width:g}"/>'
        )

    def text(
        self, x: float, y: float, text: str, *,
        size: float = 2.4, face: Face = "label", align: Align = "start", colour: str = INK,
        halo: float = 0.0, turned_deg: float = 0.0,
    ) -> None:  # fmt: skip
        """Write a text whose baseline starts, has its middle or ends at (x, y).

        Parameters
        ----------
        x, y : float
            Where. [mm]
        text : str
            What; whatever stands in it is only ever text.
        size : float
            Type size. [mm]
        face : {"label", "figure", "title"}
            Typeface.
        align : {"start", "middle", "end"}
            What lies at x.
        colour : str
            Of the letters.
        halo : float
            Width of the ground kept free around the letters. [mm]
        turned_deg : float
            Clockwise about (x, y). [deg]
        """
        family, weight = FACES[face]
        place = f'x="{x:.3f}" y="{y:.3f}"'
        if turned_deg:
            place += f' transform="rotate({turned_deg:g} {x:.3f} {y:.3f})"'
        look = (
            f'font-family={quoteattr(family)} font-weight="{weight}" font-size="{size:g}" '
            f'fill="{colour}" text-anchor="{align}"'
        )
        letters = escape(_NOT_XML.sub("\ufffd", text))
        if halo:
            # A plate rather than a stroke: few programs know paint-order.
            left, top, right, bottom = _extent(text, size, face, align, halo)
            corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
            plate = ring(corners @ _turn(turned_deg) + [x, y])
            self._marks.append(f'<path d="{plate}" fill="{SHEET}" fill-opacity="0.88"/>')
        self._marks.append(f"<text {place} {look}>{letters}</text>")

    def clip(self, x: float, y: float, width: float, height: float) -> None:
        """Show what follows only inside a rectangle, until ``unclip``."""
        self._clips += 1
        self._marks.append(
            f'<clipPath id="window{self._clips}"><rect x="{x:.3f}" y="{y:.3f}" '
            f'width="{width:.3f}" height="{height:.3f}"/></clipPath>'
            f'<g clip-path="url(#window{self._clips})">'
        )

    def unclip(self) -> None:
        """End the last ``clip``."""
        self._marks.append("</g>")

    def svg(self, *, alone: bool, name: str = "") -> str:
        """Return the drawing as SVG.

        Parameters
        ----------
        alone : bool
            Whether it brings its typefaces and its ground along; without, it is made
            to be placed on a page.
        name : str
            Tells its inner names from those of other drawings in the same page of HTML.
        """
        title = escape(_NOT_XML.sub("\ufffd", self.title))
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width_mm:g}mm" '
            f'height="{self.height_mm:g}mm" viewBox="0 0 {self.width_mm:g} {self.height_mm:g}" '
            f'role="img"><title>{title}</title>'
        )
        extra = ""
        if alone:
            ground = f'<rect width="100%" height="100%" fill="{SHEET}"/>'
            extra = f"<style>{font_faces_css()}</style>{ground}"
        made = "\n".join([head + extra, *self._marks, "</svg>\n"])
        return _INNER_NAME.sub(rf"\g<0>{name}-", made) if name else made


def _extent(
    text: str, size: float, face: Face, align: Align, margin: float
) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a text around its point, with a margin."""
    width = text_width(text, size, face)
    left = {"start": 0.0, "middle": -width / 2.0, "end": -width}[align]
    return left - margin, -CAP_HEIGHT * size - margin, left + width + margin, margin


def _turn(turned_deg: float) -> NDArray[np.float64]:
    angle = np.radians(turned_deg)
    return np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])


def ring(xy: NDArray[np.float64]) -> str:
    """Path data of a closed ring, shape (n, 2)."""
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in xy.tolist()) + "z"


def strokes(start: NDArray[np.float64], end: NDArray[np.float64]) -> str:
    """Path data of many single strokes, shape (n, 2) each."""
    return "".join(
        f"M{x1:.3f} {y1:.3f}L{x2:.3f} {y2:.3f}"
        for (x1, y1), (x2, y2) in zip(start.tolist(), end.tolist(), strict=True)
    )


def polylines(xy: NDArray[np.float64], first: NDArray[np.int64]) -> str:
    """Path data of many open lines, their corners one after another, shape (n, 2).

    ``first`` holds where each begins, and the number of corners at its end.
    """
    corners = [f"{x:.3f} {y:.3f}" for x, y in xy.tolist()]
    return "".join(
        "M" + "L".join(corners[start:end])
        for start, end in zip(first[:-1].tolist(), first[1:].tolist(), strict=True)
    )


def repeated(at: NDArray[np.float64], shape: str) -> str:
    """Path data of one small relative shape at many places, shape (n, 2)."""
    return "".join(f"M{x:.3f} {y:.3f}{shape}" for x, y in at.tolist())
