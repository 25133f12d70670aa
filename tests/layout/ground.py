"""Fields for the tests of the layout, and a slow, plain way to fill them."""

import numpy as np
import shapely
from hypothesis import strategies as st
from shapely.geometry import Polygon


def around(radii, *, centre=(0.0, 0.0), turn_deg=0.0):
    """Star-shaped ring with a corner at every radius."""
    angle = np.radians(turn_deg) + np.linspace(0.0, 2.0 * np.pi, len(radii), endpoint=False)
    return np.stack([centre[0] + radii * np.cos(angle), centre[1] + radii * np.sin(angle)], axis=1)


@st.composite
def fields(draw, *, largest_m=150.0, holes=True):
    """Irregular, mostly concave fields, some with a hole."""
    size = draw(st.floats(40.0, largest_m))
    shares = draw(st.lists(st.floats(0.4, 1.0), min_size=5, max_size=20))
    field = Polygon(around(size * np.array(shares), turn_deg=draw(st.floats(0.0, 90.0))))
    if holes and draw(st.booleans()):
        shares = draw(st.lists(st.floats(0.05, 0.2), min_size=4, max_size=8))
        return field.difference(Polygon(around(size * np.array(shares))))
    return field


bearings = st.floats(0.0, 180.0, exclude_max=True)


def unit_vectors(bearing_deg):
    """Along and across the rows, from the definition of a bearing."""
    angle = np.radians(bearing_deg)
    along = np.array([np.sin(angle), np.cos(angle)])
    return along, np.array([along[1], -along[0]])


def grid_points(field, bearing_deg, row_width_m, vine_spacing_m, offset_m):
    """All lattice points of a field's surroundings, shape (n, 2)."""
    along, across = unit_vectors(bearing_deg)
    corners = shapely.get_coordinates(field)
    s, t = corners @ along, corners @ across
    j = np.arange(np.floor(t.min() / row_width_m) - 1, np.ceil(t.max() / row_width_m) + 2)
    i = np.arange(np.floor(s.min() / vine_spacing_m) - 1, np.ceil(s.max() / vine_spacing_m) + 2)
    t, s = np.meshgrid(offset_m + j * row_width_m, i * vine_spacing_m, indexing="ij")
    return t.reshape(-1, 1) * across + s.reshape(-1, 1) * along


def in_order(xy):
    """Points sorted so that two sets can be set side by side."""
    return xy[np.lexsort(np.round(xy, 4).T)]


def scaled(geometry, bearing_deg, headland_m, margin_m):
    """Row frame in which the ellipse of headland and margin is the unit circle."""
    along, across = unit_vectors(bearing_deg)
    return shapely.transform(
        geometry, lambda xy: np.stack([xy @ across / margin_m, xy @ along / headland_m], axis=1)
    )
