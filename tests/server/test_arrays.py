import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from aanplant.server.arrays import TYPES, packed
from tests.server.unpacking import unpacked


@given(
    st.dictionaries(
        st.text(min_size=1, max_size=8),
        st.tuples(st.sampled_from(sorted(TYPES)), st.integers(0, 9), st.integers(1, 3)),
        max_size=6,
    ),
    st.text(max_size=40),
)
def test_what_is_packed_comes_out_again(shapes, said):
    arrays = {
        name: np.arange(rows * columns).reshape(rows, columns).astype(kind)
        for name, (kind, rows, columns) in shapes.items()
    }

    about, found = unpacked(packed(arrays, {"said": said}))

    assert about == {"said": said}
    assert found.keys() == arrays.keys()
    for name, array in arrays.items():
        np.testing.assert_array_equal(found[name], array)


def test_an_array_of_a_type_no_reader_knows_is_refused():
    with pytest.raises(TypeError, match="complex128"):
        packed({"z": np.zeros(2, complex)}, {})
