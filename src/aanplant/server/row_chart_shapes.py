"""What the charts of rows and vines are drawn from, as it goes over the wire."""

from typing import Literal

from pydantic import Field

from aanplant.server.chart_shapes import ChartShape
from aanplant.server.wire import Shape


class LimitShape(Shape):
    """A limit drawn across a panel."""

    value: float = Field(examples=[15.0])
    """In the panel's unit."""
    text: str = Field(examples=["limit 15 %"])
    """Its name."""


class PanelShape(Shape):
    """One thing by which bearings differ."""

    name: str = Field(examples=["vines"])
    """As ``plan.json`` has it in its list of bearings."""
    label: str = Field(examples=["vines"])
    """What the report calls it, with its unit."""
    better: Literal["up", "down", ""] = Field(examples=["up"])
    """Whether more or less of it is better; "" where neither is."""
    values: list[float] = Field(examples=[[18458.0, 18440.0]])
    """One a bearing."""
    limits: list[LimitShape]
    """What no row should pass."""


class DirectionShape(ChartShape):
    """Row bearings compared."""

    chart: Literal["direction"] = Field(examples=["direction"])
    """Which chart."""
    axis: str = Field(examples=["bearing of the rows from true north"])
    """What runs along the foot."""
    ways: dict[str, str] = Field(examples=[{"0": "north–south"}])
    """Words for some bearings."""
    bearings_deg: list[float] = Field(examples=[[0.0, 1.0]])
    """Bearings compared. [deg]"""
    panels: list[PanelShape]
    """From the top."""
    is_unbeaten: list[bool] = Field(examples=[[True, False]])
    """Whether no other bearing is as good in all that counts and better in something."""
    is_out: list[bool] = Field(examples=[[False, False]])
    """Whether a row passes a limit, so that the bearing falls out."""
    unbeaten_text: str = Field(examples=["no other bearing is as good in all that counts"])
    """Key of the ring."""
    out_text: str = Field(examples=["shaded: the bearing falls out"])
    """Key of the shade; "" where none falls out."""
    taken_deg: float | None = Field(examples=[11.0])
    """The bearing of the rows; null where nothing was compared. [deg]"""
    chosen_deg: float | None = Field(examples=[11.0])
    """The one that the program would choose. [deg]"""


class StockShape(Shape):
    """One rootstock that may stand in the block."""

    name: str = Field(examples=["99R"])
    """Its name."""
    rank: int = Field(examples=[1])
    """Its place at the middle of what the sources say."""
    rank_from: int = Field(examples=[1])
    """First place in nine draws of ten."""
    rank_to: int = Field(examples=[3])
    """Last place in nine draws of ten."""
    share_first_pct: float = Field(examples=[62.0])
    """Of the draws in which it is first. [%]"""
    suits: list[float] = Field(examples=[[0.8, 0.6, 0.9, 0.5]])
    """How well it suits the block by each criterion, 0 to 1."""
    is_doubtful: list[bool] = Field(examples=[[False, True, False, False]])
    """Whether that is recalled or unknown."""
    is_taken: bool = Field(examples=[True])
    """Whether the brief names it, or the program picked it."""
    wins: str = Field(examples=["drought"])
    """On what it is better than the middle of the others."""
    loses: str = Field(examples=["vigour"])
    """On what it is worse."""


class CriterionShape(Shape):
    """What the order of rootstocks goes by."""

    name: str = Field(examples=["drought"])
    """Its id."""
    label: str = Field(examples=["drought"])
    """What it is called."""
    is_asked: bool = Field(examples=[True])
    """Whether it weighs anything here."""


class RootstockShape(ChartShape):
    """Rootstocks that may stand in the block, the best first."""

    chart: Literal["rootstock"] = Field(examples=["rootstock"])
    """Which chart."""
    criteria: list[CriterionShape]
    """In the order of ``suits``."""
    stocks: list[StockShape]
    """The best first."""
    words: dict[str, str] = Field(examples=[{"places": "place, in nine draws of ten"}])
    """Headings and key."""


class LevelShape(Shape):
    """An assurance, and what it takes."""

    assurance: float = Field(examples=[0.95])
    """Chance that every place is filled. [-]"""
    order: int = Field(examples=[19213])
    """Vines to order. [vines]"""
    spares: int = Field(examples=[755])
    """Of them beyond the places. [vines]"""
    is_asked: bool = Field(examples=[True])
    """Whether it is the brief's."""


class SparesShape(ChartShape):
    """What a number of spare vines makes sure, and what it risks on either side."""

    chart: Literal["spares"] = Field(examples=["spares"])
    """Which chart."""
    spares: list[int] = Field(examples=[[0, 10]])
    """Numbers of spare vines. [vines]"""
    assurance_pct: list[float] = Field(examples=[[0.0, 50.0]])
    """Chance that every place is filled, by number of spares. [%]"""
    left_over: list[float] = Field(examples=[[0.0, 3.2]])
    """Living vines left over on average: in vines, or what they cost where prices are known."""
    gaps: list[float] = Field(examples=[[21.0, 6.0]])
    """Gaps on average, in the same measure."""
    ordered: int = Field(examples=[755])
    """Spares by the assurance asked. [vines]"""
    cheapest: int | None = Field(examples=[640])
    """Spares with the least money at risk, null without prices. [vines]"""
    levels: list[LevelShape]
    """Assurances to choose from, in rising order."""
    words: dict[str, str] = Field(examples=[{"axis": "spare vines ordered"}])
    """Headings and key."""


class SpacingShape(ChartShape):
    """Vines and their cost by row width and vine spacing."""

    chart: Literal["spacing"] = Field(examples=["spacing"])
    """Which chart."""
    row_widths_m: list[float] = Field(examples=[[2.4, 2.5]])
    """Of its columns. [m]"""
    vine_spacings_m: list[float] = Field(examples=[[1.0, 1.2]])
    """Of its lines. [m]"""
    row_widths: list[str] = Field(examples=[["2.4 m", "2.5 m"]])
    """The same in words."""
    vine_spacings: list[str] = Field(examples=[["1 m", "1.2 m"]])
    """The same in words."""
    vines: list[list[float]] = Field(examples=[[[23000.0, 22000.0]]])
    """A line a vine spacing. [vines]"""
    cost: list[list[float]] = Field(examples=[[[700000.0, 670000.0]]])
    """Of the vines, in the estate's currency; empty without their price."""
    currency: str = Field(examples=["ZAR"])
    """Of the estate."""
    asked: tuple[int, int] | None = Field(examples=[[1, 1]])
    """Line and column of the brief's own spacing."""
    words: dict[str, str] = Field(examples=[{"rows": "between rows"}])
    """Headings."""
