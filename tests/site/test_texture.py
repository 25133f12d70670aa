"""Texture classes: the rules against the outlines, and both against counted points."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import contains_xy
from shapely.geometry import Point, Polygon

from aanplant.site.texture import CLASSES, middles, outlines, texture_class, texture_classes

AREAS = {
    "sand": 75.0,
    "loamy sand": 150.0,
    "sandy loam": 573.5,
    "loam": 355.5,
    "silt loam": 817.5,
    "silt": 168.0,
    "sandy clay loam": 388.0,
    "clay loam": 325.0,
    "silty clay loam": 260.0,
    "sandy clay": 200.0,
    "silty clay": 200.0,
    "clay": 1487.5,
}
WHOLE_NUMBERS = {
    "sand": 85,
    "loamy sand": 155,
    "sandy loam": 565,
    "loam": 349,
    "silt loam": 840,
    "silt": 186,
    "sandy clay loam": 392,
    "clay loam": 325,
    "silty clay loam": 273,
    "sandy clay": 210,
    "silty clay": 231,
    "clay": 1540,
}
TRIANGLE = Polygon([(0, 0), (100, 0), (0, 100)])


@pytest.mark.published(
    source="USDA texture triangle, corners as pedotri 0.4.1 holds them, areas by the corners",
    quantity="area of a texture class on the triangle of sand and clay",
    unit="%2",
)
@pytest.mark.parametrize("name", CLASSES)
def test_the_outline_of_every_class_has_its_area(published, name):
    published.equal(outlines()[name].area, printed=AREAS[name], tolerance=1e-9, label=name)


@pytest.mark.published(
    source="USDA texture rules (Handbook 18), the 5 151 soils of whole percentages counted by a "
    "separate script",
    quantity="soils of whole percentages in a texture class",
    unit="",
)
@pytest.mark.parametrize("name", CLASSES)
def test_the_rules_put_as_many_whole_percentages_in_every_class(published, name):
    sand, clay = (values.ravel() for values in np.meshgrid(np.arange(101), np.arange(101)))
    inside = sand + clay <= 100

    classes = texture_classes(sand[inside], clay[inside])

    assert len(classes) == 5151
    published.equal((classes == name).sum(), printed=WHOLE_NUMBERS[name], tolerance=0, label=name)


def test_the_outlines_fill_the_triangle_without_overlap():
    shapes = list(outlines().values())

    assert sum(shape.area for shape in shapes) == pytest.approx(TRIANGLE.area, abs=1e-9)
    for number, shape in enumerate(shapes):
        for other in shapes[number + 1 :]:
            assert shape.intersection(other).area == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0, 100), st.floats(0, 100))
def test_the_class_by_rules_is_the_class_by_outline(sand, clay):
    assume(sand + clay <= 100)
    point = Point(sand, clay)
    # On a border the rules decide; a last bit may fall on either side of it.
    assume(all(shape.exterior.distance(point) > 1e-6 for shape in outlines().values()))

    by_outline = [name for name, shape in outlines().items() if contains_xy(shape, sand, clay)]

    assert by_outline == [texture_class(sand, clay)]


def test_the_soil_that_stands_for_a_class_is_of_that_class():
    assert {name: texture_class(*middle) for name, middle in middles().items()} == {
        name: name for name in CLASSES
    }


@pytest.mark.parametrize(("sand", "clay"), [(60, 50), (-1, 20), (20, -1), (float("nan"), 10)])
def test_what_is_no_share_of_a_whole_is_refused(sand, clay):
    with pytest.raises(ValueError, match="shares"):
        texture_class(sand, clay)
