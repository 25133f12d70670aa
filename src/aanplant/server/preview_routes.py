"""Requests for previews: what a plan would be under changes that are not saved."""

from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, Response

from aanplant.errors import Cancelled
from aanplant.server.arrays import MEDIA_TYPE
from aanplant.server.desk import BlockName, DeskOf, ReaderOf
from aanplant.server.layers import LAYERS
from aanplant.server.preview import preview_bytes
from aanplant.server.problems import Problem
from aanplant.server.shapes import PreviewShape
from aanplant.stages import STAGE_NAMES

router = APIRouter(tags=["previews"])
_BYTES: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "Arrays behind a header, the shape ``PreviewAboutShape``.",
        "content": {
            MEDIA_TYPE: {
                "schema": {"type": "string", "format": "binary", "examples": ["AANPLNT1…"]}
            }
        },
    },
}


@router.post("/blocks/{block}/preview", response_class=Response, responses=_BYTES)
def preview(desk: DeskOf, block: BlockName, asked: PreviewShape, reader: ReaderOf) -> Response:
    """Plan a block up to a stage under unsaved changes; layers, figures, findings in one piece."""
    desk.block(block)
    try:
        plan = desk.planner.preview(block, asked.changes, page=asked.page, until=asked.until)
    except Cancelled:
        raise Problem(HTTPStatus.CONFLICT, "Overtaken by a later question of this page.") from None
    ran = STAGE_NAMES[: STAGE_NAMES.index(asked.until) + 1]
    layers = [name for name, (stage, _) in LAYERS.items() if stage in ran]
    if asked.layers is not None:
        layers = [name for name in layers if name in asked.layers]
    data = preview_bytes(plan, reader, layers=layers, tables=asked.tables, known=asked.known)
    return Response(data, media_type=MEDIA_TYPE)
