"""The sections of the brief that lay out, count and price a block."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from aanplant.brief.drippers import DripperLaw
from aanplant.brief.fields import (
    MEMORY,
    PRACTICE,
    Default,
    FileName,
    Name,
    NumberRange,
    Quantity,
    Section,
    refusal,
)
from aanplant.errors import InputError
from aanplant.units import parse_quantity

CHOOSE: Literal["choose"] = "choose"
Corner = Literal["north-west", "north-east", "south-west", "south-east"]
HeadlandRule = Literal["along the row", "square to the edge"]
Pattern = Literal["square", "offset", "free"]
AnchorSide = Literal["outside", "inside"]
LOWEST_M, HIGHEST_M = -450.0, 6000.0
"""No field on earth lies lower or higher."""
_Metres = Annotated[float, Quantity("m", 0.0, 50.0)]


def _bearing(value: object) -> float | str:
    if value == CHOOSE:
        return CHOOSE
    try:
        number = parse_quantity(value, "deg", "")
    except InputError as error:
        raise refusal(error.found, f'"choose" or {error.expected}') from None
    if not 0 <= number < 180:  # noqa: PLR2004 - half a turn
        hint = f", such as {number % 180:g}" if -360 <= number <= 360 else ""  # noqa: PLR2004
        raise refusal(repr(value), f'"choose" or degrees from true north, 0 to below 180{hint}')
    return number


def _height(value: object) -> float | str:
    if value == CHOOSE:
        return CHOOSE
    try:
        number = parse_quantity(value, "m", "")
    except InputError as error:
        raise refusal(error.found, f'"choose" or {error.expected}') from None
    if not LOWEST_M <= number <= HIGHEST_M:
        raise refusal(repr(value), f'"choose" or between {LOWEST_M:g} and {HIGHEST_M:g} m')
    return number


class Block(Section):
    """The field."""

    name: Name = ""
    """Name of the block; the folder's name when left out."""
    boundary: FileName
    """Outline of the field: GeoJSON, KML/KMZ, GPX, GeoPackage, zipped shapefile, DXF or CSV."""
    grid: Name = ""
    """Grid of the files, only where a file does not say, such as "EPSG:2048"."""
    set_out_grid: Name = ""
    """Grid of this block's set-out files, where it differs from the estate's."""
    exclusions: FileName = ""
    """File of things to keep clear of: dams, rocks, trees, power lines, drains."""
    heights: FileName = ""
    """Spot heights, a height model or contour lines."""
    pits: FileName = ""
    """Soil pits, one line a layer."""
    zones: FileName = ""
    """Soil zones as polygons; by nearest pit when left out."""


class Vines(Section):
    """What is planted, how far apart, and how many may die."""

    cultivar: Name = ""
    """Scion cultivar."""
    clone: Name = ""
    """Clone of the scion."""
    rootstock: Name = CHOOSE
    """Rootstock by name, or "choose"."""
    row_width: Annotated[float, Quantity("m", 0.8, 15.0)]
    """Distance between rows."""
    vine_spacing: Annotated[float, Quantity("m", 0.3, 10.0)]
    """Distance between vines in the row."""
    pattern: Annotated[Pattern, PRACTICE] = "square"
    """square: vines opposite one another; offset: odd rows shifted by half a spacing; free: each
    row begins at its end post."""
    loss_fraction: Annotated[float, Quantity("", 0.0, 0.5), PRACTICE] = 0.03
    """Fraction of the vines expected to die before they are established."""
    assurance: Annotated[float, Quantity("", 0.5, 0.9999), PRACTICE] = 0.95
    """Probability with which the order must suffice."""


class RowRules(Section):
    """How rows are laid in the field."""

    bearing: Annotated[
        float | Literal["choose"],
        BeforeValidator(_bearing),
        NumberRange("deg", 0.0, 180.0),
        PRACTICE,
    ] = CHOOSE
    """Degrees from true north, 0 to 179.9, or "choose"."""
    headland: Annotated[_Metres, MEMORY] = 8.0
    """Clear room at row ends, beyond the anchors."""
    headland_rule: Annotated[HeadlandRule, PRACTICE] = "along the row"
    """Headland measured straight along the row, or square to the edge for full right-angle room."""
    side_margin: Annotated[_Metres, PRACTICE] = 3.0
    """Room between the outer rows and the edge."""
    end_gap: Annotated[float, Quantity("m", 0.0, 10.0), PRACTICE] = 0.6
    """From the end post to the first vine."""
    shortest: Annotated[float, Quantity("m", 0.0, 1000.0), PRACTICE] = 20.0
    """Shorter rows are left out."""
    longest: Annotated[float, Quantity("m", 10.0, 3000.0), MEMORY] = 200.0
    """Longer rows are cut by a cross alley."""
    cross_alley: Annotated[_Metres, Default("vineyard-design-notes")] = 6.0
    """Clear width of a cross alley, between the anchors on either side."""
    alley_anchors: Annotated[AnchorSide, PRACTICE] = "outside"
    """Anchors at a cross alley: outside the end posts, or ends braced inside the row."""
    first_row_corner: Annotated[Corner, PRACTICE] = "north-west"
    """Corner from which rows and vines are counted."""
    spacing_along: Annotated[Literal["plan", "ground"], PRACTICE] = "plan"
    """Vine spacing held on the plan or along the ground (only with pattern "free")."""
    anchor_distance: Annotated[float, Quantity("m", 0.0, 6.0), PRACTICE] = 1.5
    """From the end post to its anchor."""
    course: Annotated[Literal["straight", "contour"], PRACTICE] = "straight"
    """straight: parallel lines; contour: curves that keep their distance from a base line."""
    base_line: FileName = ""
    """File with the line from which contour rows are spaced; a contour when left out."""
    base_height: Annotated[
        float | Literal["choose"],
        BeforeValidator(_height),
        NumberRange("m", LOWEST_M, HIGHEST_M),
        PRACTICE,
    ] = CHOOSE
    """Height of the contour that is the base line, or "choose"."""
    smoothing: Annotated[float, Quantity("m", 0.01, 20.0), PRACTICE] = 1.0
    """How far the base line may leave the contour or the drawn line to run smoothly."""
    smallest_radius: Annotated[float, Quantity("m", 3.0, 1000.0), PRACTICE] = 30.0
    """Tightest curve of a contour row; where it would be tighter the row is cut."""
    steepest_along: Annotated[float, Quantity("%", 0.0, 100.0)] | None = None
    """Steepest grade along a contour row; when left out the smaller of half the hill slope and
    4 %, or 10 % with alley cover."""
    alley_cover: Annotated[bool, PRACTICE] = False
    """Whether a permanent cover crop holds the ground between the rows."""
    least_along: Annotated[float, Quantity("%", 0.0, 10.0), Default("nrcs-331")] = 0.2
    """Least grade along a contour row on ground that drains slowly."""

    @model_validator(mode="after")
    def _one_base_line(self) -> Self:
        if self.base_line and self.base_height != CHOOSE:
            raise refusal(
                f"rows.base_line and rows.base_height = {self.base_height:g}",
                "one of them, since rows keep their distance from one line",
            )
        return self


class Emitter(DripperLaw):
    """The dripper."""

    flow: Annotated[float, Quantity("L/h", 0.2, 30.0), PRACTICE] = 2.3
    """Flow of one dripper."""
    spacing: Annotated[float, Quantity("m", 0.1, 5.0), PRACTICE] = 0.6
    """Distance between drippers along the line."""
    pressure_compensating: Annotated[bool, PRACTICE] = True
    """Whether the flow hardly changes with pressure."""


class WaterRules(Section):
    """Water, its source and the dripper line."""

    source: FileName = ""
    """File with the place of the water source."""
    flow_available: Annotated[float, Quantity("m3/h", 0.05, 5000.0)] | None = None
    """Lowest tested summer yield."""
    water_right: Annotated[float, Quantity("m3", 0.0, 1e9)] | None = None
    """Water right in a year."""
    committed: Annotated[float, Quantity("m3", 0.0, 1e9), PRACTICE] = 0.0
    """Taken by other blocks on the same right, in a year."""
    right_months: Name = ""
    """Months in which the right counts, such as "Sep-Apr"."""
    storage: Annotated[float, Quantity("m3", 0.0, 1e8), PRACTICE] = 0.0
    """Water stored."""
    emitter: Annotated[Emitter, PRACTICE] = Emitter()
    """The dripper."""
    at_planting: Annotated[float, Quantity("L", 0.0, 100.0), Default("planting-water")] = 5.0
    """Water given to each vine on the day it is planted."""
    delivery_test: FileName = ""
    """Volumes caught at drippers of the installed system: set, row, vine, volume, seconds."""


class Machine(Section):
    """The widest machine that must work in the rows."""

    width: Annotated[float, Quantity("m", 0.3, 6.0), Default("vineyard-design-notes")] = 1.5
    """Widest point of tractor and implement."""
    height: Annotated[float, Quantity("m", 0.5, 6.0), PRACTICE] = 2.2
    """Highest point, in work."""
    turning_radius: Annotated[float, Quantity("m", 0.5, 15.0), PRACTICE] = 3.5
    """Smallest turn, at the middle of the machine."""
    least_clear_width: Annotated[float, Quantity("m", 0.3, 8.0), MEMORY] = 2.1
    """Clear width needed between the posts of two rows."""
    row_speed: Annotated[float, Quantity("km/h", 0.5, 20.0), PRACTICE] = 6.0
    """Speed between the rows."""
    turn_speed: Annotated[float, Quantity("km/h", 0.5, 20.0), PRACTICE] = 4.0
    """Speed while turning."""


class Materials(Section):
    """How much is bought for each vine, post and metre."""

    peg_diameter: Annotated[float, Quantity("mm", 2.0, 20.0), PRACTICE] = 5.0
    """Diameter of the steel peg beside each vine."""
    peg_length: Annotated[float, Quantity("m", 0.3, 2.5), MEMORY] = 1.4
    """Length of the peg."""
    ties_per_vine: Annotated[int, Field(ge=0, le=20), MEMORY] = 3
    """Ties for each vine in the first two years."""
    guards: Annotated[bool, PRACTICE] = True
    """A guard around each vine."""
    line_post_length: Annotated[float, Quantity("m", 1.0, 5.0), MEMORY] = 2.4
    """Length of a line post."""
    end_post_length: Annotated[float, Quantity("m", 1.0, 5.0), Default("trellis-slides")] = 3.0
    """Length of an end post."""
    wire_tail: Annotated[float, Quantity("m", 0.0, 10.0), MEMORY] = 2.0
    """Wire for wrapping and tying at each row end."""
    pair_clips: Annotated[int, Field(ge=0, le=10), PRACTICE] = 1
    """Clips that hold the two wires of a movable pair together between two posts."""
    trunk_ties: Annotated[int, Field(ge=0, le=20), MEMORY] = 1
    """Of the ties of a vine, those of its first step, the trunk on its peg; the others fix the
    cordon, one step later."""


class WorkRules(Section):
    """When and with how many people."""

    planting: Annotated[str, StringConstraints(pattern=r"^$|^(19|20|21)\d\d-(0[1-9]|1[0-2])$")] = ""
    """Month of planting, such as "2027-08"."""
    crew: Annotated[int, Field(ge=1, le=1000), PRACTICE] = 8
    """People who plant."""
