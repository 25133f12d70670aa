"""The marks of vines: told apart by their shape alone, so that a pencil can draw them."""

from collections.abc import Callable
from typing import Literal

from aanplant.report.style import INK
from aanplant.report.svg import Drawing

Mark = Literal["growing", "weak", "rootstock_only", "dead", "missing", "replanted", "unknown"]
MARKS: tuple[Mark, ...] = (
    "growing", "weak", "rootstock_only", "dead", "missing", "replanted", "unknown",
)  # fmt: skip
_LINE_MM = 0.55


def draw_mark(drawing: Drawing, mark: Mark, x: float, foot: float, height: float) -> None:
    """Draw a mark that stands on a foot, no wider than two thirds of its height.

    Parameters
    ----------
    drawing : Drawing
        Where.
    mark : str
        One of ``MARKS``: an upright stroke grows, half a stroke is weak, a hollow stroke with
        a foot is rootstock only, a cross is dead, a dot is missing, a stroke with a bar across
        was replanted, a hollow circle is unknown.
    x, foot, height : float
        Its middle, its foot, and how high it is. [mm]
    """
    top, arm = foot - height, height / 3.0
    if mark == "missing":
        drawing.circle(x, foot - height / 2.0, 0.8, fill=INK)
    elif mark == "unknown":
        drawing.circle(x, foot - height / 2.0, arm, stroke=INK, width=_LINE_MM)
    else:
        drawing.path(_SHAPES[mark](x, foot, top, arm), stroke=INK, width=_LINE_MM, cap="round")


_SHAPES: dict[Mark, Callable[[float, float, float, float], str]] = {
    "growing": lambda x, foot, top, _: f"M{x:.3f} {foot:.3f}V{top:.3f}",
    "weak": lambda x, foot, top, _: f"M{x:.3f} {foot:.3f}V{(foot + top) / 2.0:.3f}",
    "rootstock_only": lambda x, foot, top, arm: (
        f"M{x - 0.7:.3f} {foot:.3f}V{top:.3f}h1.4V{foot:.3f}"
        f"M{x - arm:.3f} {foot:.3f}h{2.0 * arm:.3f}"
    ),
    "dead": lambda x, foot, top, arm: (
        f"M{x - arm:.3f} {top:.3f}L{x + arm:.3f} {foot:.3f}"
        f"M{x + arm:.3f} {top:.3f}L{x - arm:.3f} {foot:.3f}"
    ),
    "replanted": lambda x, foot, top, arm: (
        f"M{x:.3f} {foot:.3f}V{top:.3f}M{x - arm:.3f} {(foot + top) / 2.0:.3f}h{2.0 * arm:.3f}"
    ),
}
