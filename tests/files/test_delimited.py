"""Tables in text: one decimal mark a file, and no number that could be read in two ways."""

import pytest

from aanplant.errors import InputError
from aanplant.files.delimited import plain_number, table_in


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("pit;pH;ohm\nA;4,9;1.450\nB;5,1;900\n", r"line 2: .*'1\.450'.*decimal commas"),
        ("pit;pH;ohm\nA;4.9;1200\nB;5.1;1,450\n", r"line 3: .*'1,450'.*decimal points"),
        ("pit;pH;ohm\nA;4,9;1.450\n", "may set thousands apart"),
        ("pit\tpH\tohm\nA\t4,9\t1.450\nB\t5,1\t900\n", "may set thousands apart"),
    ],
)
def test_thousands_that_may_be_decimals_are_refused(text, told):
    with pytest.raises(InputError, match=told):
        table_in(text, "pits.csv")


@pytest.mark.parametrize(
    ("cell", "number"), [("4,9", "4.9"), ("1 450", "1450"), ("1\u202f450,5", "1450.5"), ("7", "7")]
)
def test_one_decimal_mark_is_read_right(cell, number):
    table = table_in(f"pit;ohm\nA;{cell}\nB;2,5\n", "pits.csv")

    assert plain_number(table.lines[0].cells["ohm"], "", separator=";") == number
