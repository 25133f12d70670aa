"""set-out.dxf, opened again by the library's checker and by another one."""

import numpy as np
import pytest
from ezdxf.filemanagement import readfile
from ezdxf.tools.text import plain_text
from pyogrio import read_dataframe

from aanplant.files.drawing import LAYERS, write_drawing
from tests.files.plans import GRIDS, HOSTILE_BLOCK, MILLIMETRE, apart_m, planned, to_lonlat


@pytest.fixture
def path(tmp_path):
    return tmp_path / "set-out.dxf"


def in_grid(plan, drawn):
    """Coordinates of the grid; drawings of Lo grids hold them with both signs changed."""
    return -np.asarray(drawn) if plan.site.grid.is_south_orientated else np.asarray(drawn)


@pytest.mark.parametrize("grid", GRIDS)
def test_another_library_finds_every_vine_in_its_place(path, grid):
    plan = planned(grid)

    write_drawing(plan, path)

    drawn = read_dataframe(path, columns=["Layer"])
    vines = drawn[drawn["Layer"] == "VINES"].geometry
    places = to_lonlat(plan, in_grid(plan, np.column_stack([vines.x, vines.y])))
    assert apart_m(plan, places, plan.layout.positions.xy) < MILLIMETRE


@pytest.mark.parametrize("grid", GRIDS)
def test_east_is_right_and_north_is_up(path, grid):
    plan = planned(grid)

    write_drawing(plan, path)

    drawn = read_dataframe(path, columns=["Layer"])
    vines = drawn[drawn["Layer"] == "VINES"].geometry
    for axis, coordinate in enumerate((vines.x, vines.y)):
        assert np.corrcoef(coordinate, plan.layout.positions.xy[:, axis])[0, 1] > 0.99


def test_the_checker_finds_no_error_and_the_units_are_metres(path):
    write_drawing(planned(), path)

    drawing = readfile(path)
    auditor = drawing.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert drawing.header["$INSUNITS"] == 6
    assert {layer.dxf.name for layer in drawing.layers} >= set(LAYERS)


def test_each_layer_holds_what_it_is_named_for(path):
    plan = planned()
    positions = plan.layout.positions

    write_drawing(plan, path)

    groups = readfile(path).modelspace().groupby(dxfattrib="layer")
    counts = {layer: len(entities) for layer, entities in groups.items()}
    assert counts["VINES"] == len(positions)
    assert counts["POSTS"] == len(positions.end_posts_xy) + len(positions.line_posts_xy)
    assert counts["ANCHORS"] == len(plan.layout.anchors_xy)
    assert counts["ROWS"] == len(positions.end_posts_xy) // 2
    assert (counts["BOUNDARY"], counts["EXCLUSIONS"]) == (1, 3)


def test_a_note_says_which_grid_it_is_and_that_its_signs_are_changed(path):
    write_drawing(planned("EPSG:2048"), path)

    texts = [text.dxf.text for text in readfile(path).modelspace().query("TEXT")]
    note = next(text for text in texts if "EPSG:2048" in text)
    assert "Hartebeesthoek94 / Lo19" in note
    assert "x = -Y" in note
    assert "y = -X" in note


def test_names_are_shown_as_they_are_though_they_hold_the_drawing_s_own_commands(path):
    write_drawing(planned(), path)

    texts = {plain_text(text.dxf.text) for text in readfile(path).modelspace().query("TEXT")}
    assert f"=1+1, {HOSTILE_BLOCK}" in texts
    assert '@SUM(A1) <i> dam  ê "' in texts
