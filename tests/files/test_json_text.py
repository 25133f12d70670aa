"""Our JSON is that of the standard library, letter for letter."""

import json

from hypothesis import given
from hypothesis import strategies as st

from aanplant.files.json_text import indented

_ONE = st.none() | st.booleans() | st.integers() | st.text() | st.floats(
    allow_nan=False, allow_infinity=False
)  # fmt: skip
_PLAIN = st.recursive(
    _ONE, lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner), max_leaves=40
)


@given(_PLAIN)
def test_indented_writes_the_same_letters_as_the_standard_library(value):
    expected = json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1, sort_keys=True)

    assert indented(value) == expected
