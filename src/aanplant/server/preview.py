"""What the sheet and the margin are redrawn from: layers, figures and findings in one piece."""

from collections.abc import Collection, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from aanplant.files.plan_json import plain
from aanplant.files.plan_tables import plan_tables
from aanplant.messages import word
from aanplant.plan import Plan
from aanplant.server.arrays import packed
from aanplant.server.layers import LAYERS
from aanplant.server.place_fit import place_fit
from aanplant.server.telling import Reader, told_figure, told_finding
from aanplant.site.grid import SetOutGrid


def preview_bytes(
    plan: Plan,
    reader: Reader,
    *,
    layers: Collection[str],
    tables: Collection[str] = (),
    known: Mapping[str, str] | None = None,
) -> bytes:
    """Pack a plan, whole or up to some stage.

    Parameters
    ----------
    plan : Plan
        Stages that did not run have no layers.
    reader : Reader
        For whom figures and findings are written.
    layers : collection of str
        Layers wanted, of ``LAYERS``.
    tables : collection of str
        Lists wanted, as ``plan.json`` holds them.
    known : mapping of str to str
        Digest by stage of what the reader has already: it is not sent again.
    """
    fresh = {name for name, _ in plan.digests.items() - (known or {}).items()}
    arrays: dict[str, NDArray[Any]] = {"origin": _origin(plan)}
    told: dict[str, Any] = {}
    for name, (stage, pack) in LAYERS.items():
        if name in layers and stage in fresh:
            made, said = pack(plan)
            arrays |= made
            told[name] = {"arrays": sorted(made), **said}
    with reader.spoken_to():
        grid = _grid(plan.site.grid)
        stages = {name: _stage(plan, name, reader, is_fresh=name in fresh) for name in plan.results}
    about: dict[str, Any] = {
        "block": plan.site.name,
        "stages": stages,
        "layers": told,
        "must_stop": plan.must_stop,
        "bearing_deg": plan.layout.bearing_deg if "layout" in plan.results else None,
        "frame": plan.site.frame.proj4,
        "grid": grid,
    }
    if tables:
        about["tables"] = plain(
            {name: lines for name, lines in plan_tables(plan).items() if name in tables}
        )
    return packed(_widest_first(arrays), about)


def _origin(plan: Plan) -> NDArray[np.float64]:
    """Longitude, latitude and height of the point from which offsets count."""
    frame = plan.site.frame
    return np.array([frame.longitude_deg, frame.latitude_deg, frame.height_m])


def _grid(grid: SetOutGrid) -> dict[str, Any]:
    return {
        "code": grid.code,
        "name": grid.name,
        "axes": [word(f"axis.{name}") for name in grid.axis_names],
        "convergence_deg": grid.convergence_deg,
        "fit": place_fit(grid),
    }


def _stage(plan: Plan, name: str, reader: Reader, *, is_fresh: bool) -> dict[str, Any]:
    told: dict[str, Any] = {"digest": plan.digests[name], "is_fresh": is_fresh}
    if is_fresh:
        result, to_lonlat = plan.results[name], plan.site.frame.to_lonlat
        told["figures"] = [told_figure(figure, reader.units) for figure in result.figures]
        told["findings"] = [
            told_finding(finding, to_lonlat, reader.units) for finding in result.findings
        ]
    return told


def _widest_first(arrays: Mapping[str, NDArray[Any]]) -> dict[str, NDArray[Any]]:
    return dict(sorted(arrays.items(), key=lambda item: -item[1].dtype.itemsize))
