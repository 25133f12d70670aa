"""Write a plan's folder: whole, or not at all.

The new folder is built beside the old one as ``.name.new``. Then the old one is renamed
``.name.old``, the new one takes its place and the old one is deleted. Whatever stops the
program in between, the next start finds it out and finishes or undoes it.
"""

import errno
import os
import shutil
from collections.abc import Callable, Collection, Mapping
from contextlib import AbstractContextManager, nullcontext
from datetime import datetime
from pathlib import Path

from aanplant.errors import InputError, cannot_be_made
from aanplant.files.budget_sheet import write_budget_xlsx
from aanplant.files.drawing import write_drawing
from aanplant.files.geopackage import write_geopackage
from aanplant.files.lonlat import write_geojson, write_gpx, write_kml
from aanplant.files.orders import write_orders_csv, write_orders_xlsx
from aanplant.files.plan_json import write_plan_json
from aanplant.files.set_out_csv import write_set_out_csv
from aanplant.plan import Plan

Writer = Callable[[Plan, Path, datetime], None]
Drawer = Callable[[Plan, Path], None]
Told = Callable[[float], None]
"""Is told which fraction of the files is written, and may stop the writing."""

WRITERS: Mapping[str, Mapping[str, Writer]] = {
    "json": {"plan.json": lambda plan, path, made: write_plan_json(plan, path, made=made)},
    "gpkg": {"plan.gpkg": lambda plan, path, made: write_geopackage(plan, path, made=made)},
    "csv": {"set-out.csv": lambda plan, path, _: write_set_out_csv(plan, path)},
    "dxf": {"set-out.dxf": lambda plan, path, _: write_drawing(plan, path)},
    "kml": {"set-out.kml": lambda plan, path, _: write_kml(plan, path)},
    "gpx": {"set-out.gpx": lambda plan, path, made: write_gpx(plan, path, made=made)},
    "geojson": {"set-out.geojson": lambda plan, path, _: write_geojson(plan, path)},
    "orders": {
        "orders.csv": lambda plan, path, _: write_orders_csv(plan, path),
        "orders.xlsx": lambda plan, path, made: write_orders_xlsx(plan, path, made=made),
    },
    "money": {
        "budget.xlsx": lambda plan, path, made: write_budget_xlsx(plan, path, made=made),
    },
}
"""Kinds of files by the name a user gives them, each with its files and their writers."""
ALWAYS = ("json", "gpkg")
KINDS = tuple(WRITERS)
DRAWN_NAMES = (
    "sheet.pdf", "sheet.svg", "sheet.png", "tape-and-pegs.pdf", "tape-and-pegs.txt",
    "row-direction.svg", "spreader-sheet.csv", "spreader-sheet.pdf", "site-report.pdf",
    "spares.svg", "stock-report.pdf",
    "trellis.svg", "erection-sheet.pdf",
    "water.svg", "water.pdf", "pressures.svg", "set-card.pdf",
    "nursery-order.pdf", "receiving-card.pdf", "planting-card.pdf", "day-sheets.pdf",
    "report.pdf", "report.html", "row-sheets.pdf", "calendar.ics", "calendar.svg", "calendar.pdf",
    "aftercare.svg",
)  # fmt: skip
"""Files of a plan that others draw. Every one must stand here: what a folder holds besides
is not ours, and a folder with such a thing in it is never replaced."""


def write_plan_folder(
    plan: Plan,
    folder: Path,
    *,
    made: datetime,
    kinds: Collection[str] = KINDS,
    drawn: Mapping[str, Drawer] | None = None,
    within: AbstractContextManager[object] | None = None,
    told: Told = lambda _: None,
) -> tuple[str, ...]:
    """Write a plan's folder in place of the one that stands there, whole or not at all.

    Parameters
    ----------
    plan : Plan
        A whole plan.
    folder : Path
        Folder to write; its parents are made where they are missing.
    made : datetime
        When the plan was made. [UTC]
    kinds : collection of str
        Some of ``KINDS``; ``plan.json`` and ``plan.gpkg`` are always written.
    drawn : mapping of str to callable, optional
        Further files by name, some of ``DRAWN_NAMES``; each is called with the plan and
        the path it must write.
    within : context manager, optional
        Entered while the files are written; a drawer's file must be there when it is left.
    told : callable
        Called with the fraction of the files that are written; may raise ``Cancelled`` to stop.

    Returns
    -------
    tuple of str
        Names of the files in the folder.

    Raises
    ------
    InputError
        If the folder holds anything that is no file of a plan, which would be lost, or
        may not be made there.
    ValueError
        If a kind or the name of a drawn file is not known.
    OSError
        If the disk is full or a file may not be written. What stood there stands unharmed.
    """
    drawers = dict(drawn or {})
    for given, known in ((kinds, KINDS), (drawers, DRAWN_NAMES)):
        if unknown := set(given) - set(known):
            raise ValueError(f"expected some of {known}, got {sorted(unknown)}")
    folder = folder.resolve()
    recover(folder)
    _refuse_what_is_no_plan(folder)
    new = _new(folder)
    try:
        new.mkdir(parents=True)
    except OSError as error:
        if error.errno == errno.ENOSPC:
            raise
        raise cannot_be_made(folder, error) from None
    try:
        with within or nullcontext():
            names = _fill(plan, new, made, (*ALWAYS, *kinds), drawers, told=told)
        _refuse_what_is_missing(new, names)
        _keep_on_disk(new)
        _exchange(folder)
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise
    shutil.rmtree(_old(folder), ignore_errors=True)  # what is left, the next start deletes
    return names


def recover(folder: Path) -> None:
    """Finish or undo what an interrupted run left beside a folder.

    Parameters
    ----------
    folder : Path
        Folder of a plan, there or not.
    """
    folder = folder.resolve()
    new, old = _new(folder), _old(folder)
    if old.exists() and not folder.exists():
        # The old one was moved away, so the new one was whole; without one, go back.
        (new if new.exists() else old).rename(folder)
    for left in (new, old):
        if left.exists():
            shutil.rmtree(left)


def _new(folder: Path) -> Path:
    return folder.with_name(f".{folder.name}.new")


def _old(folder: Path) -> Path:
    return folder.with_name(f".{folder.name}.old")


def _refuse_what_is_no_plan(folder: Path) -> None:
    if not folder.name:
        raise InputError(str(folder), "the top of the disk", "a folder for the plan")
    if not folder.exists():
        return
    if not folder.is_dir():
        raise InputError(str(folder), "a file", "a folder for the plan")
    known = {name for files in WRITERS.values() for name in files} | set(DRAWN_NAMES)
    strange = sorted(item.name for item in folder.iterdir() if item.name not in known)
    if strange:
        shown = ", ".join(strange[:3]) + (" and more" if len(strange) > 3 else "")  # noqa: PLR2004
        raise InputError(
            str(folder),
            f"what is no file of a plan and would be lost: {shown}",
            "a folder of its own for the plan, new, empty or holding an earlier plan",
        )


def _fill(
    plan: Plan,
    folder: Path,
    made: datetime,
    kinds: Collection[str],
    drawers: Mapping[str, Drawer],
    *,
    told: Told,
) -> tuple[str, ...]:
    written = {
        name: write
        for kind, files in WRITERS.items()
        if kind in kinds
        for name, write in files.items()
    }
    count = len(drawers) + len(written)
    # What is drawn comes first: it may still be printed beside while the rest is written.
    for done, (name, draw) in enumerate(drawers.items()):
        told(done / count)
        draw(plan, folder / name)
    for done, (name, write) in enumerate(written.items(), start=len(drawers)):
        told(done / count)
        write(plan, folder / name, made)
    return (*written, *drawers)


def _refuse_what_is_missing(folder: Path, names: Collection[str]) -> None:
    missing = [name for name in names if not (folder / name).is_file()]
    if missing:
        raise ValueError(f"no file was written for {', '.join(missing)}")


def _exchange(folder: Path) -> None:
    """Put the new folder in place of the old one; go back if the second step fails."""
    new, old = _new(folder), _old(folder)
    if not folder.exists():
        new.rename(folder)
    else:
        folder.rename(old)
        try:
            new.rename(folder)
        except BaseException:
            old.rename(folder)
            raise
    _keep_folder_on_disk(folder.parent)


def _keep_on_disk(folder: Path) -> None:
    """Let the disk hold all files before they take the old ones' place."""
    for path in folder.rglob("*"):
        if path.is_file():
            with path.open("rb+") as file:
                os.fsync(file.fileno())
    _keep_folder_on_disk(folder)


def _keep_folder_on_disk(folder: Path) -> None:
    if os.name != "posix":  # elsewhere a folder can't be opened
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
