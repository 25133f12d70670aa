"""Requests about the files beside a brief: outlines, exclusions, pits, heights and the rest."""

import tempfile
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, Query, Response
from starlette.responses import FileResponse

from aanplant.brief import Brief, parse_brief
from aanplant.errors import InputError
from aanplant.files.outlines import read_outline
from aanplant.inputs import Outline
from aanplant.server.desk import BlockName, Desk, DeskOf, FileNameInPath
from aanplant.server.editing import BRIEF_FILE
from aanplant.server.fit import CHECKED, check_in_block, check_outline
from aanplant.server.geo import features_of, reader_of
from aanplant.server.problems import Problem
from aanplant.server.shapes import GeoShape, SourceShape, SourcesShape
from aanplant.server.store import ChangedError, fit_file_name

router = APIRouter(tags=["sources"])
SourceVersion = Annotated[
    str | None,
    Header(
        alias="If-Match",
        description="Version that is written over; not for a new file.",
        examples=['"5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"'],
    ),
]
Octets = Annotated[
    bytes,
    Body(media_type="application/octet-stream", examples=["lon,lat\n20.0,-33.0\n20.002,-33.0\n"]),
]
Key = Annotated[
    str,
    Query(
        max_length=80,
        description="Key of the brief that names the file.",
        examples=["block.boundary"],
    ),
]
_FILE: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The file's bytes.",
        "content": {
            "application/octet-stream": {
                "schema": {"type": "string", "format": "binary", "examples": ["lon,lat\n"]}
            }
        },
    }
}


@router.post("/outline")
def read_drawn_outline(
    data: Octets,
    name: Annotated[str, Query(max_length=100, examples=["walked.gpx"])],
    grid: Annotated[str, Query(max_length=80, examples=["EPSG:2048"])] = "",
) -> GeoShape:
    """Read an outline that is not saved yet, to show it before a block is made from it."""
    return GeoShape(features=features_of(read_as_outline(name, data, grid)))


@router.get("/blocks/{block}/sources")
def list_sources(desk: DeskOf, block: BlockName) -> SourcesShape:
    """Name the files beside a brief, and what it uses each for."""
    desk.block(block)
    return SourcesShape(sources=[_told(desk, block, name) for name in desk.store.sources(block)])


@router.get("/blocks/{block}/sources/{name}", response_class=FileResponse, responses=_FILE)
def fetch_source(desk: DeskOf, block: BlockName, name: FileNameInPath) -> FileResponse:
    """Fetch a file beside a brief."""
    path = _source(desk, block, name)
    etag = f'"{desk.store.source_version(block, name)}"'
    return FileResponse(path, filename=name, headers={"ETag": etag})


@router.put("/blocks/{block}/sources/{name}")
def save_source(
    *,
    desk: DeskOf,
    block: BlockName,
    name: FileNameInPath,
    data: Octets,
    response: Response,
    used_as: Key,
    if_match: SourceVersion = None,
) -> SourceShape:
    """Read a file as a key of the brief would, and put it beside the brief when it is sound."""
    desk.block(block)
    fit_file_name(name)
    if name == BRIEF_FILE:
        raise InputError("name", repr(name), "another name; a brief is saved as a brief")
    _check(desk, block, used_as, name, data)
    expected = if_match.strip().strip('"') if if_match else None
    try:
        version = desk.store.add_file(block, name, data, expected=expected)
    except ChangedError as error:
        status = HTTPStatus.PRECONDITION_FAILED if expected else HTTPStatus.PRECONDITION_REQUIRED
        raise Problem(
            status,
            f"{name} has another content by now; nothing was saved. Send its version in If-Match "
            "to write over it.",
            {"version": error.version},
        ) from None
    response.headers["ETag"] = f'"{version}"'
    return _told(desk, block, name)


def read_as_outline(name: str, data: bytes, grid: str) -> Outline:
    """Read bytes as the outline of a field; the name's ending tells the format."""
    fit_file_name(name)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        return read_outline(path, grid=grid)


def _check(desk: Desk, block: str, key: str, name: str, data: bytes) -> None:
    """Refuse a file that the block could not be planned with under the key it is meant for."""
    reader = reader_of(key)
    brief = _brief(desk, block)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        read = reader(path, brief, desk.store.block(block))
    if isinstance(read, Outline):
        check_outline(read, brief.block.set_out_grid or desk.store.estate().grid)
    elif key in CHECKED and (surveyed := desk.planner.surveyed(block)) is not None:
        check_in_block(key, read, brief, surveyed)


def _brief(desk: Desk, block: str) -> Brief:
    return parse_brief(desk.store.brief(block).text, BRIEF_FILE)


def _source(desk: Desk, block: str, name: str) -> Path:
    desk.block(block)
    path = desk.store.sources(block).get(name)
    if path is None:
        raise Problem(HTTPStatus.NOT_FOUND, f"There is no file {name!r} beside the brief.")
    return path


def _told(desk: Desk, block: str, name: str) -> SourceShape:
    path = _source(desk, block, name)
    try:
        named = _brief(desk, block).named_files()
    except InputError:
        named = {}
    return SourceShape(
        name=name,
        bytes=path.stat().st_size,
        version=desk.store.source_version(block, name),
        used_as=[key for key, file in named.items() if file == name],
    )
