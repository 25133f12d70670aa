"""Post spacing against post size: what each costs, and which is the cheapest that holds."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from aanplant.brief import Brief
from aanplant.inputs import PriceLine
from aanplant.stock import Stock
from aanplant.trellis import Trellis
from aanplant.trellis.post_choice import PostTable, compare_posts
from aanplant.trellis.posts import posts_of
from aanplant.trellis.row_loads import canopy_foot_m
from aanplant.work.trellis_items import post_item
from aanplant.working import Finding, Value

VINES_BETWEEN_POSTS = (3, 4, 5, 6, 7, 8)
"""Spacings that are compared besides the brief's own; common practice, no source."""
TOLD_SHARE = 0.05
"""A saving on posts of less than a twentieth is not worth a sentence (judgement)."""


@dataclass(frozen=True)
class PostComparison:
    """Every size of the brief's timber at every spacing.

    Parameters
    ----------
    post_every : tuple of int
        Vines from post to post, in the order of the tables' spacings.
    sheltered, exposed : PostTable
        For rows inside the block, and for rows in full wind.
    """

    post_every: tuple[int, ...]
    sheltered: PostTable
    exposed: PostTable

    def table(self) -> list[dict[str, Any]]:
        """One line a size and spacing; a cost that is not known is None."""
        return [
            {
                "post": post.name,
                "post_every": every,
                "spacing_m": round(float(self.sheltered.spacing_m[column]), 3),
                "cost_per_m": _known(self.sheltered.cost_per_m[line, column]),
                "use": round(float(self.sheltered.bending[line, column]), 4),
                "use_in_full_wind": round(float(self.exposed.bending[line, column]), 4),
                "ground_wind_m_s": round(float(self.sheltered.ground_gust_m_s[line, column]), 2),
                "ground_wind_in_full_wind_m_s": round(
                    float(self.exposed.ground_gust_m_s[line, column]), 2
                ),
            }
            for line, post in enumerate(self.sheltered.posts)
            for column, every in enumerate(self.post_every)
        ]


def compare_line_posts(
    brief: Brief, stock: Stock, trellis: Trellis, prices: Sequence[PriceLine]
) -> PostComparison | None:
    """Set out sizes and spacings of line posts with the estate's prices.

    Returns
    -------
    PostComparison or None
        None where no posts stand.
    """
    held = trellis.holding
    if held is None:
        return None
    posts = posts_of(brief.posts.group)
    if held.post not in posts:  # a diameter or a strength of one's own
        posts = (*posts, held.post)
    every = tuple(sorted({*VINES_BETWEEN_POSTS, brief.trellis.post_every}))
    known = {line.item: _each(line) for line in prices}
    length_m = trellis.system.post_length_m
    price = [known.get(post_item("line-post", post, length_m), math.nan) for post in posts]
    sheltered, exposed = (
        compare_posts(
            brief,
            posts,
            np.array(every) * stock.vine_spacing_m,
            price,
            canopy_foot_m=canopy_foot_m(brief, trellis.system),
            depth_m=trellis.system.post_embedment_m,
            soil=held.soil,
            rows_deep=rows_deep,
        )
        for rows_deep in (brief.posts.exposed_rows + 1, 1)
    )
    return PostComparison(every, sheltered, exposed)


def post_advice(brief: Brief, trellis: Trellis, found: PostComparison | None) -> list[Finding]:
    """Name the cheapest spacing and size inside the block, where it saves something."""
    if found is None or trellis.holding is None:
        return []
    table, post = found.sheltered, trellis.holding.post
    best = table.cheapest(brief.posts.utilisation, brief.posts.least_ground_wind or 0.0)
    own = found.post_every.index(brief.trellis.post_every)
    line = next((at for at, one in enumerate(table.posts) if one.name == post.name), None)
    if best is None or line is None:
        return []
    cost, now = float(table.cost_per_m[best]), float(table.cost_per_m[line, own])
    holds = table.bending[line, own] <= brief.posts.utilisation
    if holds and not cost < now * (1.0 - TOLD_SHARE):
        return []
    values: dict[str, Value | tuple[Value, str]] = {
        "post": table.posts[best[0]].name,
        "vines": found.post_every[best[1]],
        "cost": round(cost, 2),
        "use": round(float(table.bending[best]), 2),
        "limit": brief.posts.utilisation,
        "own": post.name,
        "own_vines": brief.trellis.post_every,
    }
    if math.isnan(now):
        return [Finding("work", "note", "work.cheapest_posts", values)]
    return [Finding("work", "note", "work.cheaper_posts", {**values, "now": round(now, 2)})]


def _each(line: PriceLine) -> float:
    """Price of one post; nan where it is not known. [currency]."""
    if line.price is None:
        return math.nan
    if line.unit == "each":
        return float(line.price)
    return float(line.price) / float(line.pack_size) if line.pack_size else math.nan


def _known(value: float) -> float | None:
    return None if math.isnan(value) else round(float(value), 4)
