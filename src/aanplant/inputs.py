"""What was read from files for one block, as plain arrays and geometry.

``files.read_inputs`` makes it; the stages see nothing else of the outside world.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from aanplant.heights import Heights
from aanplant.pits import DrawnZone, Pit
from aanplant.rootstock_facts import RootstockFact
from aanplant.workforce import Crew, EstateMachine, Labour, OwnTask, WorkCalendar

Treatment = Literal["avoid", "skip"]
OutlineKind = Literal["polygon", "track", "corners"]
KINDS = (
    "dam",
    "rock",
    "tree",
    "building",
    "power line",
    "road",
    "watercourse",
    "drain",
    "pipe",
    "cable",
    "fence",
    "other",
)
LINE_KINDS = ("drain", "pipe", "cable", "fence")
"""Lines in or on the ground: nothing is planted or driven within their clearance."""


@dataclass(frozen=True, slots=True)
class Outline:
    """The outline of a field as a file gives it, not yet cleaned.

    Parameters
    ----------
    where : str
        File name (and layer or feature), for messages.
    kind : {"polygon", "track", "corners"}
        A drawn polygon, a walked track (dense, jittery, perhaps not closed) or
        single corner points in order.
    rings : tuple of ndarray, shape (n, 2)
        Outer ring first, then holes; longitude, latitude on WGS 84. [deg]
    grid : str
        Reference system the file or the brief stated, such as ``EPSG:2048``.
    """

    where: str
    kind: OutlineKind
    rings: tuple[NDArray[np.float64], ...]
    grid: str = "EPSG:4326"


@dataclass(frozen=True, slots=True)
class Exclusion:
    """A thing in the field and how rows meet it.

    Parameters
    ----------
    name : str
        As the user calls it.
    kind : str
        One of ``KINDS``.
    treatment : {"avoid", "skip"}
        ``avoid``: rows stop before it, with turning room. ``skip``: the row runs
        on, but no vine, post, peg or anchor stands there.
    geometry : shapely geometry
        Point, line or polygon; longitude/latitude as read, metres in the frame once surveyed.
    clearance_m : float
        Distance kept from the geometry (from the corridor's edge where it has a width). [m]
    corridor_width_m : float
        Full width of the strip along a line geometry, 0 for none. [m]
    """

    name: str
    kind: str
    treatment: Treatment
    geometry: BaseGeometry
    clearance_m: float = 0.0
    corridor_width_m: float = 0.0

    @property
    def reach_m(self) -> float:
        """Distance from the geometry within which nothing may stand. [m]."""
        return self.clearance_m + self.corridor_width_m / 2.0


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of ``prices.csv``.

    Parameters
    ----------
    item : str
        Item code, as the tables and the order list use it.
    unit : str
        What the price is for: a vine, a metre, a coil, a kilogram.
    price : Decimal or None
        Price of one unit in the estate's currency; None when left empty.
    pack_size : Decimal or None
        Units in a pack that can't be split; None when sold singly.
    note : str
        Free text.
    supplier : str
        Who sells it, "" while open.
    lead_weeks : float or None
        From the order to its being there; None when not known. [weeks]
    """

    item: str
    unit: str
    price: Decimal | None
    pack_size: Decimal | None
    note: str = ""
    supplier: str = ""
    lead_weeks: float | None = None


@dataclass(frozen=True, slots=True)
class PastLoss:
    """What became of one delivery batch in the past.

    Parameters
    ----------
    batch : str
        As the user calls it.
    vines, dead : int
        Vines planted, and those of them that died before they were established. [vines]
    """

    batch: str
    vines: int
    dead: int


@dataclass(frozen=True, slots=True)
class CultivarFact:
    """One thing that one source says of a cultivar.

    Parameters
    ----------
    cultivar, attribute : str
        Of what it speaks.
    low, high : float or None
        Range of a number; None for words, and ``high`` where there is but one number.
    text : str
        Words.
    source : str
        Id of the source, or the estate's own words.
    certainty : str
        As in the tables; ``estate`` for the estate's own.
    """

    cultivar: str
    attribute: str
    low: float | None
    high: float | None
    text: str
    source: str
    certainty: str = "estate"


@dataclass(frozen=True)
class WaterSource:
    """Where the mainline of an irrigation system begins.

    Parameters
    ----------
    where : str
        File, for messages.
    name : str
        As the user calls it, "" when it has none.
    longitude_deg, latitude_deg : float
        On WGS 84. [deg]
    height_m : float or None
        Height of the pipe there, as the heights of the block count it; None when not said. [m]
    """

    where: str
    name: str
    longitude_deg: float
    latitude_deg: float
    height_m: float | None = None


@dataclass(frozen=True)
class CaughtVolume:
    """What one dripper of the installed system gave.

    Parameters
    ----------
    where : str
        File and line, for messages.
    set_number, row, vine : int
        Set, row and nearest vine, as the plan counts them.
    volume_ml : float
        Caught. [mL]
    seconds : float
        For how long. [s]
    """

    where: str
    set_number: int
    row: int
    vine: int
    volume_ml: float
    seconds: float


@dataclass(frozen=True)
class DailyWeather:
    """Daily weather as a file gives it; nan where a value is missing, arrays of shape (n,).

    Parameters
    ----------
    where : str
        File name, for messages.
    date : ndarray of datetime64[D]
        In the order of the file, not yet checked.
    tmin_c, tmax_c : ndarray
        Lowest and highest air temperature of the day. [°C]
    rain_mm, radiation_mj_m2, wind_m_s : ndarray
        Rain, solar radiation and mean wind of the day. [mm, MJ/m2, m/s]
    humidity_min_pct, humidity_max_pct, humidity_mean_pct : ndarray
        Relative humidity. [%]
    dew_point_c, vapour_pressure_kpa : ndarray
        Mean dew point and vapour pressure. [°C, kPa]
    et0_mm : ndarray
        Reference evapotranspiration, where the file has it. [mm]
    wind_height_m : float or None
        Height of the wind gauge. [m]
    latitude_deg, longitude_deg, height_m : float or None
        Where it was measured, as the file says. [deg, deg, m]
    is_own : bool
        Whether the brief names this file; False for the estate's.
    """

    where: str
    date: NDArray[np.datetime64]
    tmin_c: NDArray[np.float64]
    tmax_c: NDArray[np.float64]
    rain_mm: NDArray[np.float64]
    radiation_mj_m2: NDArray[np.float64]
    wind_m_s: NDArray[np.float64]
    humidity_min_pct: NDArray[np.float64]
    humidity_max_pct: NDArray[np.float64]
    humidity_mean_pct: NDArray[np.float64]
    dew_point_c: NDArray[np.float64]
    vapour_pressure_kpa: NDArray[np.float64]
    et0_mm: NDArray[np.float64]
    wind_height_m: float | None = None
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    height_m: float | None = None
    is_own: bool = True


@dataclass(frozen=True)
class Inputs:
    """Everything read from files for one block.

    Parameters
    ----------
    outline : Outline
        The field's outline.
    exclusions : tuple of Exclusion
        In longitude and latitude.
    estate : str
        Name of the estate, "" outside an estate folder.
    set_out_grid : str
        Grid for the set-out files, "" for the UTM zone of the block.
    currency : str
        ISO 4217 code of the prices, "" when not known.
    prices : tuple of PriceLine
        Empty when there is no ``prices.csv``.
    pits : tuple of Pit
        Soil pits, in the file's order.
    zones : tuple of DrawnZone
        Soil zones as the user drew them; empty when they follow the nearest pit.
    weather : DailyWeather or None
        Daily weather, None when there is no file.
    heights : Heights or None
        Heights around the block, None when none are known.
    base_line : ndarray, shape (n, 2), or None
        Line from which contour rows are spaced, in longitude and latitude. [deg]
    water_source : WaterSource or None
        Where the water comes from, None when the brief names no file.
    water_route : ndarray, shape (n, 2), or None
        Line along which the mainline leaves the source, in longitude and latitude. [deg]
    delivery_test : tuple of CaughtVolume
        Volumes caught at drippers, empty before the system is tested.
    past_losses : tuple of PastLoss
        Earlier delivery batches, empty when there is no record.
    cultivars : tuple of CultivarFact
        What the estate itself knows of cultivars.
    rootstocks : tuple of RootstockFact
        What the estate itself knows of rootstocks.
    labour : Labour
        Wages, hours and norms of work.
    crews : tuple of Crew
        Empty when the estate names none.
    machines : mapping of str to EstateMachine
        Machines by name.
    work_calendar : WorkCalendar
        Days on which the estate works.
    own_tasks : tuple of OwnTask
        Tasks of the estate's own.
    locale, crew_language, decimal_mark : str
        How dates and numbers are written, and the language of the papers for the crew, as the
        estate says; see ``speech.Speech``.
    field_address : str
        Address under which the field page is served, "" for none.
    files : mapping of str to str
        SHA-256 of each file read, by its name relative to the brief.
    """

    outline: Outline
    exclusions: tuple[Exclusion, ...] = ()
    estate: str = ""
    set_out_grid: str = ""
    currency: str = ""
    prices: tuple[PriceLine, ...] = ()
    pits: tuple[Pit, ...] = ()
    zones: tuple[DrawnZone, ...] = ()
    weather: DailyWeather | None = None
    heights: Heights | None = None
    base_line: NDArray[np.float64] | None = None
    water_source: WaterSource | None = None
    water_route: NDArray[np.float64] | None = None
    delivery_test: tuple[CaughtVolume, ...] = ()
    cultivars: tuple[CultivarFact, ...] = ()
    rootstocks: tuple[RootstockFact, ...] = ()
    past_losses: tuple[PastLoss, ...] = ()
    labour: Labour = field(default_factory=Labour)
    crews: tuple[Crew, ...] = ()
    machines: Mapping[str, EstateMachine] = field(default_factory=dict)
    work_calendar: WorkCalendar = field(default_factory=WorkCalendar)
    own_tasks: tuple[OwnTask, ...] = ()
    locale: str = ""
    crew_language: str = "en"
    decimal_mark: str = ""
    field_address: str = ""
    files: Mapping[str, str] = field(default_factory=dict)

    @property
    def pipe_prices(self) -> tuple[PriceLine, ...]:
        """Prices of pipes, by which their sizes are chosen."""
        return tuple(line for line in self.prices if line.item.casefold().startswith("pipe-"))
