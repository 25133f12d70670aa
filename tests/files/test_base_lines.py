"""The line from which contour rows are spaced, drawn or walked, is read or refused."""

import json

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files.base_lines import read_base_line

LINE = [[19.300, -33.600], [19.301, -33.6004], [19.302, -33.6003]]


def drawn(folder, *lines, name="line.geojson"):
    features = [
        {
            "type": "Feature",
            "properties": {},
            "geometry": {"type": "LineString", "coordinates": line},
        }
        for line in lines
    ]
    path = folder / name
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return path


def test_a_drawn_line_is_read_in_its_order(tmp_path):
    np.testing.assert_allclose(read_base_line(drawn(tmp_path, LINE)), LINE)


def test_a_walked_track_is_read(tmp_path):
    points = "".join(f'<trkpt lat="{lat}" lon="{lon}"/>' for lon, lat in LINE)
    path = tmp_path / "line.gpx"
    path.write_text(
        '<?xml version="1.0"?><gpx version="1.1" creator="t" '
        'xmlns="http://www.topografix.com/GPX/1/1">'
        f"<trk><trkseg>{points}</trkseg></trk></gpx>"
    )

    np.testing.assert_allclose(read_base_line(path), LINE)


def test_points_in_a_table_are_taken_in_their_order(tmp_path):
    path = tmp_path / "line.csv"
    path.write_text(
        "longitude,latitude\n" + "".join(f"{lon},{lat}\n" for lon, lat in LINE), encoding="utf-8"
    )

    np.testing.assert_allclose(read_base_line(path), LINE)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ([LINE, [[19.3, -33.61], [19.31, -33.61]]], "2 lines"),
        ([[*LINE, LINE[0]]], "closes upon itself"),
        ([[[19.3, -33.6], [19.302, -33.602], [19.302, -33.6], [19.3, -33.602]]], "crosses itself"),
        ([[LINE[0], LINE[0]]], "0 lines"),
    ],
    ids=["two lines", "closed", "crossing", "one place"],
)
def test_what_is_no_base_line_is_refused(tmp_path, lines, said):
    with pytest.raises(InputError, match=said):
        read_base_line(drawn(tmp_path, *lines))
