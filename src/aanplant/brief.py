"""The brief: what the manager asks for, checked and in fixed units.

Each key is one field with its unit, its range, its default and the source of that
default. The JSON Schema, the starter estate and the error messages are made from these.
"""

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Self, TypeVar, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    StringConstraints,
    ValidationError,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from aanplant.errors import InputError
from aanplant.units import parse_quantity
from aanplant.working import Input

M = TypeVar("M", bound=BaseModel)
CHOOSE: Literal["choose"] = "choose"
Corner = Literal["north-west", "north-east", "south-west", "south-east"]
HeadlandRule = Literal["along the row", "square to the edge"]
Pattern = Literal["square", "offset", "free"]
AnchorSide = Literal["outside", "inside"]
Name = Annotated[str, StringConstraints(max_length=80, pattern=r"^[^\x00-\x1f\x7f]*$")]
FileName = Annotated[str, StringConstraints(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Unit and range of a key; no real vineyard lies outside the range."""

    unit: str
    low: float
    high: float

    def read(self, value: object) -> float:
        """Turn what stands in the brief into a number in the key's unit.

        Raises
        ------
        PydanticCustomError
            If it is no such quantity or out of range; says what was found and expected.
        """
        try:
            number = parse_quantity(value, self.unit, "")
        except InputError as error:
            raise refusal(error.found, error.expected) from None
        if not self.low <= number <= self.high:
            unit = f" {self.unit}" if self.unit else ""
            raise refusal(repr(value), f"between {self.low:g} and {self.high:g}{unit}")
        return number

    def __get_pydantic_core_schema__(
        self, source: type, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Read quantities by ``read``."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the quantity to an editor: a bare number, or a text with its unit."""
        return {
            "anyOf": [
                {"type": "number", "minimum": self.low, "maximum": self.high},
                {
                    "type": "string",
                    "description": f"with its unit; bare numbers are {self.unit or 'fractions'}",
                },
            ],
            "unit": self.unit,
        }


@dataclass(frozen=True, slots=True)
class Default:
    """Source id of a key's default value."""

    source: str

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Show the source of the default to an editor."""
        return {**handler(schema), "default_source": self.source}


def refusal(found: str, expected: str) -> PydanticCustomError:
    """Make the error by which a validator refuses a value, in our own words."""
    return PydanticCustomError(
        "refused", "{found}; expected {expected}", {"found": found, "expected": expected}
    )


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


_PRACTICE, _MEMORY = Default("practice"), Default("memory")
_Metres = Annotated[float, Quantity("m", 0.0, 50.0)]


class Section(BaseModel):
    """A table of the brief."""

    model_config = ConfigDict(extra="forbid", frozen=True, use_attribute_docstrings=True)


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
    """Soil pits."""


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
    pattern: Annotated[Pattern, _PRACTICE] = "square"
    """square: vines opposite one another; offset: odd rows shifted by half a spacing; free: each
    row begins at its end post."""
    loss_fraction: Annotated[float, Quantity("", 0.0, 0.5), _PRACTICE] = 0.03
    """Fraction of the vines expected to die before they are established."""
    assurance: Annotated[float, Quantity("", 0.5, 0.9999), _PRACTICE] = 0.95
    """Probability with which the order must suffice."""


class RowRules(Section):
    """How rows are laid in the field."""

    bearing: Annotated[float | Literal["choose"], BeforeValidator(_bearing), _PRACTICE] = CHOOSE
    """Degrees from true north, 0 to 179.9, or "choose"."""
    headland: Annotated[_Metres, _MEMORY] = 8.0
    """Clear room at row ends, beyond the anchors."""
    headland_rule: Annotated[HeadlandRule, _PRACTICE] = "along the row"
    """Headland measured straight along the row, or square to the edge for full right-angle room."""
    side_margin: Annotated[_Metres, _PRACTICE] = 3.0
    """Room between the outer rows and the edge."""
    end_gap: Annotated[float, Quantity("m", 0.0, 10.0), _PRACTICE] = 0.6
    """From the end post to the first vine."""
    shortest: Annotated[float, Quantity("m", 0.0, 1000.0), _PRACTICE] = 20.0
    """Shorter rows are left out."""
    longest: Annotated[float, Quantity("m", 10.0, 3000.0), _MEMORY] = 200.0
    """Longer rows are cut by a cross alley."""
    cross_alley: Annotated[_Metres, Default("vineyard-design-notes")] = 6.0
    """Clear width of a cross alley, between the anchors on either side."""
    alley_anchors: Annotated[AnchorSide, _PRACTICE] = "outside"
    """Anchors at a cross alley: outside the end posts, or ends braced inside the row."""
    first_row_corner: Annotated[Corner, _PRACTICE] = "north-west"
    """Corner from which rows and vines are counted."""
    spacing_along: Annotated[Literal["plan", "ground"], _PRACTICE] = "plan"
    """Vine spacing held on the plan or along the ground (only with pattern "free")."""
    anchor_distance: Annotated[float, Quantity("m", 0.0, 6.0), _PRACTICE] = 1.5
    """From the end post to its anchor."""


class WireRule(Section):
    """One kind of wire in the trellis."""

    name: Name
    """What the wire carries: cordon, foliage pair."""
    height: Annotated[float, Quantity("m", 0.1, 3.5)]
    """Height above the ground."""
    diameter: Annotated[float, Quantity("mm", 1.0, 6.0)]
    """Diameter of the strand."""
    grade: Annotated[Literal["mild", "high strain"], _PRACTICE] = "mild"
    """Strength class of the steel."""
    strands: Annotated[int, Field(ge=1, le=4)] = 1
    """Strands at this height; a movable pair counts two."""


class TrellisRules(Section):
    """What holds the vines up."""

    system: Annotated[Name, _PRACTICE] = "vertical-5"
    """Trellis system by name."""
    post_every: Annotated[int, Field(ge=1, le=30), _MEMORY] = 5
    """Vines between line posts."""
    wires: tuple[WireRule, ...] = ()
    """Your own wires instead of the system's."""


class Emitter(Section):
    """The dripper."""

    flow: Annotated[float, Quantity("L/h", 0.2, 30.0), _PRACTICE] = 2.3
    """Flow of one dripper."""
    spacing: Annotated[float, Quantity("m", 0.1, 5.0), _PRACTICE] = 0.6
    """Distance between drippers along the line."""
    pressure_compensating: Annotated[bool, _PRACTICE] = True
    """Whether the flow hardly changes with pressure."""


class WaterRules(Section):
    """Water, its source and the dripper line."""

    source: FileName = ""
    """File with the place of the water source."""
    flow_available: Annotated[float, Quantity("m3/h", 0.0, 5000.0)] | None = None
    """Lowest tested summer yield."""
    water_right: Annotated[float, Quantity("m3", 0.0, 1e9)] | None = None
    """Water right in a year."""
    committed: Annotated[float, Quantity("m3", 0.0, 1e9), _PRACTICE] = 0.0
    """Taken by other blocks on the same right, in a year."""
    right_months: Name = ""
    """Months in which the right counts, such as "Sep-Apr"."""
    storage: Annotated[float, Quantity("m3", 0.0, 1e8), _PRACTICE] = 0.0
    """Water stored."""
    emitter: Annotated[Emitter, _PRACTICE] = Emitter()
    """The dripper."""
    at_planting: Annotated[float, Quantity("L", 0.0, 100.0), Default("planting-water")] = 5.0
    """Water given to each vine on the day it is planted."""


class Machine(Section):
    """The widest machine that must work in the rows."""

    width: Annotated[float, Quantity("m", 0.3, 6.0), Default("vineyard-design-notes")] = 1.5
    """Widest point of tractor and implement."""
    height: Annotated[float, Quantity("m", 0.5, 6.0), _PRACTICE] = 2.2
    """Highest point, in work."""
    turning_radius: Annotated[float, Quantity("m", 0.5, 15.0), _PRACTICE] = 3.5
    """Smallest turn, at the middle of the machine."""
    least_clear_width: Annotated[float, Quantity("m", 0.3, 8.0), _MEMORY] = 2.1
    """Clear width needed between the posts of two rows."""
    row_speed: Annotated[float, Quantity("km/h", 0.5, 20.0), _PRACTICE] = 6.0
    """Speed between the rows."""
    turn_speed: Annotated[float, Quantity("km/h", 0.5, 20.0), _PRACTICE] = 4.0
    """Speed while turning."""


class Materials(Section):
    """How much is bought for each vine, post and metre."""

    peg_diameter: Annotated[float, Quantity("mm", 2.0, 20.0), _PRACTICE] = 5.0
    """Diameter of the steel peg beside each vine."""
    peg_length: Annotated[float, Quantity("m", 0.3, 2.5), _MEMORY] = 1.4
    """Length of the peg."""
    ties_per_vine: Annotated[int, Field(ge=0, le=20), _MEMORY] = 3
    """Ties for each vine in the first two years."""
    guards: Annotated[bool, _PRACTICE] = True
    """A guard around each vine."""
    line_post_length: Annotated[float, Quantity("m", 1.0, 5.0), _MEMORY] = 2.4
    """Length of a line post."""
    end_post_length: Annotated[float, Quantity("m", 1.0, 5.0), Default("trellis-slides")] = 3.0
    """Length of an end post."""
    wire_tail: Annotated[float, Quantity("m", 0.0, 10.0), _MEMORY] = 2.0
    """Wire for wrapping and tying at each row end."""


class WorkRules(Section):
    """When and with how many people."""

    planting: Annotated[str, StringConstraints(pattern=r"^$|^\d{4}-(0[1-9]|1[0-2])$")] = ""
    """Month of planting, such as "2027-08"."""
    crew: Annotated[int, Field(ge=1, le=1000), _PRACTICE] = 8
    """People who plant."""


class Brief(Section):
    """All that is asked for one block."""

    block: Block
    vines: Vines
    rows: RowRules = RowRules()
    trellis: TrellisRules = TrellisRules()
    water: WaterRules = WaterRules()
    machine: Machine = Machine()
    materials: Materials = Materials()
    work: WorkRules = WorkRules()

    @model_validator(mode="after")
    def _spacing_along_the_ground_needs_free_rows(self) -> Self:
        if self.rows.spacing_along == "ground" and self.vines.pattern != "free":
            raise refusal(
                f'rows.spacing_along = "ground" with vines.pattern = "{self.vines.pattern}"',
                'vines.pattern = "free", since vines stand opposite one another only on the plan',
            )
        return self

    def setting(self, key: str) -> Any:  # noqa: ANN401 - any key of the brief
        """Return the value behind a dotted key such as ``rows.headland``."""
        value: Any = self
        for name in key.split("."):
            value = getattr(value, name)
        return value

    def is_given(self, key: str) -> bool:
        """Whether the user wrote this key, or its default stands."""
        section: BaseModel = self
        *path, last = key.split(".")
        for name in path:
            if name not in section.model_fields_set:
                return False
            section = getattr(section, name)
        return last in section.model_fields_set

    def as_input(self, key: str, name: str = "") -> Input:
        """Return a key as an input of a figure, with the source of its default.

        Parameters
        ----------
        key : str
            Dotted key, such as ``rows.headland``.
        name : str
            Name the formula uses; the last part of the key when left out.
        """
        given = self.is_given(key)
        info = field_of(key)
        quantity = quantity_of(info)
        source = next(
            (item.source for item in info.metadata if isinstance(item, Default)), "practice"
        )
        value = self.setting(key)
        if isinstance(value, bool):
            value = "yes" if value else "no"
        return Input(
            name or key.rpartition(".")[2],
            value,
            "deg" if key == "rows.bearing" else quantity.unit if quantity else "",
            f"brief:{key}" if given else f"default:{key}",
            "" if given else source,
        )

    def canonical(self) -> dict[str, Any]:
        """Return every key with its value in fixed units, defaults included."""
        return self.model_dump(mode="json")


def field_of(key: str) -> FieldInfo:
    """Return the field behind a dotted key.

    Raises
    ------
    KeyError
        If the brief has no such key.
    """
    model: type[BaseModel] = Brief
    *path, last = key.split(".")
    for name in path:
        annotation = model.model_fields[name].annotation
        if not (isinstance(annotation, type) and issubclass(annotation, BaseModel)):
            raise KeyError(key)
        model = annotation
    return model.model_fields[last]


def quantity_of(info: FieldInfo) -> Quantity | None:
    """Return unit and range of a key, also of one that may be left empty; None for texts."""
    parts = [info, *get_args(info.annotation)]
    metadata = [item for part in parts for item in getattr(part, "__metadata__", ())]
    return next((item for item in (*info.metadata, *metadata) if isinstance(item, Quantity)), None)


def parse_toml(text: str, where: str) -> dict[str, Any]:
    """Read TOML.

    Raises
    ------
    InputError
        If it is not TOML; says the line.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            where, f"text that is not TOML ({error})", "key = value lines in [sections]"
        ) from None


def parse_brief(text: str, where: str) -> Brief:
    """Read and check a brief.

    Raises
    ------
    InputError
        For the first thing that is wrong, by key.
    """
    return validated(Brief, parse_toml(text, where), where)


def validated(model: type[M], data: Mapping[str, Any], where: str) -> M:
    """Check data against a model and turn the first trouble into an ``InputError``."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        first = min(errors, key=lambda item: item["type"] != "extra_forbidden")
        path = [str(part) for part in first["loc"]]
        raise InputError(
            f"{where}: {_key_text(path)}", *_found_and_expected(model, path, dict(first))
        ) from None


def _key_text(path: list[str]) -> str:
    names = [
        name for name in path if not name.startswith(("function-", "union", "literal", "float"))
    ]
    return ".".join(names) if names else "the brief"


def _found_and_expected(
    model: type[BaseModel], path: list[str], error: dict[str, Any]
) -> tuple[str, str]:
    context = error.get("ctx", {})
    match error["type"]:
        case "refused":
            return str(context["found"]), str(context["expected"])
        case "missing":
            return "nothing", "a value, this key is required"
        case "extra_forbidden":
            return "an unknown key", _nearest(path[-1], _keys_beside(model, path))
        case "literal_error":
            return repr(error["input"]), f"one of {context['expected']}"
        case "string_pattern_mismatch" if path[-1] == "planting":
            return repr(error["input"]), 'a year and month, such as "2027-08"'
        case _:
            return repr(error["input"]), str(error["msg"]).removeprefix("Input should be ")


def _keys_beside(model: type[BaseModel], path: list[str]) -> list[str]:
    for name in path[:-1]:
        if name.isdigit():
            continue
        annotation = model.model_fields[name].annotation
        arguments = [annotation, *getattr(annotation, "__args__", ())]
        model = next(
            item for item in arguments if isinstance(item, type) and issubclass(item, BaseModel)
        )
    return list(model.model_fields)


def _nearest(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name, known, n=1)
    return f'"{near[0]}"' if near else f"one of {', '.join(known)}"
