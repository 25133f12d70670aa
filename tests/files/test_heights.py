"""Heights from GeoTIFF, tables and drawings: read right, or refused with a reason."""

import json

import numpy as np
import pytest
import rasterio
import shapely
from affine import Affine
from pyproj import Transformer

from aanplant.errors import InputError
from aanplant.files.heights import read_heights
from aanplant.site.frame import Frame
from aanplant.site.heights import grid_heights
from tests.site.hills import FRAME, field, open_model, plane

FIELD = FRAME.to_lonlat(np.array(field().exterior.coords))


def model_file(path, z, *, crs="EPSG:32734", cell=5.0, middle=None, transform=None, **given):
    """Write heights, north on top, around the middle of the frame."""
    if transform is None:
        to_grid = Transformer.from_crs("EPSG:4326", crs, always_xy=True)
        east, north = middle or to_grid.transform(FRAME.longitude_deg, FRAME.latitude_deg)
        rows, columns = z.shape
        left, top = east - columns * cell / 2, north + rows * cell / 2
        transform = Affine(cell, 0.0, left, 0.0, -cell, top)
    unit = given.pop("unit", "m")
    with rasterio.open(
        path, "w", driver="GTiff", width=z.shape[1], height=z.shape[0], count=1,
        dtype=given.pop("dtype", "float32"), crs=crs, transform=transform, **given,
    ) as raster:  # fmt: skip
        raster.write(z, 1)
        if unit:
            raster.set_band_unit(1, unit)
    return path


def cells(heights):
    """Heights of a model that was read."""
    assert heights.model is not None
    return heights.model.z_m


def plane_cells(rows=120, columns=100, cell=5.0):
    """Cells that fall by 0.1 to the east and 0.05 to the north of UTM."""
    x = (np.arange(columns) + 0.5 - columns / 2) * cell
    y = (rows / 2 - np.arange(rows) - 0.5) * cell
    return 300.0 - 0.1 * x[None, :] - 0.05 * y[:, None]


@pytest.mark.parametrize("compress", ["none", "lzw", "deflate"])
@pytest.mark.parametrize("dtype", ["float32", "float64"])
def test_a_geotiff_is_read_whatever_its_packing(tmp_path, compress, dtype):
    path = model_file(
        tmp_path / "hill.tif",
        plane_cells(),
        compress=compress,
        dtype=dtype,
        tiled=True,
        blockxsize=64,
        blockysize=64,
    )

    terrain = grid_heights(read_heights(path, FIELD), FRAME, field())

    gradient = terrain.gradient(np.random.default_rng(0).uniform(-90, 90, (50, 2)))
    # UTM's north is turned by 1.02 degrees here.
    assert np.hypot(*gradient.T) == pytest.approx(np.hypot(0.1, 0.05), rel=1e-3)
    assert terrain.height([(0.0, 0.0)]) == pytest.approx(300.0, abs=0.01)
    down = np.degrees(np.arctan2(-gradient[:, 0], -gradient[:, 1]))
    assert down == pytest.approx(np.degrees(np.arctan2(0.1, 0.05)) + 1.02, abs=0.1)


def test_holes_and_marks_of_missing_cells_are_no_heights(tmp_path):
    z = plane_cells()
    z[40:50, 40:50] = -9999.0
    z[60:65, 60:65] = -32768.0
    marked = read_heights(model_file(tmp_path / "a.tif", z, nodata=-9999.0), FIELD)

    assert np.isnan(cells(marked)).sum() == 100 + 25
    assert np.nanmin(cells(marked)) > 250


def test_heights_in_feet_are_turned_into_metres_where_the_file_or_the_brief_says_so(tmp_path):
    feet = plane_cells() / 0.3048
    by_file = read_heights(model_file(tmp_path / "a.tif", feet, unit="ft"), FIELD)
    by_brief = read_heights(model_file(tmp_path / "b.tif", feet, unit=""), FIELD, unit="ft")

    for heights in (by_file, by_brief):
        assert np.nanmedian(cells(heights)) == pytest.approx(300.0, abs=0.1)
        assert heights.unit == "ft"
    with pytest.raises(InputError, match=r"heights in ft, while ground\.heights_unit says m"):
        read_heights(tmp_path / "a.tif", FIELD, unit="m")


def test_a_model_that_does_not_say_its_unit_is_refused_until_the_brief_does(tmp_path):
    # As open height models have it: a horizontal grid, no vertical part, no unit of the band.
    path = model_file(tmp_path / "open.tif", plane_cells(), unit="")

    with pytest.raises(InputError, match=r'do not say their unit.*ground\.heights_unit = "m"'):
        read_heights(path, FIELD)
    said = read_heights(path, FIELD, unit="m")

    assert np.nanmedian(cells(said)) == pytest.approx(300.0, abs=0.1)


@pytest.mark.parametrize(("vertical", "factor"), [("EPSG:5773", 1.0), ("EPSG:6360", 0.3048)])
def test_the_vertical_part_of_a_grid_says_the_unit_of_a_model(tmp_path, vertical, factor):
    z = plane_cells() / factor
    path = model_file(tmp_path / "a.tif", z, unit="", crs=f"EPSG:32734+{vertical[5:]}")

    heights = read_heights(path, FIELD)

    assert np.nanmedian(cells(heights)) == pytest.approx(300.0, abs=0.1)


def test_only_the_ground_around_the_block_is_read_of_a_large_model(tmp_path):
    path = model_file(tmp_path / "wide.tif", plane_cells(1500, 1600), dtype="float32")

    heights = read_heights(path, FIELD)
    terrain = grid_heights(heights, FRAME, field())

    assert max(cells(heights).shape) < 400
    assert terrain.height([(0.0, 0.0)]) == pytest.approx(300.0, abs=0.01)


def test_a_model_of_another_place_is_refused_with_both_places(tmp_path):
    path = model_file(tmp_path / "far.tif", plane_cells(), middle=(500_000.0, 6_200_000.0))

    with pytest.raises(InputError, match=r"another place: .* the block at latitude -33\.6"):
        read_heights(path, FIELD)


def test_an_upside_down_model_is_refused(tmp_path):
    """The open model of matplotlib names its edges so that they come out exchanged."""
    model = open_model()
    z = np.asarray(model["elevation"], dtype="float32")
    west, east, ymin, ymax = (float(model[key]) for key in ("xmin", "xmax", "ymin", "ymax"))
    there = np.array([[-84.25, 36.6], [-84.24, 36.6], [-84.24, 36.61]])
    assert ymin > ymax  # its first row is the northern one: the names are exchanged

    def written(name, south, north):
        across, down = (east - west) / z.shape[1], (south - north) / z.shape[0]
        transform = Affine(across, 0.0, west, 0.0, down, north)
        return model_file(tmp_path / name, z, crs="EPSG:4326", transform=transform)

    right = read_heights(written("right.tif", ymax, ymin), there)

    with pytest.raises(InputError, match="from south to north"):
        read_heights(written("wrong.tif", ymin, ymax), there)
    frame = Frame(-84.245, 36.605)
    terrain = grid_heights(right, frame, field(400.0))
    row = round((ymin - 36.605) / (ymin - ymax) * z.shape[0] - 0.5)
    column = round((-84.245 - west) / (east - west) * z.shape[1] - 0.5)
    near = z[row - 1 : row + 2, column - 1 : column + 2]
    assert near.min() <= terrain.height([(0.0, 0.0)])[0] <= near.max()


def test_files_that_are_no_height_model_are_refused(tmp_path):
    text = tmp_path / "text.tif"
    text.write_text("no picture")
    cut = tmp_path / "cut.tif"
    whole = model_file(tmp_path / "whole.tif", plane_cells())
    cut.write_bytes(whole.read_bytes()[:3000])
    photo = tmp_path / "photo.tif"
    with rasterio.open(
        photo, "w", driver="GTiff", width=10, height=10, count=3, dtype="uint8",
        crs="EPSG:32734", transform=Affine(2.0, 0.0, 0.0, 0.0, -2.0, 0.0),
    ) as raster:  # fmt: skip
        raster.write(np.zeros((3, 10, 10), "uint8"))
    placeless = tmp_path / "placeless.tif"
    with (
        pytest.warns(rasterio.errors.NotGeoreferencedWarning),
        rasterio.open(
            placeless, "w", driver="GTiff", width=10, height=10, count=1, dtype="float32"
        ) as raster,
    ):
        raster.write(np.zeros((1, 10, 10), "float32"))

    for path, why in (
        (text, "no TIFF"),
        (cut, "damaged or cut off"),
        (photo, "3 bands"),
        (placeless, "without its place"),
    ):
        with pytest.raises(InputError, match=why):
            read_heights(path, FIELD)


def table(path, header, xy, z, *, separator=",", decimal="."):
    lonlat = FRAME.to_lonlat(xy)
    lines = [header]
    for (lon, lat), height in zip(lonlat, z, strict=True):
        cells = [f"{lat:.7f}", f"{lon:.7f}", f"{height:.2f}"]
        lines.append(separator.join(cell.replace(".", decimal) for cell in cells))
    path.write_text("\n".join(lines) + "\n")
    return path


SPOTS = np.random.default_rng(7).uniform(-150, 150, (30, 2))


@pytest.mark.parametrize(
    ("header", "factor"),
    [
        ("lat,lon,height (m)", 1.0),
        ("Latitude,Longitude,Elevation_m", 1.0),
        ("lat,lon,z [ft]", 0.3048),
        ("lat,lon,hoogte m", 1.0),
        ("lat,lon,Elev (feet)", 0.3048),
    ],
)
def test_a_table_of_spot_heights_is_read_in_the_unit_its_header_states(tmp_path, header, factor):
    path = table(tmp_path / "spots.csv", header, SPOTS, plane(SPOTS))

    heights = read_heights(path, FIELD)

    assert heights.kind == "spot heights"
    assert heights.z_m == pytest.approx(plane(SPOTS) * factor, abs=0.006)
    assert FRAME.from_lonlat(heights.lonlat) == pytest.approx(SPOTS, abs=0.01)


def test_decimal_commas_between_semicolons_are_read_and_between_commas_refused(tmp_path):
    path = table(
        tmp_path / "a.csv", "lat;lon;z (m)", SPOTS, plane(SPOTS), separator=";", decimal=","
    )
    bad = tmp_path / "b.csv"
    bad.write_text('lat,lon,z (m)\n-33.6,19.3,"300,5"\n')

    assert read_heights(path, FIELD).z_m == pytest.approx(plane(SPOTS), abs=0.006)
    with pytest.raises(InputError, match="'300,5'"):
        read_heights(bad, FIELD)


def test_grid_columns_with_heights_are_read(tmp_path):
    path = tmp_path / "spots.csv"
    path.write_text(
        "westing,southing,level (m)\n-27710.4,3719175.8,301.5\n-28060.1,3719148.6,299\n"
    )

    heights = read_heights(path, FIELD, grid="EPSG:2048")

    assert heights.lonlat[0] == pytest.approx([19.2985, -33.5986], abs=1e-4)
    assert heights.z_m.tolist() == [301.5, 299.0]


def test_a_table_that_does_not_say_its_unit_is_refused_and_read_when_the_brief_does(tmp_path):
    path = table(tmp_path / "spots.csv", "lat,lon,height", SPOTS, plane(SPOTS))

    with pytest.raises(InputError, match="does not say its unit"):
        read_heights(path, FIELD)
    assert read_heights(path, FIELD, unit="ft").z_m[0] == pytest.approx(
        0.3048 * plane(SPOTS)[0], abs=0.01
    )


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("lat,lon,name\n-33.6,19.3,a\n", "0 columns of heights"),
        ("lat,lon,z (m),height (m)\n-33.6,19.3,1,2\n", "2 columns of heights"),
        ("lat,lon,z (m)\n-33.6,19.3,-9999\n", "a height of -9999 m"),
        ("lat,lon,z (m)\n-33.6,19.3,12000\n", "a height of 12000 m"),
        ("lat,lon,z (m)\n-33.6,19.3,\n", "''"),
        ("lat,lon,z (m)\n-33.6,19.3,nan\n", "'nan'"),
        ("z (m),a\n300,1\n", "columns latitude and longitude"),
    ],
)
def test_a_table_that_cannot_be_trusted_is_refused(tmp_path, text, why):
    path = tmp_path / "spots.csv"
    path.write_text(text)

    with pytest.raises(InputError, match=why):
        read_heights(path, FIELD)


def contour_rings():
    turn = np.linspace(0, 2 * np.pi, 60)
    for radius in range(20, 301, 20):
        yield 400 - 0.1 * radius, np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])


@pytest.mark.parametrize("how", ["property", "coordinates"])
@pytest.mark.parametrize("suffix", [".geojson", ".gpkg"])
def test_contour_lines_are_read_by_property_or_by_their_coordinates(tmp_path, how, suffix):
    features, shapes, levels = [], [], []
    for level, ring in contour_rings():
        lonlat = FRAME.to_lonlat(ring)
        if how == "coordinates":
            lonlat = np.column_stack([lonlat, np.full(len(lonlat), level)])
        shapes.append(shapely.LineString(lonlat))
        levels.append(level)
        features.append({
            "type": "Feature",
            "properties": {"elevation": level} if how == "property" else {},
            "geometry": {"type": "LineString", "coordinates": lonlat.tolist()},
        })  # fmt: skip
    path = tmp_path / f"contours{suffix}"
    if suffix == ".geojson":
        path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    else:
        import geopandas

        columns = {"elevation": levels} if how == "property" else {"other": levels}
        geopandas.GeoDataFrame(columns, geometry=shapes, crs="EPSG:4326").to_file(path)

    if how == "coordinates" and suffix == ".geojson":
        heights = read_heights(path, FIELD)  # metres by its standard
    else:
        with pytest.raises(InputError, match="do not say their unit"):
            read_heights(path, FIELD)
        heights = read_heights(path, FIELD, unit="m")

    terrain = grid_heights(heights, FRAME, field())
    assert heights.kind == "contour lines"
    assert terrain.height([(50.0, 0.0), (0.0, -95.0)]) == pytest.approx([395.0, 390.5], abs=0.1)


def test_contours_of_a_dxf_keep_their_level_and_flat_lines_have_none(tmp_path):
    from ezdxf.filemanagement import new

    to_grid = Transformer.from_crs(FRAME.crs, "EPSG:32734", always_xy=True)
    drawing = new()
    space = drawing.modelspace()
    for level, ring in contour_rings():
        east, north = to_grid.transform(*ring.T)
        space.add_lwpolyline(
            np.column_stack([east, north]).tolist(), dxfattribs={"elevation": level}, close=True
        )
    east, north = to_grid.transform(*field().exterior.xy)
    space.add_line((east[0], north[0]), (east[2], north[2]))  # a fence drawn at height 0
    path = tmp_path / "contours.dxf"
    drawing.saveas(path)

    heights = read_heights(path, FIELD, grid="EPSG:32734", unit="m")

    assert heights.z_m.min() == pytest.approx(370.0)
    terrain = grid_heights(heights, FRAME, field())
    assert terrain.height([(50.0, 0.0)]) == pytest.approx(395.0, abs=0.1)


@pytest.mark.parametrize(
    ("properties", "why"),
    [
        ({"elevation": "high"}, "the elevation 'high'"),
        ({"colour": 3}, "without heights"),
        ({"elevation": 99999}, "a height of 99999 m"),
        ({"elevation": None}, "without heights"),
    ],
)
def test_drawings_without_sound_heights_are_refused(tmp_path, properties, why):
    line = {"type": "LineString", "coordinates": FIELD.tolist()}
    path = tmp_path / "lines.geojson"
    path.write_text(json.dumps({"type": "Feature", "properties": properties, "geometry": line}))

    with pytest.raises(InputError, match=why):
        read_heights(path, FIELD, unit="m")


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_model_in_a_lo_grid_is_read_with_or_without_its_signs_turned(tmp_path, sign):
    to_grid = Transformer.from_crs("EPSG:4326", "EPSG:2048", always_xy=True)
    to_frame = Transformer.from_crs("EPSG:2048", FRAME.crs, always_xy=True)
    west, south = to_grid.transform(FRAME.longitude_deg, FRAME.latitude_deg)
    first = sign * west + (np.arange(100) + 0.5 - 50) * 5.0
    second = sign * south + (60 - np.arange(120) - 0.5) * 5.0
    x, y = np.meshgrid(first, second)
    z = plane(np.column_stack(to_frame.transform(sign * x.ravel(), sign * y.ravel())))
    path = model_file(
        tmp_path / "lo.tif", z.reshape(x.shape), crs="EPSG:2048", middle=(sign * west, sign * south)
    )

    terrain = grid_heights(read_heights(path, FIELD), FRAME, field())

    points = np.random.default_rng(8).uniform(-90, 90, (50, 2))
    assert terrain.height(points) == pytest.approx(plane(points), abs=1e-3)
