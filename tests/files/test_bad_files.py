"""Whatever is wrong with a file gives one clear message, and never another exception."""

import io
import json
import random
import stat
import zipfile

import numpy as np
import pytest

from aanplant.errors import InputError
from aanplant.files import archives
from aanplant.files.outlines import read_outline
from aanplant.files.reading import read_text_checked, sha256_of
from tests.files import fields

WRITERS = {
    "field.geojson": fields.write_geojson,
    "field.kml": fields.write_kml,
    "field.kmz": fields.write_kmz,
    "field.gpx": fields.write_gpx,
    "field.gpkg": fields.write_geopackage,
    "field.shp": fields.write_shapefile,
    "field.zip": fields.write_zipped_shapefile,
    "field.dxf": lambda path: fields.write_dxf(path, fields.in_grid("EPSG:2048")),
}
SUFFIXES = [*(name.removeprefix("field") for name in WRITERS), ".csv"]


def refusal(path, grid="EPSG:2048") -> str:
    with pytest.raises(InputError) as caught:
        read_outline(path, grid=grid)
    assert path.name in caught.value.where or caught.value.where == "grid"
    return str(caught.value)


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_missing_file_is_named(suffix, tmp_path):
    assert "no file at" in refusal(tmp_path / f"field{suffix}")


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_folder_is_no_file(suffix, tmp_path):
    (tmp_path / f"field{suffix}").mkdir()

    assert "found a folder" in refusal(tmp_path / f"field{suffix}")


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_an_empty_file_is_refused(suffix, tmp_path):
    path = tmp_path / f"field{suffix}"
    path.write_bytes(b"\n")

    assert "an empty file" in refusal(path)


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_picture_is_no_outline(suffix, tmp_path):
    path = tmp_path / f"field{suffix}"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(range(256)) * 8)

    assert "found" in refusal(path)


def test_an_unknown_ending_lists_the_known_ones(tmp_path):
    path = tmp_path / "field.dwg"
    path.write_bytes(b"AC1032")

    assert ".geojson, .json, .kml" in refusal(path)


def test_a_file_that_is_too_large_is_refused_unread(tmp_path):
    path = tmp_path / "field.geojson"
    with path.open("wb") as file:
        file.truncate(200_000_001)

    assert "a file of 200 MB" in refusal(path)


@pytest.mark.parametrize("name", WRITERS)
def test_a_file_cut_off_anywhere_is_read_or_refused(name, tmp_path, capfd):
    whole = WRITERS[name](tmp_path / name)
    data = whole.read_bytes()
    cuts = random.Random(name).sample(range(1, len(data)), 40)  # noqa: S311 - repeatable cuts

    outcomes = []
    for cut in cuts:
        whole.write_bytes(data[:cut])
        try:
            rings = read_outline(whole, grid="EPSG:2048").rings
        except InputError as error:
            outcomes.append(str(error))
        else:
            assert np.isfinite(rings[0]).all()

    assert outcomes
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("name", WRITERS)
def test_a_file_with_bytes_changed_is_read_or_refused(name, tmp_path, capfd):
    whole = WRITERS[name](tmp_path / name)
    data = whole.read_bytes()
    chance = random.Random(name)  # noqa: S311 - repeatable damage

    for _ in range(40):
        damaged = bytearray(data)
        for _ in range(chance.choice([1, 4, 64])):
            damaged[chance.randrange(len(data))] = chance.randrange(256)
        whole.write_bytes(damaged)
        try:
            assert np.isfinite(read_outline(whole, grid="EPSG:2048").rings[0]).all()
        except InputError as error:
            assert str(error)  # noqa: PT017 - both outcomes are right, any other is not

    assert capfd.readouterr() == ("", "")


# --- text ---------------------------------------------------------------------------------


def geojson(tmp_path, text):
    path = tmp_path / "field.geojson"
    path.write_text(text)
    return path


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"type": "Polygon", "coordinates": [[[18.8, NaN]]]}', "NaN stands where a number"),
        ('{"type": "Point", "coordinates": [1e999, -33.9]}', "no finite number"),
        ('{"type": "Polygon", "coordinates": [[[18.8, -33.9], [18.9, -33.9]]]}', "make no shape"),
        ('{"type": "Polygon", "coordinates": "here"}', "make no shape"),
        ('{"type": "Polygon"}', "make no shape"),
        ('{"type": "FeatureCollection"}', "without features"),
        ('{"type": "FeatureCollection", "features": []}', "no shape"),
        ('{"type": "Feature", "geometry": null, "properties": null}', "no shape"),
        ('{"type": "Polygon", "coordinates": []}', "no shape"),
        ('{"type": "Topology"}', "JSON of type 'Topology'"),
        ("[1, 2]", "no GeoJSON object"),
        ("boundary = 1", "damaged or cut off"),
        ("[" * 100_000, "damaged or cut off"),
        ('{"type": "Point", "coordinates": [18.8, -33.9], "crs": {"type": "name"}}', "crs member"),
        (
            '{"type": "Point", "crs": {"properties": {"name": "EPSG:9"}}, "coordinates": [1, 2]}',
            "not known",
        ),
    ],
)
def test_bad_geojson_is_refused(text, said, tmp_path):
    assert said in refusal(geojson(tmp_path, text))


def test_latitude_before_longitude_is_noticed_beyond_ninety_degrees(tmp_path):
    swapped = [[-34.5 - k % 2, 138.5 + k // 2] for k in (0, 1, 3, 2, 0)]
    path = geojson(tmp_path, json.dumps({"type": "Polygon", "coordinates": [swapped]}))

    assert "the two seem swapped" in refusal(path, grid="")


def test_latitude_before_longitude_is_noticed_by_the_stated_grid(tmp_path):
    swapped = [[y, x] for x, y in fields.RING]
    path = geojson(tmp_path, json.dumps({"type": "Polygon", "coordinates": [swapped]}))

    assert "the two seem to be swapped" in refusal(path)


@pytest.mark.parametrize("suffix", [".geojson", ".kml"])
def test_latitude_before_longitude_is_noticed_in_the_open_sea(suffix, tmp_path):
    path = tmp_path / f"field{suffix}"
    swapped = [[y, x] for x, y in fields.RING]
    if suffix == ".kml":
        marks = " ".join(f"{x},{y}" for x, y in swapped)
        line = f"<Placemark><LineString><coordinates>{marks}</coordinates></LineString></Placemark>"
        path.write_text(fields.kml_text(body=line))
    else:
        path.write_text(json.dumps({"type": "Polygon", "coordinates": [swapped]}))

    said = refusal(path, grid="")

    assert "latitude 18.86" in said
    assert "in the open sea" in said
    assert "the two seem to be swapped" in said


def test_metres_in_geojson_are_noticed(tmp_path):
    ring = fields.in_grid("EPSG:32734").tolist()
    path = geojson(tmp_path, json.dumps({"type": "Polygon", "coordinates": [[*ring, ring[0]]]}))

    assert "these look like metres" in refusal(path)


def test_the_point_where_both_degrees_are_zero_is_no_field(tmp_path):
    ring = [[0, 0], [0.001, 0], [0.001, 0.001], [0, 0]]
    path = geojson(tmp_path, json.dumps({"type": "Polygon", "coordinates": [ring]}))

    assert "point 1 at latitude 0, longitude 0" in refusal(path, grid="")


ENTITIES = '<!DOCTYPE kml [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE kml [<!ENTITY a SYSTEM "file:///etc/passwd">]>'


@pytest.mark.parametrize("declaration", [ENTITIES, OUTSIDE])
@pytest.mark.parametrize("suffix", [".kml", ".gpx", ".kmz"])
def test_xml_with_entities_is_refused(suffix, declaration, tmp_path):
    path = tmp_path / f"field{suffix}"
    text = fields.kml_text(declaration=declaration, body="<Placemark><name>&a;</name></Placemark>")
    if suffix == ".kmz":
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("doc.kml", text)
    else:
        path.write_text(text)

    assert "declares entities" in refusal(path)


SHORT_RING = (
    "<Placemark><Polygon><outerBoundaryIs><LinearRing><coordinates>18,-33 19,-33"
    "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>"
)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("<Placemark><Point><coordinates>east,north</coordinates></Point></Placemark>", "'east'"),
        ("<Placemark><Point><coordinates>18.8</coordinates></Point></Placemark>", "'18.8'"),
        ("<Placemark><Point><coordinates>nan,nan</coordinates></Point></Placemark>", "no finite"),
        ("<Placemark><Polygon/></Placemark>", "0 outer rings"),
        (SHORT_RING, "make no shape"),
        ("<Placemark><name>only a name</name></Placemark>", "no shape"),
        ("<Folder>" * 60 + "</Folder>" * 60, "deep"),
    ],
)
def test_bad_kml_is_refused(body, said, tmp_path):
    path = tmp_path / "field.kml"
    path.write_text(fields.kml_text(body=body))

    assert said in refusal(path)


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ('<wpt lat="x" lon="18.8"/>', "the coordinate 'x'"),
        ('<wpt lon="18.8"/>', "the coordinate None"),
        ('<wpt lat="nan" lon="18.8"/>', "finite coordinates"),
        ('<wpt lat="118" lon="18.8"/>', "latitude 118"),
        ("", "no track, route or waypoint"),
    ],
)
def test_bad_gpx_is_refused(points, said, tmp_path):
    path = tmp_path / "field.gpx"
    path.write_text(f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">{points}</gpx>')

    assert said in refusal(path)


def test_a_shapefile_without_its_index_says_which_files_belong_together(tmp_path):
    path = fields.write_shapefile(tmp_path / "field.shp")
    path.with_suffix(".shx").unlink()

    assert "a shapefile without its .shx" in refusal(path)


def test_a_drawing_of_open_lines_and_nothing_else_is_several_lines(tmp_path):
    from ezdxf.filemanagement import new

    drawing = new("R2000")
    for k in range(2):
        drawing.modelspace().add_lwpolyline([(k, 0), (k, 5)])
    drawing.saveas(tmp_path / "field.dxf")

    assert "2 lines: 0, 0" in refusal(tmp_path / "field.dxf")


@pytest.mark.parametrize("grid", ["EPSG:2052", "EPSG:2193"])
def test_a_drawing_in_the_wrong_grid_is_refused_with_the_place(grid, tmp_path):
    path = fields.write_dxf(tmp_path / "field.dxf", fields.in_grid("EPSG:32734"))

    said = refusal(path, grid=grid)

    assert f"in {grid}" in said or f"{grid} puts at latitude" in said
    assert "is it the right grid" in said


@pytest.mark.parametrize("grid", ["EPSG:1", "Lo19", "EPSG:5773"])
def test_an_unknown_grid_is_refused(grid, tmp_path):
    path = fields.write_dxf(tmp_path / "field.dxf", fields.in_grid("EPSG:2048"))

    assert "a grid by its EPSG code" in refusal(path, grid=grid)


# --- archives -----------------------------------------------------------------------------


def archive_of(**members: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return stream.getvalue()


def unpack_refusal(data, tmp_path) -> str:
    with pytest.raises(InputError) as caught:
        archives.unpack(data, tmp_path, "farm.zip")
    return str(caught.value)


@pytest.mark.parametrize("name", ["../out.shp", "/etc/out.shp", "a/../../out.shp", "C:\\out.shp"])
def test_an_archive_may_not_write_outside_its_folder(name, tmp_path):
    inside = tmp_path / "inside"
    inside.mkdir()

    assert "names that stay inside" in unpack_refusal(archive_of(**{name: b"x"}), inside)
    assert list(tmp_path.rglob("*")) == [inside]


def test_an_archive_packed_a_thousand_times_smaller_is_refused(tmp_path):
    bomb = archive_of(**{"field.shp": bytes(20_000_000)})

    assert "made to fill the disk" in unpack_refusal(bomb, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_an_archive_larger_than_the_cap_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(archives, "LARGEST_UNPACKED_BYTES", 1_000)

    assert "once unpacked" in unpack_refusal(archive_of(**{"a.shp": bytes(2_000)}), tmp_path)


def test_an_archive_that_lies_about_its_size_is_refused(tmp_path):
    data = bytearray(archive_of(**{"a.shp": bytes(range(256)) * 40}))
    entry = data.rindex(b"PK\x01\x02")
    data[entry + 24 : entry + 28] = (100).to_bytes(4, "little")

    assert "zip archive" in unpack_refusal(bytes(data), tmp_path)


def test_an_archive_with_a_nameless_file_is_refused(tmp_path):
    data = archive_of(**{"a.shp": b"x"})

    assert "zip archive" in unpack_refusal(data.replace(b"a.shp", b"\0.shp"), tmp_path)


def test_an_archive_of_very_many_files_is_refused(tmp_path):
    data = archive_of(**{f"{k}.txt": b"x" for k in range(1_001)})

    assert "1001 files" in unpack_refusal(data, tmp_path)


def test_a_link_in_an_archive_is_refused(tmp_path):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        link = zipfile.ZipInfo("field.shp")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")

    assert "a link" in unpack_refusal(stream.getvalue(), tmp_path)


def test_an_archive_with_a_password_is_refused(tmp_path):
    data = bytearray(archive_of(**{"a.shp": b"content"}))
    data[data.index(b"PK\x03\x04") + 6] |= 1
    data[data.rindex(b"PK\x01\x02") + 8] |= 1

    assert "a password" in unpack_refusal(bytes(data), tmp_path)


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({"readme.txt": b"x"}, "0 drawings in the archive"),
        ({"a.geojson": b"{}", "b.kml": b"x"}, r"2 drawings in the archive (a.geojson, b.kml)"),
        ({}, "an empty zip archive"),
        ({"a.geojson": b"{}"}, "JSON of type None"),
    ],
)
def test_an_archive_holds_exactly_one_drawing(members, said, tmp_path):
    path = tmp_path / "farm.zip"
    path.write_bytes(archive_of(**members))

    assert said in refusal(path)


# --- plain reading ------------------------------------------------------------------------


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_text_is_read_in_the_encodings_programs_write(encoding, tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text("Môreson\n", encoding=encoding)

    assert read_text_checked(path) == "Môreson\n"


def test_the_digest_of_a_file_is_the_published_one(tmp_path):
    # NIST FIPS 180-2, example B.1: the SHA-256 of "abc".
    path = tmp_path / "abc.txt"
    path.write_bytes(b"abc")

    assert sha256_of(path) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
