"""How every paper looks: its colours, its two typefaces, and how wide a text runs."""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

PAPER = "#FAF8F3"
SHEET = "#FFFEFB"
INK = "#22302B"
SOFT = "#5D675F"
LINE = "#CBC4B4"
HEADLAND = "#F2ECDF"
PEN = "#1D4C9E"
CARE = "#8A4B00"
STOP = "#A3241C"
WEAK = "#6B4E9B"
WATER = "#2E6F8E"
WATER_TINT = "#D8E6EC"

FONTS = Path(__file__).with_name("fonts")
SERIF = "Literata"
SANS = "Atkinson Hyperlegible"
Face = Literal["label", "figure", "title"]
"""Regular sans for labels, bold sans for figures, serif for titles."""
_FILES: dict[Face, str] = {
    "label": "AtkinsonHyperlegible-Regular",
    "figure": "AtkinsonHyperlegible-Bold",
    "title": "Literata-SemiBold",
}
FACES: dict[Face, tuple[str, int]] = {
    "label": (SANS, 400),
    "figure": (SANS, 700),
    "title": (SERIF, 600),
}
"""Family and weight of each face."""
_MEASURED_AT = 200


def text_width(text: str, size: float, face: Face = "label") -> float:
    """How wide a text runs, in the unit of ``size``."""
    return float(_font(face).getlength(text)) * size / _MEASURED_AT


def fitted(text: str, width: float, size: float, face: Face = "label") -> str:
    """Shorten a text with an ellipsis until it is no wider than ``width``."""
    if text_width(text, size, face) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if text_width(text[:middle].rstrip() + "…", size, face) <= width:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…"


def wrapped(text: str, width: float, size: float, face: Face = "label") -> list[str]:
    """Break a text into lines no wider than ``width``; longer words are shortened."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, face) <= width:
            lines[-1] = longer
        else:
            lines.append(fitted(word, width, size, face))
    return lines


@cache
def _font(face: Face) -> "FreeTypeFont":
    from PIL import ImageFont

    return ImageFont.truetype(FONTS / f"{_FILES[face]}.ttf", _MEASURED_AT)


@cache
def font_faces_css() -> str:
    """Style rules that carry the typefaces, for an SVG that must stand alone."""
    from base64 import b64encode

    rules = []
    for face, name in _FILES.items():
        data = b64encode((FONTS / f"{name}.woff2").read_bytes()).decode()
        family, weight = FACES[face]
        rules.append(
            f"@font-face{{font-family:'{family}';font-weight:{weight};"
            f"src:url(data:font/woff2;base64,{data}) format('woff2')}}"
        )
    return "\n".join(rules)
