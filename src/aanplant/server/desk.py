"""What all requests share, and how they reach it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus
from pathlib import Path
from typing import Annotated

from fastapi import Depends, Query, Request
from fastapi import Path as InPath

from aanplant.catalogues import FIRST_LANGUAGE
from aanplant.files.plan_folder import Told
from aanplant.plan import Plan
from aanplant.server.jobs import Jobs
from aanplant.server.planning import Planner
from aanplant.server.problems import Problem
from aanplant.server.store import EstateStore, MissingError
from aanplant.server.telling import Reader, reader_of
from aanplant.units import UnitSystem


@dataclass(frozen=True)
class Desk:
    """One estate being worked on.

    Parameters
    ----------
    store : EstateStore
        Its folder.
    planner : Planner
        Makes its plans.
    jobs : Jobs
        Plans in the making.
    groups : tuple of str
        Groups of files of a plan.
    write_plan : callable
        Writes a plan's folder.
    now : callable
        The clock.
    """

    store: EstateStore
    planner: Planner
    jobs: Jobs
    groups: tuple[str, ...]
    write_plan: Callable[[Plan, Path, datetime, Sequence[str], UnitSystem, Told], Sequence[str]]
    now: Callable[[], datetime]

    def block(self, name: str) -> Path:
        """Return the folder of a block.

        Raises
        ------
        Problem
            If there is none: not found.
        """
        try:
            return self.store.block(name)
        except MissingError as error:
            raise Problem(HTTPStatus.NOT_FOUND, str(error)) from None


def _desk(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


DeskOf = Annotated[Desk, Depends(_desk)]
BlockName = Annotated[
    str, InPath(description="Block by the name of its folder.", examples=["kiepersol"])
]
FileNameInPath = Annotated[str, InPath(description="Name of the file.", examples=["boundary.gpx"])]
KeyInPath = Annotated[
    str, InPath(description="Key of the brief that names the file.", examples=["block.boundary"])
]
Language = Annotated[
    str, Query(max_length=20, description="Language of the words.", examples=["af"])
]
Units = Annotated[
    UnitSystem | None,
    Query(description="Units of what is shown; the estate's when left out.", examples=["imperial"]),
]


def _reader(desk: DeskOf, language: Language = FIRST_LANGUAGE, units: Units = None) -> Reader:
    return reader_of(desk.store.estate(), language, units)


ReaderOf = Annotated[Reader, Depends(_reader)]
