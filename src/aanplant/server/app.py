"""The application: one estate, its briefs, previews, plans and files."""

from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

from fastapi import FastAPI

from aanplant import __version__
from aanplant.files.plan_folder import Told
from aanplant.plan import Plan
from aanplant.server import (
    block_routes,
    chart_routes,
    drawing_routes,
    estate_routes,
    picture_routes,
    plan_routes,
    preview_routes,
    sheet_routes,
    source_routes,
)
from aanplant.server.describing import PROBLEM_ANSWERS, describe_all
from aanplant.server.desk import Desk
from aanplant.server.guard import Guard
from aanplant.server.jobs import Jobs
from aanplant.server.pages import serve_pages
from aanplant.server.planning import Planner
from aanplant.server.problems import answer_in_one_shape
from aanplant.server.store import EstateStore
from aanplant.units import UnitSystem

WritePlan = Callable[[Plan, Path, datetime, Sequence[str], UnitSystem, Told], Sequence[str]]
"""Writes a plan's folder: plan, folder, when it was made, the groups of files, units, and whom to
tell how far it is."""


def create_app(
    folder: Path, *, groups: Sequence[str], write_plan: WritePlan, plans_ahead: bool = False
) -> FastAPI:
    """Make the application for one estate.

    Parameters
    ----------
    folder : Path
        Of the estate.
    groups : sequence of str
        Groups of files that ``write_plan`` knows.
    write_plan : callable
        Writes a plan's folder.
    plans_ahead : bool
        Lay the first block out while the page that will ask for it is still loading.

    Raises
    ------
    InputError
        If the folder is no estate's.
    """
    store = EstateStore(folder)
    desk = Desk(store, Planner(store), Jobs(), tuple(groups), write_plan, lambda: datetime.now(UTC))

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        if plans_ahead:
            for first in store.blocks()[:1]:
                desk.planner.warm(first)
        yield
        desk.planner.close()
        desk.jobs.close()

    app = FastAPI(
        title="aanplant",
        summary="Plan new vineyard blocks: briefs, previews, plans and their files.",
        version=__version__,
        openapi_url="/api/v1/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=lifespan,
        responses=PROBLEM_ANSWERS,
    )
    app.state.desk = desk
    describe_all(app)
    answer_in_one_shape(app)
    for routes in (
        estate_routes,
        block_routes,
        source_routes,
        drawing_routes,
        preview_routes,
        chart_routes,
        sheet_routes,
        picture_routes,
        plan_routes,
    ):
        app.include_router(routes.router, prefix="/api/v1")
    serve_pages(app, pictures_from=lambda: picture_routes.tile_origin(store))
    app.add_middleware(Guard)
    return app
