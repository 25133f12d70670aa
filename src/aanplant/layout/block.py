"""A block laid out: the bearing chosen, rows fitted, every vine, post and anchor placed."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.layout.contour_course import Course
from aanplant.layout.direction import Sweep
from aanplant.layout.positions import Positions
from aanplant.layout.row_profiles import RowProfiles, RowSlopes
from aanplant.layout.row_sunlight import RowSunlight
from aanplant.layout.rows import Rows
from aanplant.layout.turning import TurnRoom
from aanplant.working import Finding, Input, Working


@dataclass(frozen=True)
class Layout:
    """A block laid out.

    Parameters
    ----------
    bearing_deg : float
        Of the rows from true north, 0 to 180; of the base line's chord where they bend. [deg]
    rows : Rows
        Fitted rows, numbered from the brief's corner.
    positions : Positions
        Vines and posts.
    anchors_xy : ndarray, shape (n_anchors, 2)
        Anchors, in the frame. [m]
    anchors_piece : ndarray, shape (n_anchors,)
        Piece of row (index into ``rows``) each belongs to.
    find_plantable : callable
        Finds ``plantable``, which is drawn and never reckoned with.
    field : geometry
        The outline less what rows must stop for. [m]
    sweep : Sweep or None
        All bearings compared, where the bearing was to be chosen.
    least_room_m : float
        Least distance at right angles from the edge to the outermost anchor of a row end,
        to the end post where it has none. [m]
    turns : TurnRoom
        Whether the machine can turn at every row end.
    figures, findings
        What the stage has to say.
    course : Course, optional
        How contour rows came to run as they do; None for straight rows.
    sunlight : RowSunlight, optional
        On rows of this bearing.
    profiles : RowProfiles or None
        The ground along the fitted rows; None without heights.
    slopes : RowSlopes or None
        Slopes of every piece of row; None without heights.
    """

    bearing_deg: float
    rows: Rows
    positions: Positions
    anchors_xy: NDArray[np.float64]
    anchors_piece: NDArray[np.int32]
    find_plantable: Callable[[], BaseGeometry]
    field: BaseGeometry
    sweep: Sweep | None
    least_room_m: float
    turns: TurnRoom
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]
    course: Course | None = None
    sunlight: RowSunlight | None = None
    profiles: RowProfiles | None = None
    slopes: RowSlopes | None = None

    @cached_property
    def plantable(self) -> BaseGeometry:
        """Where rows may run, end post to end post; where they bend, the strips they take. [m]."""
        return self.find_plantable()

    @property
    def line_length(self) -> Input:
        """Length of a line laid along all rows: on the ground where heights are known. [m]."""
        made = {figure.key: figure for figure in self.figures}
        figure = made.get("layout.row_length_ground", made["layout.row_length"])
        return figure.as_input("row_length")
