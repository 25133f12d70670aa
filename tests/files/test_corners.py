"""Tables of corners are read right or refused."""

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files.outlines import read_outline
from tests.files import fields


def table(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "corners.csv"
    path.write_text(text, encoding=encoding)
    return path


def rows(points, separator=",", *, decimal="."):
    lines = []
    for number, (first, second) in enumerate(points, start=1):
        cells = [f"B{number}", f"{first:.9f}", f"{second:.9f}"]
        lines.append(separator.join(cell.replace(".", decimal) for cell in cells))
    return "\n".join(lines) + "\n"


def close_to(outline):
    return np.allclose(outline.rings[0], fields.CORNERS, rtol=0, atol=2e-9)


@pytest.mark.parametrize(
    "header",
    [
        "point,longitude,latitude",
        "Point,LON,LAT",
        "no,lng,Lat (deg)",
        "punt,Lengtegraad,Breedtegraad",
    ],
)
def test_longitude_and_latitude_need_no_grid(header, tmp_path):
    path = table(tmp_path, f"{header}\n{rows(fields.CORNERS)}")

    outline = read_outline(path)

    assert outline.kind == "corners"
    assert outline.grid == "EPSG:4326"
    assert close_to(outline)


@pytest.mark.parametrize(
    ("header", "order", "sign"),
    [
        ("point,Y,X", [0, 1], 1),  # South African surveyors: Y is westing, X southing
        ("point,X,Y", [1, 0], 1),
        ("point,westing,southing", [0, 1], 1),
        ("point,Southing (m),Westing (m)", [1, 0], 1),
        ("point,easting,northing", [0, 1], -1),
        ("point,N,E", [1, 0], -1),
    ],
)
def test_columns_of_a_lo_grid_are_matched_by_name(header, order, sign, tmp_path):
    points = sign * fields.in_grid("EPSG:2048")[:, order]

    outline = read_outline(table(tmp_path, f"{header}\n{rows(points)}"), grid="EPSG:2048")

    assert close_to(outline)
    assert outline.grid == "EPSG:2048"


@pytest.mark.parametrize(
    ("header", "order"),
    [("point,e,n", [0, 1]), ("point,northing,easting", [1, 0]), ("point,x,y", [0, 1])],
)
def test_columns_of_an_easting_northing_grid_are_matched_by_name(header, order, tmp_path):
    points = fields.in_grid("EPSG:32734")[:, order]

    outline = read_outline(table(tmp_path, f"{header}\n{rows(points)}"), grid="EPSG:32734")

    assert close_to(outline)


def test_a_german_zone_counts_northing_as_x(tmp_path):
    # EPSG:31467, 3-degree Gauss-Kruger zone 3: X = Hochwert (north), Y = Rechtswert (east).
    from pyproj import Transformer

    place = np.array([[8.20, 49.98], [8.21, 49.98], [8.21, 49.99]])
    east, north = Transformer.from_crs(4326, 31467, always_xy=True).transform(*place.T)
    path = table(tmp_path, f"point;x;y\n{rows(np.column_stack([north, east]), ';')}")

    outline = read_outline(path, grid="EPSG:31467")

    assert np.allclose(outline.rings[0], place, rtol=0, atol=1e-8)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_semicolons_with_decimal_commas_are_read_right(encoding, tmp_path):
    body = rows(fields.in_grid("EPSG:2048"), ";", decimal=",")
    path = table(tmp_path, f"# Môreson\nPunt;Y;X\n\n{body}", encoding)

    assert close_to(read_outline(path, grid="EPSG:2048"))


def test_thousands_set_apart_by_spaces_are_read_right(tmp_path):
    lines = [
        f"{y:,.6f};{x:,.6f}".replace(",", " ").replace(".", ",")
        for y, x in fields.in_grid("EPSG:2048")
    ]
    path = table(tmp_path, "Y;X\n" + "\n".join(lines))

    assert np.allclose(
        read_outline(path, grid="EPSG:2048").rings[0], fields.CORNERS, rtol=0, atol=1e-10
    )


@pytest.mark.parametrize(
    ("text", "grid", "said"),
    [
        ("point,lon,lat\nA,18,8602,-33,9321\n", "", "decimal commas with semicolons"),
        ('lon,lat\n"18,8602","-33,9321"\n', "", "'18,8602'"),
        ("lon;lat\n1.234,56;-33,9\n", "", "'1.234,56'"),
        ("lon,lat\n18.86,33°55'S\n", "", 'line 2: found "33°55\'S"'),
        ("lon,lat\n18.86,nan\n", "", "'nan'"),
        ("lon,lat\n18.86,\n", "", "line 2: found ''"),
        ("lon,lat\n-33.93,118.86\n", "", "the two seem swapped"),
        ("lon,lat\n18.86\n", "", "line 2: found 1 cells under 2 columns"),
        ("lon,lat\n", "", "a header without corners"),
        ("# only this\n", "", "comments only"),
        ("18.86,-33.93\n18.87,-33.93\n", "", "columns latitude and longitude; or easting"),
        ("lon,lon\n1,2\n", "", "the column 'lon' twice"),
        ("y,x\n12925.7,3756138.7\n", "", "without their grid"),
        ("y,x\n12925.7,3756138.7\n", "EPSG:4326", "which is in degrees"),
        ("x,y\n12925.7,3756138.7\n", "EPSG:2048", "aren't the two coordinates swapped"),
        ("y,x\n-12925.7,-3756138.7\n", "EPSG:2048", "with the sign turned"),
        ("easting,northing\n12925.7,3756138.7\n", "EPSG:2048", "with the sign turned"),
        ("westing,southing\n302219.6,6243310.4\n", "EPSG:32734", "a Lo grid, EPSG:2046 to 2055"),
        ("e,n,westing,southing\n1,2,3,4\n", "EPSG:2048", "columns latitude and longitude"),
        ('lon,lat\n"18.86,-33.93\n', "", "quotes that don't match"),
        ("lon,lat\n150.8,-33.9\n", "EPSG:2048", "outside the area of EPSG:2048"),
    ],
)
def test_a_table_that_could_be_misread_is_refused(text, grid, said, tmp_path):
    with pytest.raises(InputError) as caught:
        read_outline(table(tmp_path, text), grid=grid)

    assert said in str(caught.value)
    assert caught.value.where.startswith("corners.csv")
