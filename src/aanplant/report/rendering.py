"""Turn typst text and SVG drawings into PDF and PNG; a warning fails the build."""

import json
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from aanplant.report.style import FONTS
from aanplant.report.svg import Drawing

if TYPE_CHECKING:
    from typst import Fonts

PIXELS_PER_MM = 6
"""Whole, so that no row of pixels falls between two: 152.4 a inch."""
TEMPLATES = Path(__file__).with_name("templates")
Outputs = Mapping[Literal["pdf", "png"], Path]


class RenderingError(RuntimeError):
    """A paper could not be set as it was meant."""


@dataclass(frozen=True)
class _Pressroom:
    """A thread that prints, and what it was given to print."""

    thread: ThreadPoolExecutor
    given: list[Future[None]]


_PRESSROOM: ContextVar[_Pressroom | None] = ContextVar("pressroom", default=None)


@contextmanager
def printing_beside(going_on: Callable[[], None] = lambda: None) -> Iterator[None]:
    """Print on a thread of its own while the caller goes on; at the end every paper is there.

    Typst needs nothing of Python while it sets a paper, so that a second core may do it.

    Parameters
    ----------
    going_on : callable
        Called before each paper that is waited for at the end; what it raises ends the printing.

    Raises
    ------
    RenderingError
        At the end, if typst warned or failed.
    """
    with ThreadPoolExecutor(1, "press") as thread:
        room = _Pressroom(thread, [])
        token = _PRESSROOM.set(room)
        try:
            yield
            for one in room.given:
                going_on()
                one.result()
        except BaseException:
            thread.shutdown(cancel_futures=True)
            raise
        finally:
            _PRESSROOM.reset(token)


class Press:
    """One typst document with its files, ready to come out in several formats.

    Parameters
    ----------
    source : str
        Typst text; never holds what a user wrote, that comes through ``data``.
    files : mapping of str to bytes
        Files it reads, by name.
    made : datetime
        When the document is made; stands in its properties.
    """

    def __init__(self, source: str, files: Mapping[str, bytes], *, made: datetime) -> None:
        self._source = source
        self._files = dict(files)
        self._made = made

    def print_to(self, outputs: Outputs) -> None:
        """Write the document, by format ("pdf", "png"); see also ``printing_beside``.

        Raises
        ------
        RenderingError
            If typst warns or fails.
        """
        room = _PRESSROOM.get()
        if room is None:
            self._print(outputs)
        else:
            room.given.append(room.thread.submit(self._print, outputs))

    def _print(self, outputs: Outputs) -> None:
        import typst

        with tempfile.TemporaryDirectory(prefix="aanplant-") as folder:
            root = Path(folder)
            for name, data in self._files.items():
                (root / name).write_bytes(data)
            main = root / "main.typ"
            main.write_text(self._source, encoding="utf-8")
            compiler = typst.Compiler(
                main, root=root, font_paths=_fonts(), ignore_system_fonts=True
            )
            for kind, path in outputs.items():
                try:
                    result, warnings = compiler.compile_with_warnings(
                        format=kind,
                        ppi=25.4 * PIXELS_PER_MM,
                        timestamp=int(self._made.timestamp()),
                    )
                except typst.TypstError as error:
                    raise RenderingError(f"{path.name}: {error.message}") from error
                if warnings:
                    raise RenderingError(f"{path.name}: {warnings[0].message}")
                path.write_bytes(_single(result))


def page_of(drawing: Drawing, *, made: datetime, title: str, author: str) -> Press:
    """One page that is nothing but a drawing, at its own size."""
    return pages_of([drawing], made=made, title=title, author=author)


def pages_of(drawings: Sequence[Drawing], *, made: datetime, title: str, author: str) -> Press:
    """Pages that are nothing but a drawing each, at its own size."""
    head = (
        '#let about = json("about.json")\n'
        "#set document(title: about.title, author: about.author, date: "
        f"datetime(year: {made.year}, month: {made.month}, day: {made.day}))\n"
    )
    pages = [
        f"#page(width: {one.width_mm:g}mm, height: {one.height_mm:g}mm, margin: 0mm)["
        f'#image("{number}.svg", width: {one.width_mm:g}mm, alt: about.names.at({number}))]\n'
        for number, one in enumerate(drawings)
    ]
    about = {"title": title, "author": author, "names": [one.title for one in drawings]}
    files = {f"{number}.svg": one.svg(alone=False).encode() for number, one in enumerate(drawings)}
    return Press("".join([head, *pages]), {**files, "about.json": as_json(about)}, made=made)


def as_json(data: Mapping[str, Any]) -> bytes:
    """Encode what a template reads; a lone surrogate becomes a question mark."""
    return json.dumps(data, ensure_ascii=False).encode("utf-8", "replace")


def _single(result: object) -> bytes:
    pages = result if isinstance(result, list) else [result]
    first = pages[0]
    if len(pages) != 1 or not isinstance(first, bytes):
        raise RenderingError(f"expected one piece, got {len(pages)}")
    return first


@cache
def _fonts() -> "Fonts":
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])
