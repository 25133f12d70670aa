"""Whether what was drawn fits the block, before it is kept: what only its plan would refuse."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.inputs import Inputs, Outline, WaterSource
from aanplant.pits import DrawnZone
from aanplant.site import Site
from aanplant.site.boundary import to_polygon
from aanplant.site.grid import choose_grid
from aanplant.site.soil_survey import survey_soil
from aanplant.site.survey import frame_of
from aanplant.water.source_place import drawn_way, source_place

Surveyed = tuple[Site, Inputs]


def check_outline(outline: Outline, set_out_grid: str) -> None:
    """Refuse an outline that is no field, or lies where the set-out grid does not serve.

    Parameters
    ----------
    outline : Outline
        As read.
    set_out_grid : str
        Code of the grid; "" for the UTM zone.

    Raises
    ------
    InputError
        With what is wrong, and where.
    """
    frame = frame_of(outline)
    to_polygon(outline, frame)
    choose_grid(set_out_grid, frame, outline.where)


def check_in_block(key: str, read: object, brief: Brief, surveyed: Surveyed) -> None:
    """Refuse what a block, as it is saved, could not be planned with.

    Parameters
    ----------
    key : str
        Key of the brief that the file is meant for, one of ``CHECKED``.
    read : object
        What its reader made of it.
    brief : Brief
        As saved.
    surveyed : tuple of Site and Inputs
        The block's ground and what was read for it.

    Raises
    ------
    InputError
        In the words of the stage that would refuse it.
    """
    _CHECKS[key](read, brief, surveyed)


def _zones(read: object, brief: Brief, surveyed: Surveyed) -> None:
    site, inputs = surveyed
    zones = cast("tuple[DrawnZone, ...]", read)
    survey_soil(
        brief,
        replace(inputs, zones=zones),
        frame=site.frame,
        boundary=site.boundary,
        field=site.field,
    )


def _source(read: object, brief: Brief, surveyed: Surveyed) -> None:
    source_place(surveyed[0], cast("WaterSource", read), brief.mains.source_height_tolerance)


def _route(read: object, brief: Brief, surveyed: Surveyed) -> None:
    site, inputs = surveyed
    if inputs.water_source is not None:
        tolerance_m = brief.mains.source_height_tolerance
        place, _, _ = source_place(site, inputs.water_source, tolerance_m)
        drawn_way(site, place, cast("NDArray[np.float64]", read))


_CHECKS: Mapping[str, Callable[[object, Brief, Surveyed], None]] = {
    "block.zones": _zones,
    "water.source": _source,
    "mains.route": _route,
}
CHECKED = frozenset(_CHECKS)
"""Keys whose file must fit the block as it is saved."""
