"""Requests for a picture of the ground below the sheet: the estate's own, or tiles it names."""

import tempfile
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any
from urllib.parse import urlsplit

import numpy as np
from fastapi import APIRouter, Query, Response
from numpy.typing import NDArray
from pydantic import Field

from aanplant.errors import InputError
from aanplant.files.ground_picture import Window, check_picture, cut_window
from aanplant.server.desk import BlockName, Desk, DeskOf
from aanplant.server.problems import Problem
from aanplant.server.source_routes import Octets, SourceVersion
from aanplant.server.store import ChangedError, EstateStore
from aanplant.server.wire import Shape
from aanplant.site.frame import Frame

router = APIRouter(tags=["pictures"])
PICTURE_FILE = "picture.tif"
"""Beside the brief; it is looked at and never reckoned with."""
MOST_PIXELS = 4096
_ALLOWED_M = 50_000.0
_IMAGE: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The window, as JPEG or, where part of it shows nothing, as PNG.",
        "content": {
            kind: {"schema": {"type": "string", "format": "binary", "examples": ["picture"]}}
            for kind in ("image/jpeg", "image/png")
        },
    }
}
Metres = Annotated[float, Query(ge=-_ALLOWED_M, le=_ALLOWED_M, examples=[150.0])]
Pixels = Annotated[int, Query(ge=1, le=MOST_PIXELS, examples=[600])]


class GroundPictureShape(Shape):
    """What can be laid below the sheet of a block."""

    version: str = Field(examples=["18f3a2-2f1c40"])
    """Of the block's own picture; "" when there is none."""
    tiles: str = Field(examples=["https://tiles.example.org/{z}/{x}/{y}.png"])
    """Address of tiles in Web Mercator, by the estate; "" when it names none."""
    tiles_credit: str = Field(examples=["tiles by an invented office"])
    """Whose tiles they are."""


@router.get("/blocks/{block}/picture")
def read_picture(desk: DeskOf, block: BlockName) -> GroundPictureShape:
    """Say which pictures of the ground there are."""
    desk.block(block)
    estate = desk.store.estate()
    return GroundPictureShape(
        version=_version(desk, block),
        tiles=estate.ground_tiles,
        tiles_credit=estate.ground_tiles_credit,
    )


@router.put("/blocks/{block}/picture")
def save_picture(
    desk: DeskOf, block: BlockName, data: Octets, if_match: SourceVersion = None
) -> GroundPictureShape:
    """Keep a GeoTIFF photograph as the block's picture, when it shows the block."""
    frame = _frame(desk, block)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / PICTURE_FILE
        path.write_bytes(data)
        check_picture(path, _middle(frame))
    there = _version(desk, block)
    expected = if_match.strip().strip('"') if if_match else ""
    if there != expected:
        raise _changed(there, was_expected=bool(expected))
    held = desk.store.source_version(block, PICTURE_FILE) if there else None
    try:
        desk.store.add_file(block, PICTURE_FILE, data, expected=held)
    except ChangedError:
        raise _changed(_version(desk, block), was_expected=bool(expected)) from None
    return read_picture(desk, block)


@router.get("/blocks/{block}/picture/window", response_class=Response, responses=_IMAGE)
def show_window(
    *,
    desk: DeskOf,
    block: BlockName,
    west_m: Metres,
    south_m: Metres,
    east_m: Metres,
    north_m: Metres,
    columns: Pixels,
    rows: Pixels,
) -> Response:
    """Cut a window out of the block's picture, in metres of its own grid."""
    path = _path(desk, block)
    if path is None:
        raise Problem(HTTPStatus.NOT_FOUND, f"There is no {PICTURE_FILE} beside the brief.")
    if east_m <= west_m or north_m <= south_m:
        raise InputError("window", "sides that enclose nothing", "west < east and south < north")
    frame = _frame(desk, block)
    window = Window(west_m, south_m, east_m, north_m, columns, rows)
    data, kind = cut_window(path, window, frame.crs, _middle(frame))
    return Response(data, media_type=kind)


def tile_origin(store: EstateStore) -> str:
    """Origin of the tiles that the estate names, "" for none or where it cannot be read."""
    try:
        address = urlsplit(store.estate().ground_tiles)
    except InputError:
        return ""
    return f"{address.scheme}://{address.netloc}" if address.netloc else ""


def _changed(version: str, *, was_expected: bool) -> Problem:
    return Problem(
        HTTPStatus.PRECONDITION_FAILED if was_expected else HTTPStatus.PRECONDITION_REQUIRED,
        f"There is another {PICTURE_FILE} by now; nothing was saved. Send its version in If-Match "
        "to write over it.",
        {"version": version},
    )


def _path(desk: Desk, block: str) -> Path | None:
    desk.block(block)
    return desk.store.sources(block).get(PICTURE_FILE)


def _version(desk: Desk, block: str) -> str:
    """Tell a picture by its time and size: it may be too large to be read for this."""
    path = _path(desk, block)
    if path is None:
        return ""
    known = path.stat()
    return f"{known.st_mtime_ns:x}-{known.st_size:x}"


def _frame(desk: Desk, block: str) -> Frame:
    desk.block(block)
    surveyed = desk.planner.surveyed(block)
    if surveyed is None:
        raise Problem(
            HTTPStatus.CONFLICT,
            "The block's outline cannot be used yet, so no picture can be laid below it.",
        )
    return surveyed[0].frame


def _middle(frame: Frame) -> NDArray[np.float64]:
    return np.array([frame.longitude_deg, frame.latitude_deg])
