"""Requests for the sheet of a block on paper, to scale, as its brief stands on the page."""

import tempfile
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Response

from aanplant.report.rendering import page_of
from aanplant.report.sheet import sheet, view_of
from aanplant.server.desk import BlockName, DeskOf, ReaderOf
from aanplant.server.shapes import SheetShape

router = APIRouter(tags=["previews"])
MEDIA_TYPE = "application/pdf"
_PDF: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The sheet, one page at its own size.",
        "content": {
            MEDIA_TYPE: {"schema": {"type": "string", "format": "binary", "examples": ["%PDF-1.7"]}}
        },
    },
}


@router.post("/blocks/{block}/sheet", response_class=Response, responses=_PDF)
def print_sheet(desk: DeskOf, block: BlockName, asked: SheetShape, reader: ReaderOf) -> Response:
    """Draw a block's sheet to scale under unsaved changes; only the layout is worked out."""
    desk.block(block)
    plan = desk.planner.laid_out(block, asked.changes)
    made = desk.now()
    with reader.spoken_to(), tempfile.TemporaryDirectory(prefix="aanplant-") as folder:
        view = view_of(plan, paper=asked.paper, denominator=asked.scale)
        drawing = sheet(plan, made=made, system=reader.units, view=view)
        path = Path(folder) / "sheet.pdf"
        page = page_of(drawing, made=made, title=drawing.title, author=plan.inputs.estate)
        page.print_to({"pdf": path})
        data = path.read_bytes()
    name = f"{block}-{view.paper.name}-1-{view.paper.denominator}.pdf"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=MEDIA_TYPE, headers=headers)
