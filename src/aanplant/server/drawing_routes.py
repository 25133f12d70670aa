"""Requests about drawing on the sheet: what is there, what can be drawn, and places in grids."""

from typing import Any

import numpy as np
from fastapi import APIRouter
from numpy.typing import NDArray

from aanplant.errors import InputError
from aanplant.files.grids import crs_from_text, to_lonlat
from aanplant.server.desk import BlockName, DeskOf, KeyInPath
from aanplant.server.drawing import DRAWN_KEYS, drawn_features, kept_as
from aanplant.server.drawing_fields import drawing_fields
from aanplant.server.drawing_shapes import (
    DrawingFieldsShape,
    DrawnShape,
    FreePlacesShape,
    PlacedShape,
    PlacesShape,
)
from aanplant.server.geo import features_of, reader_of
from aanplant.site.frame import Frame
from aanplant.site.grid import SetOutGrid, choose_grid

router = APIRouter(tags=["drawing"])


@router.get("/drawing-fields")
def read_drawing_fields() -> DrawingFieldsShape:
    """Read what can be drawn for which key of a brief, and what may be said of each shape."""
    return DrawingFieldsShape(fields=list(drawing_fields()))


@router.get("/blocks/{block}/drawn/{key}")
def read_drawn(desk: DeskOf, block: BlockName, key: KeyInPath) -> DrawnShape:
    """Read what the file behind a key holds, as GeoJSON that can be edited and saved again."""
    desk.block(block)
    reader = reader_of(key)
    opened = desk.planner.opened(block)
    named = opened.brief.named_files()
    file = named.get(key, "")
    sources = desk.store.sources(block)
    # Taken before the file is read: what changes meanwhile must not count as read.
    version = desk.store.source_version(block, file) if file in sources else ""
    features: list[dict[str, Any]] = []
    is_whole = False
    if file:
        here = opened.brief_path.parent
        read = reader(here / file, opened.brief, here)
        if key in DRAWN_KEYS:
            surveyed = desk.planner.surveyed(block)
            site = surveyed[0] if surveyed else None
            features, is_whole = drawn_features(key, here / file, read, site)
            is_whole = is_whole and list(named.values()).count(file) == 1
        else:
            features = features_of(read)
    kept = kept_as(key, file, sources, is_whole=is_whole and file in sources)
    return DrawnShape(
        features=features,
        file=file,
        save_as=kept.name,
        version=version if kept.takes_place else "",
    )


@router.post("/blocks/{block}/places")
def turn_places(desk: DeskOf, block: BlockName, asked: PlacesShape) -> PlacedShape:
    """Turn places from one of a block's grids into all of them."""
    desk.block(block)
    if asked.origin is None:
        site = desk.planner.site(block)
        frame, grid = site.frame, site.grid
    else:
        opened = desk.planner.opened(block)
        frame = Frame(*asked.origin)
        code = opened.brief.block.set_out_grid or opened.estate.grid
        grid = choose_grid(code, frame, "origin")
    return _placed(asked, frame, grid)


@router.post("/places")
def turn_free_places(desk: DeskOf, asked: FreePlacesShape) -> PlacedShape:
    """Turn places where there is no block yet; so the first corner of a new one is found."""
    code = asked.grid or desk.store.estate().grid
    frame = Frame(*(asked.origin or _origin(asked, code)))
    return _placed(asked, frame, choose_grid(code, frame, "grid"))


def _origin(asked: FreePlacesShape, code: str) -> tuple[float, float, float]:
    """Let metres count from the first place, rounded as a block's own frame is."""
    if not asked.places or asked.given_in == "frame":
        raise InputError("origin", "no origin", "a place from which metres count")
    place = np.array(asked.places[:1], np.float64)
    if asked.given_in == "grid":
        if not code:
            raise InputError("grid", "no grid", 'a grid such as "EPSG:2048"')
        place = to_lonlat(place, crs_from_text(code, "grid"), "places").lonlat
    longitude, latitude = (round(float(part), 4) for part in place[0])
    if not (-180 <= longitude <= 180 and -85 <= latitude <= 85):  # noqa: PLR2004 - of the globe
        raise InputError("places", f"longitude {longitude}, latitude {latitude}", "a place on land")
    return longitude, latitude, 0.0


def _placed(asked: PlacesShape | FreePlacesShape, frame: Frame, grid: SetOutGrid) -> PlacedShape:
    xy: NDArray[np.float64] = np.array(asked.places, np.float64).reshape(-1, 2)
    if asked.given_in == "lonlat":
        xy = frame.from_lonlat(xy)
    elif asked.given_in == "grid":
        xy = grid.to_frame(xy)
    lonlat, in_grid = frame.to_lonlat(xy), grid.from_frame(xy)
    if not all(np.isfinite(pairs).all() for pairs in (xy, lonlat, in_grid)):
        raise InputError("places", "places too far away for the block's grid", "places near it")
    return PlacedShape(
        frame=_pairs(xy),
        lonlat=_pairs(lonlat),
        grid=_pairs(in_grid),
        grid_code=grid.code,
        grid_axes=grid.axis_names,
        origin=(frame.longitude_deg, frame.latitude_deg, frame.height_m),
    )


def _pairs(xy: NDArray[np.float64]) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in xy]
