"""What every row's wires, posts and ends bear, and how far each part is used."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from aanplant.brief.ends import EndRules
from aanplant.trellis.end_design import EndDesign
from aanplant.trellis.loads import PostLoads
from aanplant.trellis.post_soil import PostSoil
from aanplant.trellis.post_standing import Standing
from aanplant.trellis.posts import Post
from aanplant.trellis.wire_states import WireStates
from aanplant.trellis.wire_strength import SAFE_SHARE

Values = NDArray[np.float64]


@dataclass(frozen=True)
class Warmth:
    """How warm wires become. [°C].

    Parameters
    ----------
    installed_c, hottest_c, coldest_c : float
        On the day they are strained, on a hot day before harvest, on the coldest night.
    coldest_origin : str
        ``weather`` where the record decided, else ``brief``.
    """

    installed_c: float
    hottest_c: float
    coldest_c: float
    coldest_origin: str


@dataclass(frozen=True)
class Holding:
    """How the trellis of every row holds, columns of shape (n_rows,) in the order of the rows.

    Parameters
    ----------
    warmth : Warmth
        Of the wires.
    states : WireStates
        Pull in every wire, columns of shape (n_rows, n_lines).
    crop_n_m, canopy_n_m : float
        On a metre of row in the heaviest year. [N/m]
    post, exposed_post : Post
        Line post inside the block, and in the rows that meet the full wind.
    is_exposed : ndarray of bool
        Rows that meet it.
    soil : PostSoil
        Around the line posts.
    side_n : ndarray
        Pull of bent wires on the most bent line post. [N]
    lift_n : ndarray
        Of the wires on the line post in the deepest dip, less the crop where it hangs; nan where
        heights are not known. [N]
    pull_out_n : float
        What draws a line post out of the ground. [N]
    loads : PostLoads
        Across the row.
    standing : Standing
        Bending and ground of the most loaded line post, gusts at the height of the canopy.
    bending_gust_m_s, ground_gust_m_s : ndarray
        Gust at 10 m at which the post's working moment is reached, and that the most careful
        method allows at the depth it stands. [m/s]
    ends : EndDesign
        Of ends as the brief asks.
    inside_ends : EndDesign or None
        Struts at ends that have no anchor outside, for all rows; None where every end has one.
    tie_use : ndarray
        Pull of tie or brace wire over the safe share of its break load; 0 for struts. [-]
    rules : EndRules
        Ends as they are built: heights lowered where the end post is low.
    """

    warmth: Warmth
    states: WireStates
    crop_n_m: float
    canopy_n_m: float
    post: Post
    exposed_post: Post
    is_exposed: NDArray[np.bool_]
    soil: PostSoil
    side_n: Values
    lift_n: Values
    pull_out_n: float
    loads: PostLoads
    standing: Standing
    bending_gust_m_s: Values
    ground_gust_m_s: Values
    ends: EndDesign
    inside_ends: EndDesign | None
    tie_use: Values
    rules: EndRules

    @property
    def wire_use(self) -> Values:
        """Use of each row's most used wire, shape (n_rows,). [-]."""
        return np.asarray(self.wire_line_use.max(axis=1))

    @property
    def wire_line_use(self) -> Values:
        """How far each line is used, shape (n_rows, n_lines). [-].

        Pull over what it may be strained to, or, under crop and on the coldest night, over the
        safe share of its break load.
        """
        states = self.states
        loaded = np.maximum(states.crop_n, states.cold_n) / (SAFE_SHARE * states.break_n)
        return np.asarray(np.maximum(loaded, states.installed_n / states.limit_n))

    @property
    def use_by_part(self) -> dict[str, Values]:
        """Use of every part that must hold, by part, shape (n_rows,) each. [-].

        The ground around line posts is not among them: its use is relative.
        """
        inside = () if self.inside_ends is None else self.inside_ends.parts
        parts = {f"inside {part.part}": part.use for part in inside}
        return {
            "wire": self.wire_use,
            "line post": self.standing.bending,
            "tie wire": self.tie_use,
            **{part.part: part.use for part in self.ends.parts},
            **parts,
        }

    @property
    def worst_use(self) -> Values:
        """Use of each row's most used part, shape (n_rows,). [-]."""
        return np.asarray(np.max(list(self.use_by_part.values()), axis=0))

    @property
    def worst_part(self) -> NDArray[np.str_]:
        """Name of that part, shape (n_rows,)."""
        uses = self.use_by_part
        return np.asarray(np.asarray(list(uses))[np.argmax(list(uses.values()), axis=0)])
