"""The pull in every wire of every row: when strained, under crop, on a hot day, in winter."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from aanplant.trellis.breaches import Breach
from aanplant.trellis.systems import System
from aanplant.trellis.tension import sag_m
from aanplant.trellis.wire_strength import (
    SAFE_SHARE,
    STEEL_EXPANSION_PER_K,
    axial_stiffness_n,
    break_load_n,
    installed_tension_n,
    tension_limit_n,
    weight_n_per_m,
)
from aanplant.trellis.wires import change_of_state

Values = NDArray[np.float64]
CASES = ("installed", "crop", "cold")
"""Cases that can break a wire; on a hot day it only sags."""


@dataclass(frozen=True)
class WireStates:
    """Pull in one strand of every line of every row, and how near it comes to breaking.

    Parameters
    ----------
    system : System
        Whose wires they are, in this order.
    span_m : ndarray, shape (n_rows,)
        Post to post in each row. [m]
    break_n, limit_n : ndarray, shape (n_lines,)
        Break load of a strand, and the most it may be strained to. [N]
    installed_n : ndarray, shape (n_rows, n_lines)
        On the day it is strained, with its own weight. [N]
    crop_n : ndarray, shape (n_rows, n_lines)
        In the year of the heaviest crop and canopy, at that day's warmth. [N]
    hot_n : ndarray, shape (n_rows, n_lines)
        The same on a hot day. [N]
    cold_n : ndarray, shape (n_rows, n_lines)
        On the coldest night, with its own weight. [N]
    sag_installed_m, sag_crop_m, sag_hot_m : ndarray, shape (n_rows, n_lines)
        At the middle of the span. [m]
    """

    system: System
    span_m: Values
    break_n: Values
    limit_n: Values
    installed_n: Values
    crop_n: Values
    hot_n: Values
    cold_n: Values
    sag_installed_m: Values
    sag_crop_m: Values
    sag_hot_m: Values

    @property
    def utilisation(self) -> Values:
        """Greatest pull over the break load, shape (n_rows, n_lines). [-]."""
        return np.asarray(self._by_case.max(axis=0) / self.break_n)

    @property
    def worst_case(self) -> NDArray[np.str_]:
        """Case of the greatest pull, one of ``CASES``, shape (n_rows, n_lines)."""
        return np.asarray(np.asarray(CASES)[self._by_case.argmax(axis=0)])

    @property
    def worst_row(self) -> NDArray[np.int64]:
        """Row of the greatest utilisation of each line, shape (n_lines,)."""
        return np.asarray(self.utilisation.argmax(axis=0))

    def row_pull_n(self, case: str) -> Values:
        """Pull of all strands of a row together in one of ``CASES``, shape (n_rows,). [N]."""
        return np.asarray(self._of(case) @ self._strands)

    def row_moment_nm(self, case: str) -> Values:
        """Sum of pull by height above the ground over all strands, shape (n_rows,). [N m]."""
        heights = np.array([wire.height_m for wire in self.system.wires])
        return np.asarray(self._of(case) @ (self._strands * heights))

    def breaches(self) -> tuple[Breach, ...]:
        """Return every limit that a line breaks, once each, in its worst row.

        A line is strained alike in all rows, so that breach names none.

        Strained above a third (mild) or half (high strain) of the break load; crop or the
        coldest night above 0.6 of it.
        """
        if not len(self.span_m):
            return ()
        found = []
        for index, wire in enumerate(self.system.wires):
            for kind, pulls, limit_n in (
                ("installed_above_limit", self.installed_n, self.limit_n),
                ("crop_above_safe", self.crop_n, SAFE_SHARE * self.break_n),
                ("cold_above_safe", self.cold_n, SAFE_SHARE * self.break_n),
            ):
                row = int(pulls[:, index].argmax())
                alike = kind == "installed_above_limit"
                pull_n, most_n = float(pulls[row, index]), float(limit_n[index])
                # A default that is the limit itself must not break it by its last bit.
                if pull_n > most_n * (1.0 + 1e-9):
                    found.append(
                        Breach(kind, wire.name, pull_n, most_n, "N", None if alike else row)
                    )
        return tuple(found)

    def _of(self, case: str) -> Values:
        return np.asarray(self._by_case[CASES.index(case)])

    @property
    def _by_case(self) -> Values:
        return np.stack([self.installed_n, self.crop_n, self.cold_n])

    @property
    def _strands(self) -> Values:
        return np.array([wire.strands for wire in self.system.wires], np.float64)


def wire_states(
    system: System,
    span_m: ArrayLike,
    crop_n_m: ArrayLike,
    canopy_n_m: ArrayLike,
    *,
    hot_k: float,
    cold_k: float,
) -> WireStates:
    """Work out the pull in every wire of every row in each case that matters.

    Crop and canopy hang on the strands of the load-bearing lines (cordon, fruit, support) in
    equal shares; foliage wires carry their own weight. Ends are held fast (see
    ``change_of_state``), so the pull under crop is an upper bound.

    Parameters
    ----------
    system : System
        Its wires and the pull asked for each, or the default.
    span_m : array_like, shape (n_rows,)
        Post to post in each row, above 0. [m]
    crop_n_m, canopy_n_m : array_like, scalar or shape (n_years,)
        Weight of crop, and of leaves, shoots and cordons, by metre of row and year; the
        heaviest year together counts. [N/m]
    hot_k : float
        Wire on a hot day before harvest less wire on the day of straining, 0 or more. [K]
    cold_k : float
        Wire on the coldest night less wire on the day of straining, 0 or less. [K]

    Raises
    ------
    ValueError
        If a span is not above 0, a load is negative, or a temperature has the wrong sign.
    """
    if not hot_k >= 0.0:
        raise ValueError(f"hot_k must be 0 or more, got {hot_k}")
    if not cold_k <= 0.0:
        raise ValueError(f"cold_k must be 0 or less, got {cold_k}")
    crop, canopy = np.asarray(crop_n_m, np.float64), np.asarray(canopy_n_m, np.float64)
    if not ((crop >= 0.0).all() and (canopy >= 0.0).all()):
        raise ValueError("crop_n_m and canopy_n_m must be 0 or more")
    heaviest_n_m = float(np.max(crop + canopy))
    wires = system.wires
    bearing = sum(wire.strands for wire in wires if wire.carries_crop)
    own = np.array([weight_n_per_m(wire.diameter_mm) for wire in wires])
    shared = np.array([heaviest_n_m / bearing if wire.carries_crop else 0.0 for wire in wires])
    loaded = own + shared
    stiffness = np.array([axial_stiffness_n(wire.diameter_mm) for wire in wires])
    asked = np.array([installed_tension_n(wire) for wire in wires])
    span = np.atleast_1d(np.asarray(span_m, np.float64))
    rows = span[:, np.newaxis]
    installed = np.broadcast_to(asked, (len(span), len(wires)))

    def after(load: Values, warmer_k: float) -> Values:
        return change_of_state(asked, rows, own, load, stiffness, STEEL_EXPANSION_PER_K, warmer_k)

    crop_n, hot_n, cold_n = after(loaded, 0.0), after(loaded, hot_k), after(own, cold_k)
    return WireStates(
        system,
        span,
        np.array([break_load_n(wire.diameter_mm, wire.grade) for wire in wires]),
        np.array([tension_limit_n(wire.diameter_mm, wire.grade) for wire in wires]),
        installed,
        crop_n,
        hot_n,
        cold_n,
        sag_m(own, rows, asked),
        sag_m(loaded, rows, crop_n),
        sag_m(loaded, rows, hot_n),
    )
