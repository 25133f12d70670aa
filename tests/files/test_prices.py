"""The price list: exact decimals in, clear refusals out."""

from decimal import Decimal

import pytest

from aanplant.errors import InputError
from aanplant.files.prices import read_prices
from aanplant.inputs import PriceLine

HEADER = "item,unit,price,pack size,note\n"


def prices(tmp_path, text):
    path = tmp_path / "prices.csv"
    path.write_text(text, encoding="utf-8")
    return read_prices(path)


def test_prices_are_exact_decimals_in_the_order_of_the_file(tmp_path):
    text = (
        f"# invented prices\n{HEADER}vine,each,24.10,25,grafted\n\nwire,m,0.1,,\npeg,each,,100,\n"
    )

    assert prices(tmp_path, text) == (
        PriceLine("vine", "each", Decimal("24.10"), Decimal(25), "grafted"),
        PriceLine("wire", "m", Decimal("0.1"), None, ""),
        PriceLine("peg", "each", None, Decimal(100), ""),
    )


def test_semicolons_and_decimal_commas_are_understood(tmp_path):
    text = "\ufeffItem;Unit;Price;Pack_size\nwire;m;1 234,50;\n"

    assert prices(tmp_path, text)[0].price == Decimal("1234.50")


def test_the_pack_size_and_note_may_be_left_out(tmp_path):
    assert prices(tmp_path, "item,unit,price\nwire,m,1\n") == (
        PriceLine("wire", "m", Decimal(1), None),
    )


def test_the_supplier_and_the_lead_time_are_read_where_they_stand(tmp_path):
    text = "item,unit,price,supplier,lead time\nwire,m,1,Invented Wire,6.5\npeg,each,2,,\n"

    assert prices(tmp_path, text) == (
        PriceLine("wire", "m", Decimal(1), None, "", "Invented Wire", 6.5),
        PriceLine("peg", "each", Decimal(2), None),
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("item,unit,price,lead time\nwire,m,1,soon\n", "line 2: lead time: found 'soon'"),
        ("item,unit,price,lead time\nwire,m,1,-1\n", "found '-1'; expected weeks, from 0"),
        ("item,unit,price,lead time\nwire,m,1,261\n", "expected weeks, from 0 to 260"),
        (f"{HEADER}wire,m,R 12.50,,\n", "prices.csv: line 2: price: found 'R 12.50'"),
        (f"{HEADER}wire,m,-1,,\n", "line 2: price: found '-1'; expected a number from 0"),
        (f"{HEADER}wire,m,NaN,,\n", "line 2: price: found 'NaN'"),
        (f"{HEADER}wire,m,Infinity,,\n", "line 2: price: found 'Infinity'"),
        (f"{HEADER}wire,m,1e99,,\n", "from 0 to 1e+12"),
        (f"{HEADER}wire,m,1,0,\n", "a pack size of 0"),
        (f"{HEADER}wire,m,1,many,\n", "pack size: found 'many'"),
        (
            f"# x\n{HEADER}wire,m,1,,\n\nWire,m,2,,\n",
            "line 5: found 'Wire' again, as in prices.csv: line 3",
        ),
        (f"{HEADER},m,1,,\n", "no item"),
        (f"{HEADER}wire,,1,,\n", "no unit for 'wire'"),
        ("item,unit,prise\nwire,m,1\n", "the column 'prise'; expected 'price'?"),
        ("item,price\nwire,1\n", "no column 'unit'"),
        (f"{HEADER}wire,m,1\n", "3 cells under 5 columns"),
        ("", "an empty file"),
        (f"{HEADER}wire,m,1\0,,\n", "binary data"),
    ],
)
def test_a_bad_price_list_is_refused_with_its_line(text, said, tmp_path):
    with pytest.raises(InputError) as caught:
        prices(tmp_path, text)

    assert said in str(caught.value)
