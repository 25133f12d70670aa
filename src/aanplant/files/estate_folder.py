"""An estate as a folder of plain files: find a block's brief in it, and read what it names."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief, parse_brief
from aanplant.errors import InputError
from aanplant.estate import Estate, parse_estate
from aanplant.files.base_lines import read_base_line
from aanplant.files.cultivar_tables import read_cultivars
from aanplant.files.delivery_volumes import read_delivery_volumes
from aanplant.files.exclusions import read_exclusions
from aanplant.files.heights import read_heights
from aanplant.files.outlines import read_outline
from aanplant.files.own_rootstocks import read_rootstocks
from aanplant.files.past_losses import read_past_losses
from aanplant.files.pits import read_pits
from aanplant.files.prices import read_prices
from aanplant.files.reading import read_text_checked, sha256_of
from aanplant.files.water_sources import read_water_route, read_water_source
from aanplant.files.weather import read_weather
from aanplant.files.zones import read_zones
from aanplant.inputs import (
    CaughtVolume,
    CultivarFact,
    Exclusion,
    Inputs,
    PastLoss,
    PriceLine,
    WaterSource,
)
from aanplant.pits import DrawnZone, Pit
from aanplant.rootstock_facts import RootstockFact

BRIEF_FILE = "brief.toml"
ESTATE_FILE = "estate.toml"
PRICES_FILE = "prices.csv"
CULTIVARS_FILE = "cultivars.csv"
ROOTSTOCKS_FILE = "rootstocks.csv"
WEATHER_FILE = "weather.csv"


@dataclass(frozen=True)
class BlockFolder:
    """Where a block's files lie.

    Parameters
    ----------
    brief : Brief
        The block's brief, named after its folder where it gives no name.
    brief_path : Path
        Its file; the files it names lie beside it.
    estate : Estate
        Settings of the estate, all defaults outside one.
    estate_folder : Path or None
        Folder of ``estate.toml``.
    """

    brief: Brief
    brief_path: Path
    estate: Estate
    estate_folder: Path | None

    @property
    def plan_folder(self) -> Path:
        """Where the plan goes: ``plans/<block>`` of the estate, else ``plan`` beside the brief."""
        here = self.brief_path.parent
        if self.estate_folder is None:
            return here / "plan"
        return self.estate_folder / "plans" / here.name


def open_block(path: Path) -> BlockFolder:
    """Read a brief and the settings of its estate.

    Parameters
    ----------
    path : Path
        A brief, or the folder that holds ``brief.toml``.

    Raises
    ------
    InputError
        If there is no brief, or it or ``estate.toml`` is wrong.
    """
    brief_path = path / BRIEF_FILE if path.is_dir() else path
    where = brief_path.name
    brief = parse_brief(read_text_checked(brief_path), where)
    if not brief.block.name:
        name = brief_path.resolve().parent.name.replace("_", " ").replace("-", " ").capitalize()
        block = brief.block.model_copy(update={"name": name[:80]})
        brief = brief.model_copy(update={"block": block})
    folder = _estate_folder(brief_path)
    if folder is None:
        return BlockFolder(brief, brief_path, Estate(), None)
    estate = parse_estate(read_text_checked(folder / ESTATE_FILE), ESTATE_FILE)
    return BlockFolder(brief, brief_path, estate, folder)


def _estate_folder(brief_path: Path) -> Path | None:
    """Look for ``estate.toml`` beside the brief and in the three folders above it."""
    here = brief_path.resolve().parent
    near = (here, *here.parents)[:4]
    return next((folder for folder in near if (folder / ESTATE_FILE).is_file()), None)


def read_inputs(block: BlockFolder) -> Inputs:
    """Read every file that a brief names, and the estate's prices.

    Raises
    ------
    InputError
        If a file is missing or cannot be used.
    """
    brief, here = block.brief, block.brief_path.parent
    grid = brief.block.grid
    outline_path = here / brief.block.boundary
    paths = {brief.block.boundary: outline_path}
    outline = read_outline(outline_path, grid=grid)
    exclusions: tuple[Exclusion, ...] = ()
    if brief.block.exclusions:
        paths[brief.block.exclusions] = here / brief.block.exclusions
        exclusions = read_exclusions(here / brief.block.exclusions, grid=grid)
    heights = None
    if brief.block.heights:
        paths[brief.block.heights] = here / brief.block.heights
        heights = read_heights(
            here / brief.block.heights, outline.rings[0], grid=grid, unit=brief.ground.heights_unit
        )
    base_line = None
    if brief.rows.base_line:
        paths[brief.rows.base_line] = here / brief.rows.base_line
        base_line = read_base_line(here / brief.rows.base_line, grid=grid)
    water_source, water_route = _water(brief, here, paths)
    pits: tuple[Pit, ...] = ()
    if brief.block.pits:
        paths[brief.block.pits] = here / brief.block.pits
        pits = read_pits(here / brief.block.pits, grid=grid)
    zones: tuple[DrawnZone, ...] = ()
    if brief.block.zones:
        paths[brief.block.zones] = here / brief.block.zones
        zones = read_zones(here / brief.block.zones, grid=grid)
    past_losses: tuple[PastLoss, ...] = ()
    if brief.spares.past_losses:
        paths[brief.spares.past_losses] = here / brief.spares.past_losses
        past_losses = read_past_losses(here / brief.spares.past_losses)
    delivery_test: tuple[CaughtVolume, ...] = ()
    if brief.water.delivery_test:
        paths[brief.water.delivery_test] = here / brief.water.delivery_test
        delivery_test = read_delivery_volumes(here / brief.water.delivery_test)
    prices_path = (block.estate_folder or here) / PRICES_FILE
    prices: tuple[PriceLine, ...] = ()
    if prices_path.is_file():
        paths[PRICES_FILE] = prices_path
        prices = read_prices(prices_path)
    cultivars = _own_cultivars(prices_path.parent, paths)
    rootstocks = _own_rootstocks(prices_path.parent, paths)
    own_weather = brief.climate.weather
    weather_path = here / own_weather if own_weather else prices_path.parent / WEATHER_FILE
    weather = None
    if own_weather or weather_path.is_file():
        paths[own_weather or WEATHER_FILE] = weather_path
        weather = read_weather(weather_path, is_own=bool(own_weather))
    return Inputs(
        outline=outline,
        exclusions=exclusions,
        estate=block.estate.name,
        set_out_grid=brief.block.set_out_grid or block.estate.grid,
        currency=block.estate.currency,
        prices=prices,
        heights=heights,
        pits=pits,
        zones=zones,
        weather=weather,
        base_line=base_line,
        water_source=water_source,
        water_route=water_route,
        cultivars=cultivars,
        rootstocks=rootstocks,
        past_losses=past_losses,
        delivery_test=delivery_test,
        labour=block.estate.labour,
        crews=block.estate.crews,
        machines=block.estate.machines,
        work_calendar=block.estate.calendar,
        own_tasks=block.estate.tasks,
        locale=block.estate.locale,
        crew_language=block.estate.spoken_by_crew,
        decimal_mark=block.estate.decimal_mark,
        field_address=block.estate.field_address,
        files={name: _digest(path) for name, path in paths.items()},
    )


def _water(
    brief: Brief, here: Path, paths: dict[str, Path]
) -> tuple[WaterSource | None, NDArray[np.float64] | None]:
    """Read where the water comes from and which way it takes, where the brief says it."""
    source, route, grid = None, None, brief.block.grid
    if brief.water.source:
        paths[brief.water.source] = here / brief.water.source
        source = read_water_source(here / brief.water.source, grid=grid)
    if brief.mains.route:
        paths[brief.mains.route] = here / brief.mains.route
        route = read_water_route(here / brief.mains.route, grid=grid)
    return source, route


def _own_cultivars(folder: Path, paths: dict[str, Path]) -> tuple[CultivarFact, ...]:
    """Read what the estate knows of its cultivars, where it wrote it down."""
    path = folder / CULTIVARS_FILE
    if not path.is_file():
        return ()
    paths[CULTIVARS_FILE] = path
    return read_cultivars(path)


def _own_rootstocks(folder: Path, paths: dict[str, Path]) -> tuple[RootstockFact, ...]:
    """Read what the estate knows of its rootstocks, where it wrote it down."""
    path = folder / ROOTSTOCKS_FILE
    if not path.is_file():
        return ()
    paths[ROOTSTOCKS_FILE] = path
    return read_rootstocks(path)


def _digest(path: Path) -> str:
    if not path.is_file():
        raise InputError(path.name, f"no file at {path}", "a file that is there")
    return sha256_of(path)
