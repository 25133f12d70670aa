"""Where the water comes from is read from any file that holds one point, or refused."""

import json
import zipfile

import numpy as np
import pytest
from pyproj import Transformer

from aanplant.errors import InputError
from aanplant.files.water_sources import read_water_route, read_water_source

PLACE = (19.3002, -33.5998)


def drawn(folder, *points, name="pump.geojson", **properties):
    features = [
        {
            "type": "Feature",
            "properties": {"name": "pump", **properties},
            "geometry": {"type": "Point", "coordinates": list(point)},
        }
        for point in points
    ]
    path = folder / name
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return path


def gpx(folder, *points, ele="<ele>301.5</ele>"):
    path = folder / "pump.gpx"
    inside = "".join(
        f'<wpt lat="{lat}" lon="{lon}">{ele}<name>pump</name></wpt>' for lon, lat in points
    )
    path.write_text(
        '<?xml version="1.0"?><gpx version="1.1" creator="t" '
        f'xmlns="http://www.topografix.com/GPX/1/1">{inside}</gpx>'
    )
    return path


def kml(folder, *, zipped=False):
    text = (
        '<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark>'
        '<name>pump</name><ExtendedData><Data name="height"><value>301.5</value></Data>'
        "</ExtendedData>"
        f"<Point><coordinates>{PLACE[0]},{PLACE[1]},0</coordinates></Point>"
        "</Placemark></Document></kml>"
    )
    if not zipped:
        path = folder / "pump.kml"
        path.write_text(text)
        return path
    path = folder / "pump.kmz"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("doc.kml", text)
    return path


def table(folder, head="name,longitude,latitude,height (m)", *lines):
    path = folder / "pump.csv"
    path.write_text("\n".join([head, *(lines or [f"pump,{PLACE[0]},{PLACE[1]},301.5"])]))
    return path


@pytest.mark.parametrize(
    "write",
    [
        lambda folder: drawn(folder, (*PLACE, 301.5)),
        lambda folder: drawn(folder, PLACE, height=301.5),
        lambda folder: drawn(folder, PLACE, height="301.5 m"),
        lambda folder: drawn(folder, (*PLACE, 12.0), elevation=301.5),
        lambda folder: drawn(folder, PLACE, height_ft=301.5 / 0.3048),
        lambda folder: gpx(folder, PLACE),
        kml,
        lambda folder: kml(folder, zipped=True),
        table,
    ],
)
def test_a_source_is_read_with_its_height_from_every_kind_of_file(write, tmp_path):
    source = read_water_source(write(tmp_path))

    assert source.name == "pump"
    assert (source.longitude_deg, source.latitude_deg) == pytest.approx(PLACE, abs=1e-9)
    assert source.height_m == pytest.approx(301.5)


def test_a_source_in_the_grid_of_the_brief_is_read(tmp_path):
    x, y = Transformer.from_crs("EPSG:4326", "EPSG:32734", always_xy=True).transform(*PLACE)
    path = table(tmp_path, "name,easting,northing", f"pump,{x},{y}")

    source = read_water_source(path, grid="EPSG:32734")

    assert (source.longitude_deg, source.latitude_deg) == pytest.approx(PLACE, abs=1e-7)
    assert source.height_m is None


@pytest.mark.parametrize(
    ("write", "said"),
    [
        (lambda folder: drawn(folder, PLACE, (19.301, -33.6)), "2 points"),
        (gpx, "0 waypoints"),
        (lambda folder: gpx(folder, PLACE, ele="<ele>high</ele>"), "'high'"),
        (lambda folder: drawn(folder, PLACE, height="about 300"), "about 300"),
        (lambda folder: drawn(folder, PLACE, height=30000), "height of 30000 m"),
        (lambda folder: drawn(folder, (-30.0, -33.0)), "open sea"),
        (lambda folder: table(folder, "latitude,longitude", "-33.6,19.3", "-33.7,19.3"), "2 lines"),
    ],
)
def test_what_is_no_single_source_is_refused(write, said, tmp_path):
    with pytest.raises(InputError) as caught:
        read_water_source(write(tmp_path))

    assert said in str(caught.value)
    assert "pump." in str(caught.value)


def test_a_route_is_one_line(tmp_path):
    line = [[19.300, -33.600], [19.301, -33.6004], [19.302, -33.6003]]
    feature = {
        "type": "Feature",
        "properties": {},
        "geometry": {"type": "LineString", "coordinates": line},
    }
    path = tmp_path / "route.geojson"
    path.write_text(json.dumps(feature))
    two = tmp_path / "two.geojson"
    two.write_text(json.dumps({"type": "FeatureCollection", "features": [feature, feature]}))

    np.testing.assert_allclose(read_water_route(path), line)
    with pytest.raises(InputError, match="along which the mainline runs"):
        read_water_route(two)
