"""Requests about blocks and their briefs."""

import base64
import json
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, Response
from pydantic import BaseModel
from pydantic_core import to_jsonable_python

from aanplant.brief import parse_brief, parse_toml
from aanplant.errors import InputError
from aanplant.server.desk import BlockName, Desk, DeskOf
from aanplant.server.editing import BRIEF_FILE, changed
from aanplant.server.fit import check_outline
from aanplant.server.problems import Problem
from aanplant.server.shapes import BriefShape, ChangesShape, NewBlockShape
from aanplant.server.source_routes import read_as_outline
from aanplant.server.store import ChangedError

router = APIRouter(tags=["blocks"])
Version = Annotated[
    str | None,
    Header(
        alias="If-Match",
        description="Version that the change started from.",
        examples=['"5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"'],
    ),
]
Toml = Annotated[
    str, Body(media_type="application/toml", examples=['[block]\nboundary = "boundary.gpx"\n'])
]


@router.post("/blocks", status_code=HTTPStatus.CREATED)
def make_block(desk: DeskOf, new: NewBlockShape, response: Response) -> BriefShape:
    """Make a block from a file with its outline."""
    try:
        outline = base64.b64decode(new.boundary_base64, validate=True)
    except ValueError:
        raise InputError(
            "boundary_base64", "text that is not base64", "the file in base64"
        ) from None
    block = {"name": new.name or new.block.replace("-", " ").capitalize()}
    block["boundary"] = new.boundary_name
    if new.grid:
        block["grid"] = new.grid
    vines = {"row_width": new.row_width, "vine_spacing": new.vine_spacing}
    text = "\n".join((*_section("block", block), "", *_section("vines", vines), ""))
    parse_brief(text, BRIEF_FILE)
    read = read_as_outline(new.boundary_name, outline, new.grid)
    check_outline(read, desk.store.estate().grid)
    desk.store.add_block(new.block, {BRIEF_FILE: text.encode(), new.boundary_name: outline})
    return _told(desk, new.block, response)


@router.get("/blocks/{block}/brief")
def read_brief(desk: DeskOf, block: BlockName, response: Response) -> BriefShape:
    """Read a block's brief."""
    return _told(desk, block, response)


@router.put("/blocks/{block}/brief")
def save_brief(
    desk: DeskOf,
    block: BlockName,
    text: Toml,
    response: Response,
    if_match: Version = None,
) -> BriefShape:
    """Save a whole brief over the version it started from."""
    _save(desk, block, text, if_match)
    return _told(desk, block, response)


@router.patch("/blocks/{block}/brief")
def change_brief(
    desk: DeskOf,
    block: BlockName,
    asked: ChangesShape,
    response: Response,
    if_match: Version = None,
) -> BriefShape:
    """Change single keys; comments and all else stay as they are."""
    desk.block(block)
    text = changed(desk.store.brief(block).text, asked.changes)
    _save(desk, block, text, if_match)
    return _told(desk, block, response)


def _save(desk: Desk, block: str, text: str, expected: str | None) -> None:
    desk.block(block)
    if not expected:
        raise Problem(
            HTTPStatus.PRECONDITION_REQUIRED,
            "Send the version the change started from in If-Match, so that nobody's work is lost.",
        )
    try:
        desk.store.save_brief(block, text, expected=expected.strip().strip('"'))
    except ChangedError as error:
        raise Problem(
            HTTPStatus.PRECONDITION_FAILED,
            "The brief has changed since it was read; nothing was saved.",
            {"version": error.version, "text": desk.store.brief(block).text},
        ) from None


def _told(desk: Desk, block: str, response: Response) -> BriefShape:
    desk.block(block)
    stored = desk.store.brief(block)
    response.headers["ETag"] = f'"{stored.version}"'
    told = BriefShape(
        block=block, version=stored.version, text=stored.text,
        values={}, written={}, given=[], trouble="",
    )  # fmt: skip
    try:
        told.written = to_jsonable_python(parse_toml(stored.text, BRIEF_FILE))
        brief = parse_brief(stored.text, BRIEF_FILE)
    except InputError as error:
        told.trouble = str(error)
    else:
        told.values, told.given = brief.canonical(), _given("", brief)
    return told


def _given(prefix: str, section: BaseModel) -> list[str]:
    found = []
    for name in type(section).model_fields:
        if name in section.model_fields_set:
            below = getattr(section, name)
            found += (
                _given(f"{prefix}{name}.", below)
                if isinstance(below, BaseModel)
                else [f"{prefix}{name}"]
            )
    return found


def _section(name: str, values: dict[str, Any]) -> list[str]:
    return [f"[{name}]", *(f"{key} = {json.dumps(value, ensure_ascii=False)}"
                           for key, value in values.items())]  # fmt: skip
