"""How a page in a browser looks: the papers' colours by day and by night, and their typefaces."""

from functools import cache

from aanplant.report import style
from aanplant.report.rendering import TEMPLATES

SECURITY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; base-uri 'none'"
"""A browser that keeps to this asks nothing of the network."""
NAMES = {
    "paper": style.PAPER, "sheet": style.SHEET, "ink": style.INK, "soft": style.SOFT,
    "line": style.LINE, "pen": style.PEN, "care": style.CARE, "stop": style.STOP,
}  # fmt: skip
"""Colours by the names that the style sheet calls them."""
BY_NIGHT = {
    style.PAPER: "#141B18", style.SHEET: "#1B2420", style.INK: "#E8E5DB", style.SOFT: "#A7B3AA",
    style.LINE: "#46524B", style.HEADLAND: "#2B322C", style.PEN: "#9CBCF5",
    style.CARE: "#EBA95B", style.STOP: "#F59186", style.WEAK: "#C6ACEE", style.WATER: "#7FBEDA",
    style.WATER_TINT: "#233E4B",
    # tones of the ground on maps, and of timber
    "#E4DAC4": "#3A4035", "#CFC2A6": "#4B5043", "#DCD2BA": "#434A3D", "#E9DFC8": "#51503F",
    "#E4E2DC": "#4A4F4A",
    # pressures from low to high: the strongest stays the farthest from the sheet
    "#143A4E": "#E3F0F6", "#23597A": "#B5D5E3", "#3F7F9D": "#86B5CB", "#7AA6BB": "#588FA9",
    "#A9C5D2": "#3F6E86", "#C9DAE2": "#315668",
}  # fmt: skip
"""The dark form of every colour; text keeps a contrast of 4.5 or more on paper and sheet."""
PAGES = {"a4": "A4", "us-letter": "letter"}


def style_of(paper: str) -> str:
    """Return the style sheet of a page that is printed on a paper of this name."""
    sheet = (TEMPLATES / "report.css").read_text(encoding="utf-8")
    return (
        f"{style.font_faces_css()}\n@page{{size:{PAGES[paper]};margin:18mm}}\n{_colours()}\n{sheet}"
    )


@cache
def _colours() -> str:
    """Rules for the names of the colours, and for what is drawn in each colour, by night."""
    by_day = "".join(f"--{name}:{colour};" for name, colour in NAMES.items())
    by_night = "".join(f"--{name}:{BY_NIGHT[colour]};" for name, colour in NAMES.items())
    drawn = "".join(
        f'svg [{use}="{colour}"]{{{use}:{dark}}}'
        for colour, dark in BY_NIGHT.items()
        for use in ("fill", "stroke")
    )
    return (
        f":root{{{by_day}}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{by_night}}}{drawn}}}"
    )
