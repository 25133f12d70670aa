"""Requests for previews, plans, their progress and their files."""

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from dataclasses import asdict
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Header, Response
from fastapi import Path as InPath
from starlette.responses import FileResponse, StreamingResponse

from aanplant.errors import InputError
from aanplant.files.plan_json import read_plan_json
from aanplant.server.arrays import MEDIA_TYPE
from aanplant.server.desk import BlockName, Desk, DeskOf, FileNameInPath, ReaderOf
from aanplant.server.jobs import ENDED, Job
from aanplant.server.problems import Problem
from aanplant.server.shapes import FilesShape, JobShape, PlanOrderShape, WrittenPlanShape
from aanplant.server.store import PLANS, version_of
from aanplant.server.telling import told_figure, told_finding
from aanplant.units import UnitSystem

router = APIRouter(tags=["plans"])
HEARTBEAT_S = 10.0
"""A stream that says nothing for so long sends a comment, so that a broken line is noticed."""
LOOK_EVERY_S = 0.1
"""A stream looks so often how far its job is; it holds no thread, however many pages listen."""
_BYTES: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "The file's bytes.",
        "content": {
            MEDIA_TYPE: {"schema": {"type": "string", "format": "binary", "examples": ["%PDF-1.7"]}}
        },
    }
}
_EVENTS: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "Events ``progress``, each with a ``JobShape`` as its data.",
        "content": {
            "text/event-stream": {
                "schema": {
                    "type": "string",
                    "examples": ['event: progress\nid: 7\ndata: {"state": "running"}\n\n'],
                }
            }
        },
    }
}
_DOCUMENT: dict[int | str, dict[str, Any]] = {
    200: {
        "description": "``plan.json`` as it was written.",
        "content": {"application/json": {"example": {"format": "aanplant-plan/1", "figures": []}}},
    },
    304: {"description": "The reader has it already."},
}
JobId = Annotated[
    str, InPath(description="Name of the job.", examples=["0b8e6c1c5f4f4f0d9a7c7f7b3a1d2e3f"])
]
PlanId = Annotated[
    str, InPath(description="Of the plan.", examples=["5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"])
]
Known = Annotated[
    str,
    Header(
        alias="If-None-Match",
        description="Version that the reader has already.",
        examples=['"5f1d0c6b2a7e4d3f8b9c0a1e2d3f4a5b"'],
    ),
]


@router.post("/blocks/{block}/plans", status_code=HTTPStatus.ACCEPTED)
def order_plan(
    desk: DeskOf, block: BlockName, asked: PlanOrderShape, response: Response, reader: ReaderOf
) -> JobShape:
    """Make a plan of the saved brief and write its folder, in the background."""
    desk.block(block)
    groups = _groups(desk, asked.files)
    job = desk.jobs.start(block, _work(desk, block, groups, reader.units))
    response.headers["Location"] = f"/api/v1/jobs/{job.id}"
    return _told(job)


@router.get("/jobs/{job_id}")
def read_job(desk: DeskOf, job_id: JobId) -> JobShape:
    """Read how far a plan is."""
    return _told(_job(desk, job_id))


@router.delete("/jobs/{job_id}", status_code=HTTPStatus.NO_CONTENT)
def cancel_job(desk: DeskOf, job_id: JobId) -> None:
    """Stop a plan; what stood in its folder stays."""
    _job(desk, job_id).cancel()


@router.get("/jobs/{job_id}/events", response_class=StreamingResponse, responses=_EVENTS)
async def follow_job(desk: DeskOf, job_id: JobId) -> StreamingResponse:
    """Follow a plan to its end, as server-sent events ``progress``."""
    job = _job(desk, job_id)
    return StreamingResponse(_events(job), media_type="text/event-stream")


@router.get("/blocks/{block}/plan")
def read_plan(desk: DeskOf, block: BlockName, reader: ReaderOf) -> WrittenPlanShape:
    """Read the figures and findings of the plan that was written last, in words."""
    desk.block(block)
    path = _plan_file(desk, block)
    record = read_plan_json(path)
    with reader.spoken_to():
        return WrittenPlanShape(
            id=version_of(path.read_bytes()),
            made=record.made,
            engine=record.engine,
            is_current=desk.planner.is_current(block, record),
            figures=[told_figure(figure, reader.units) for figure in record.figures],
            findings=[
                told_finding(finding, record.frame.to_lonlat, reader.units)
                for finding in record.findings
            ],
        )


@router.get("/blocks/{block}/plans/{plan_id}", response_class=Response, responses=_DOCUMENT)
def read_document(
    desk: DeskOf, block: BlockName, plan_id: PlanId, if_none_match: Known = ""
) -> Response:
    """Read the whole plan that was written last, as ``plan.json`` holds it.

    Its id stands in the answer to ``/blocks/{block}/plan``: so nobody takes a later plan for it.
    """
    desk.block(block)
    data = _plan_file(desk, block).read_bytes()
    if version_of(data) != plan_id:
        raise Problem(
            HTTPStatus.NOT_FOUND, f"The plan of {block!r} that was written last is another."
        )
    headers = {"ETag": f'"{plan_id}"', "Cache-Control": "private, max-age=31536000, immutable"}
    if plan_id in if_none_match:
        return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=headers)
    return Response(data, media_type="application/json", headers=headers)


@router.get("/blocks/{block}/files")
def list_files(desk: DeskOf, block: BlockName) -> FilesShape:
    """Name the files of a block's plan."""
    desk.block(block)
    return FilesShape(files=list(desk.store.files(block)))


@router.get("/blocks/{block}/files/{name}", response_class=FileResponse, responses=_BYTES)
def fetch_file(desk: DeskOf, block: BlockName, name: FileNameInPath) -> FileResponse:
    """Fetch a file of a block's plan."""
    desk.block(block)
    path = desk.store.files(block).get(name)
    if path is None:
        raise Problem(HTTPStatus.NOT_FOUND, f"The plan of {block!r} has no file {name!r}.")
    return FileResponse(path, filename=name)


def _plan_file(desk: Desk, block: str) -> Path:
    path = desk.store.files(block).get("plan.json")
    if path is None:
        raise Problem(HTTPStatus.NOT_FOUND, f"{block!r} was not planned yet.")
    return path


async def _events(job: Job) -> AsyncIterator[str]:
    step, spoke = -1, time.monotonic()
    while True:
        told = _told(job)
        if told.step > step:
            step, spoke = told.step, time.monotonic()
            yield f"event: progress\nid: {step}\ndata: {told.model_dump_json()}\n\n"
        elif time.monotonic() - spoke > HEARTBEAT_S:
            spoke = time.monotonic()
            yield ": still here\n\n"
        if told.state in ENDED:
            return
        await asyncio.sleep(LOOK_EVERY_S)


def _work(
    desk: Desk, block: str, groups: tuple[str, ...], system: UnitSystem
) -> Callable[[Callable[[str, float], None]], dict[str, Any]]:
    def work(check: Callable[[str, float], None]) -> dict[str, Any]:
        folder = desk.planner.opened(block).plan_folder
        if not desk.store.holds(folder):
            raise InputError(
                f"{PLANS}/{folder.name}",
                "a link to a place outside the estate's folder",
                "a folder of the estate",
            )
        plan = desk.planner.whole(block, check)
        names = desk.write_plan(
            plan, folder, desk.now(), groups, system, lambda fraction: check("files", fraction)
        )
        return {"files": list(names), "must_stop": plan.must_stop}

    return work


def _groups(desk: Desk, names: list[str]) -> tuple[str, ...]:
    if names == ["all"]:
        return desk.groups
    for name in names:
        if name not in desk.groups:
            raise InputError("files", repr(name), f"all or some of {', '.join(desk.groups)}")
    return tuple(names)


def _job(desk: Desk, job_id: str) -> Job:
    job = desk.jobs.get(job_id)
    if job is None:
        raise Problem(HTTPStatus.NOT_FOUND, f"There is no job {job_id!r}.")
    return job


def _told(job: Job) -> JobShape:
    return JobShape(id=job.id, block=job.block, **asdict(job.progress))
