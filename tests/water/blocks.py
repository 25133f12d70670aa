"""Invented blocks for the tests of the system's layout."""

import dataclasses

import numpy as np
from shapely.geometry.base import BaseGeometry

from aanplant.brief import Brief
from aanplant.inputs import Exclusion, Inputs, Outline, WaterSource
from aanplant.layout import Layout, lay_out
from aanplant.site import Site, survey
from aanplant.site.frame import Frame
from aanplant.site.terrain import Terrain
from aanplant.stock import Stock, choose
from aanplant.water.lay_system import lay_system

FRAME = Frame(19.302, -33.612)
LITRES = {"flow": 2.0, "spacing": 0.6}


def ground(height, *, step=5.0, reach=400.0):
    """A terrain whose heights are a formula of x and y."""
    at = np.arange(-reach, reach + step, step)
    x, y = np.meshgrid(at, at)
    z = np.broadcast_to(height(x, y), x.shape).astype(float)
    return Terrain(at, at, z, float(np.nanmean(z)), "heights.csv")


@dataclasses.dataclass(frozen=True)
class Block:
    brief: Brief
    site: Site
    stock: Stock
    layout: Layout

    def source(self, xy, height=None):
        lon, lat = self.site.frame.to_lonlat([xy])[0]
        return WaterSource("pump.geojson", "pump", float(lon), float(lat), height)

    def system(self, xy, height=None, drawn=None):
        lonlat = None if drawn is None else self.site.frame.to_lonlat(drawn)
        source = self.source(xy, height)
        return lay_system(self.brief, self.site, self.stock, self.layout, source, lonlat)


def block(corners, *, avoid: BaseGeometry | None = None, skip=None, terrain=None, **sections):
    """Lay out a block whose corners lie in its frame, near enough. [m]"""
    brief = Brief.model_validate(
        {
            "block": {"name": "Toets", "boundary": "b.geojson"},
            "vines": {"row_width": 2.5, "vine_spacing": 1.2},
            "rows": {"bearing": 0, **sections.pop("rows", {})},
            "water": {"emitter": LITRES, **sections.pop("water", {})},
            **sections,
        }
    )
    corners = np.asarray(corners, dtype=float)
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2.0
    ring = FRAME.to_lonlat(np.vstack([corners, corners[:1]]) - middle)
    things = tuple(
        Exclusion(name, "dam", treatment, FRAME.geometry_to_lonlat(shape), 1.0)
        for name, treatment, shape in (("dam", "avoid", avoid), ("drain", "skip", skip))
        if shape is not None
    )
    site = survey(brief, Inputs(Outline("b.geojson", "polygon", (ring,)), exclusions=things))
    site = dataclasses.replace(site, terrain=terrain)
    stock = choose(brief, site, Inputs(Outline("b.geojson", "polygon", (ring,))))
    return Block(brief, site, stock, lay_out(brief, site, stock))


def rectangle(width, height):
    """Corners of a rectangle about the origin. [m]"""
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * np.array([width, height]) / 2.0
