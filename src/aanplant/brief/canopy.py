"""The sections of the brief on the grown vines, and on what counts when rows are directed."""

from typing import Annotated

from aanplant.brief.climate import MonthDay
from aanplant.brief.fields import PRACTICE, Quantity, Section

_Weight = Annotated[float, Quantity("", 0.0, 1000.0), PRACTICE]
_Metres = Annotated[float, Quantity("m", 0.05, 5.0), PRACTICE]


class Canopy(Section):
    """The grown row in leaf, as the sun and the wind meet it."""

    height: _Metres = 1.2
    """Foliage from its foot to its top."""
    width: _Metres = 0.5
    """Foliage from one side of the row to the other."""
    leaf_area_index: Annotated[float, Quantity("", 0.0, 10.0), PRACTICE] = 1.5
    """Leaf area over ground area; 0 reckons the foliage as solid."""
    fruit_height: Annotated[float, Quantity("m", 0.0, 5.0), PRACTICE] = 0.2
    """Height of the fruit above the foot of the foliage."""
    growing_from: MonthDay = ""
    """First day of the growing season, such as "09-01"; when left out 1 September, north of the
    equator 1 March (a judgement)."""
    growing_to: MonthDay = ""
    """Last day of the growing season; when left out 31 March, north of the equator 30 September
    (a judgement)."""
    ripening: MonthDay = ""
    """Day on which the berries soften; when left out 15 January, north of the equator 25 July
    (a judgement)."""
    harvest: MonthDay = ""
    """Last day of harvest; when left out 10 March, north of the equator 20 September (a
    judgement)."""
    damaging_wind: Annotated[float, Quantity("deg", 0.0, 360.0)] | None = None
    """Direction from which the wind blows that breaks shoots, clockwise from true north; wind is
    not weighed when left out."""


class Weights(Section):
    """What counts when the program chooses the bearing; 0 leaves a thing out."""

    vines_given_up: Annotated[float, Quantity("", 0.0, 1.0), PRACTICE] = 0.01
    """Share of the most vines that a bearing chosen may give up, whatever the weights."""
    vines: _Weight = 0.0
    """More vines, among the bearings that vines_given_up allows."""
    row_ends: _Weight = 0.0
    """Fewer row ends, so fewer end posts and anchors."""
    machine_time: _Weight = 1.0
    """Less machine time for a pass through all rows."""
    mean_row_length: _Weight = 0.0
    """Longer rows."""
    short_rows: _Weight = 0.0
    """Fewer short rows."""
    grade: _Weight = 1.0
    """Less slope along the rows, where heights are known."""
    cross_slope: _Weight = 0.5
    """Less slope across the rows, where heights are known."""
    season_light: _Weight = 0.25
    """More of the growing season's light taken by the vines."""
    afternoon_load: _Weight = 0.5
    """Less afternoon sun on the fruit from ripening to harvest."""
    wind: _Weight = 0.5
    """Rows along the damaging wind, where canopy.damaging_wind says where it blows from."""
