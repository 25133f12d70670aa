"""HTML built from elements, so that what a person wrote is only ever text."""

import re
from collections.abc import Iterable
from html import escape
from typing import Any

_NOT_HTML = re.compile("[^\t\n\r\x20-\x7e\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_VOID = frozenset({"br", "col", "hr", "img", "meta"})


class Html(str):
    """Markup, which is not escaped again."""

    __slots__ = ()


def element(tag: str, /, *content: str | Iterable[Any], **attributes: str | int) -> Html:
    """Return an element.

    Parameters
    ----------
    tag : str
        Name of the element.
    *content : str or iterable
        What stands in it, one after the other, texts or iterables of such; what is no ``Html``
        is escaped.
    **attributes : str or int
        By name, with ``_`` for ``-`` and none at its end (``class_``); those that are "" are
        left out.
    """
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_letters(str(value)))}"'
        for key, value in attributes.items()
        if value != ""
    )
    inner = joined(content)
    return Html(f"<{tag}{given}>" if tag in _VOID else f"<{tag}{given}>{inner}</{tag}>")


def joined(content: Iterable[str | Iterable[Any]]) -> Html:
    """Set pieces one after the other; what is no ``Html`` is escaped."""
    return Html(
        "".join(
            piece
            if isinstance(piece, Html)
            else escape(_letters(piece), quote=False)
            if isinstance(piece, str)
            else joined(piece)
            for piece in content
        )
    )


def _letters(text: str) -> str:
    """Put a mark in place of what HTML can't hold: control letters and lone surrogates."""
    return _NOT_HTML.sub("\ufffd", text)
