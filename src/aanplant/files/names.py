"""Names that people gave, made harmless for the format that carries them."""

import html
import re

_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
"""Control characters and halves of characters: XML, DXF and UTF-8 refuse them."""
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # noqa: RUF001 - programs take the wide forms for the narrow ones


def printable(text: str) -> str:
    """Return a name with a space for every character that is no letter or sign."""
    return _UNPRINTABLE.sub(" ", text)


def xml_text(text: str) -> str:
    """Return a name as text inside an XML element or attribute."""
    return html.escape(printable(text), quote=True)


def cell_text(text: str) -> str:
    """Return a name for a cell of a text table.

    A spreadsheet runs a cell that begins like a formula, so an apostrophe is set before it.
    """
    is_formula = text.startswith(_FORMULA_STARTS) or text.lstrip().startswith(_FORMULA_STARTS)
    return f"'{printable(text)}" if is_formula else printable(text)
