"""Tables of soil pits: read right, or refused with one clear message."""

from pathlib import Path

import pytest

from aanplant.errors import InputError
from aanplant.files.pit_columns import COLUMNS, understand
from aanplant.files.pits import read_pits
from aanplant.pits import Pit, PitLayer

EXAMPLE = Path(__file__).parents[2] / "examples/lowquince/blocks/kiepersol/pits.csv"
HEADER = "pit,latitude,longitude,top (cm),bottom (cm)"
PLACE = "-33.598,19.300"


@pytest.fixture
def read(tmp_path):
    def reading(text, *, encoding="utf-8", grid=""):
        path = tmp_path / "pits.csv"
        path.write_bytes(text.encode(encoding))
        return read_pits(path, grid=grid)

    return reading


def one_layer(read, columns, cells):
    return read(f"{HEADER},{columns}\nA,{PLACE},0,30,{cells}")[0].layers[0]


def test_the_pits_of_the_example_are_read_whole():
    pits = read_pits(EXAMPLE)

    assert [pit.name for pit in pits] == ["P1", "P2", "P3", "P4", "P5"]
    assert all(len(pit.layers) == 3 for pit in pits)
    second = pits[1]
    assert (second.limiting_depth_m, second.limiting_kind) == (0.55, "dense clay")
    assert second.is_dry
    assert pits[3].water_table_m == 0.85
    assert not pits[3].is_dry
    layer = second.layers[0]
    assert layer == PitLayer(
        0.0, 0.3, 66.0, 18.0, 16.0, "", 10.0, None, 1.46, 1.4, None, 5.1, "KCl", 0.54, 3.45, 0.80,
        0.10, 0.28 * 391, 18.0, "Bray II", None, 0.35, "ECe", 1300.0, where="pits.csv: line 6",
    )  # fmt: skip
    assert pits[3].layers[2].acidity_cmol_kg is None


def test_what_a_table_does_not_hold_is_unknown(read):
    (pit,) = read(f"{HEADER}\nA,{PLACE},0,30")

    bare = PitLayer(0.0, 0.3, where="pits.csv: line 2")
    assert pit == Pit("A", 19.3, -33.598, (bare,), where="pits.csv: line 2: pit A")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_semicolons_and_decimal_commas_are_understood_in_every_encoding(read, encoding):
    text = "Pit;Latitude;Longitude;Top (cm);Bottom (cm);Clay (%);Sand (%);Resistance (ohm)\n"

    (pit,) = read(f"{text}Één;-33,598;19,300;0;30;12,5;70,5;1\u00a0450", encoding=encoding)

    assert (pit.name, pit.longitude_deg, pit.latitude_deg) == ("Één", 19.3, -33.598)
    layer = pit.layers[0]
    assert (layer.sand_pct, layer.silt_pct, layer.clay_pct) == (70.5, 17.0, 12.5)
    assert layer.resistance_ohm == 1450.0


@pytest.mark.parametrize(
    ("column", "cell", "field", "value"),
    [
        ("Ca (mg/kg)", "400.8", "calcium_cmol_kg", 2.0),
        ("Mg (cmol(+)/kg)", "1.1", "magnesium_cmol_kg", 1.1),
        ("Na (mg/kg)", "229.9", "sodium_cmol_kg", 1.0),
        ("K (cmolc/kg)", "0.5", "potassium_mg_kg", 195.5),
        ("K (mg/kg)", "120", "potassium_mg_kg", 120.0),
        ("bulk density (kg/m3)", "1450", "bulk_density_t_m3", 1.45),
        ("ECe (mS/m)", "150", "conductivity_ds_m", 1.5),
        ("EC 1:5 (dS/m)", "0.2", "conductivity_ds_m", 0.2),
        ("organic carbon (g/kg)", "12", "carbon_pct", 1.2),
        ("stones (% by weight)", "30", "stones_weight_pct", 30.0),
        ("stones (vol %)", "12", "stones_volume_pct", 12.0),
        ("active lime", "8", "active_lime_pct", 8.0),
        ("Fe (mg/kg)", "60", "iron_mg_kg", 60.0),
        ("h+al (cmol/kg)", "1.5", "acidity_cmol_kg", 1.5),
        ("CEC (meq/100 g)", "9", "cec_cmol_kg", 9.0),
        ("SAR", "4", "sodium_adsorption_ratio", 4.0),
        ("buffer pH", "6.4", "buffer_ph", 6.4),
        ("texture", "Sandy-Loam", "texture", "sandy loam"),
        ("texture class", "clay", "texture", "clay"),
        ("clay (%)", "14", "clay_pct", 14.0),
    ],
)
def test_columns_are_found_by_name_and_brought_to_one_unit(read, column, cell, field, value):
    found = getattr(one_layer(read, column, cell), field)

    assert found == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("columns", "cells", "field", "method"),
    [
        ("pH (KCl)", "5.1", "ph_method", "KCl"),
        ("pH H2O", "6.1", "ph_method", "water"),
        ("pH,pH method", "6.1,water", "ph_method", "water"),
        ("pH,pH method", "5.2,CaCl2", "ph_method", "CaCl2"),
        ("pH", "5.2", "ph_method", ""),
        ("pH (water),pH (KCl)", "6.1,5.0", "ph_method", "KCl"),
        ("pH (water),pH (KCl)", "6.1,", "ph_method", "water"),
        ('"P (Bray II, mg/kg)"', "20", "phosphorus_test", "Bray II"),
        ("P Olsen (mg/kg)", "20", "phosphorus_test", "Olsen"),
        ("P (mg/kg),P test", "20,Bray 1", "phosphorus_test", "Bray I"),
        ("P (mg/kg)", "20", "phosphorus_test", ""),
        ("EC (dS/m),EC method", "0.2,1:2.5", "conductivity_method", "EC 1:2.5"),
        ("ECe (dS/m)", "2", "conductivity_method", "ECe"),
        ("buffer pH,buffer method", "6.4,SMP", "buffer_method", "SMP"),
    ],
)
def test_a_number_keeps_its_method(read, columns, cells, field, method):
    assert getattr(one_layer(read, columns, cells), field) == method


def test_ph_in_kcl_goes_before_ph_in_water(read):
    assert one_layer(read, "pH (water),pH (KCl)", "6.1,5.0").ph == 5.0


def test_columns_nobody_knows_are_left_alone(read):
    layer = one_layer(read, "zinc (mg/kg),laboratory,date sampled,n (mg/kg)", "1,x,2026-01-01,3")

    assert layer == PitLayer(0.0, 0.3, where="pits.csv: line 2")


def test_depths_in_millimetres_and_lines_out_of_order_are_put_right(read):
    (pit,) = read(
        f"pit,latitude,longitude,from (mm),to (mm)\nA,,,600,900\nA,{PLACE},0,300\nA,,,300,600"
    )

    assert [(layer.top_m, layer.bottom_m) for layer in pit.layers] == [
        (0.0, 0.3), (0.3, 0.6), (0.6, 0.9)
    ]  # fmt: skip


def test_places_may_be_in_a_stated_grid(read):
    (pit,) = read("pit,y,x,top (cm),bottom (cm)\nA,-27800,3719000,0,30", grid="EPSG:2048")

    assert pit.longitude_deg == pytest.approx(19.3, abs=0.01)
    assert pit.latitude_deg == pytest.approx(-33.6, abs=0.01)


@pytest.mark.parametrize(
    ("columns", "lines", "message"),
    [
        ("", "A,-33.598,19.300,0,30\nA,,,40,60", "a gap in pit A: a layer ends at 0.3 m"),
        ("", "A,-33.598,19.300,0,30\nA,,,20,60", "an overlap in pit A"),
        ("", "A,-33.598,19.300,10,30", "pit A, which begins at 0.1 m"),
        ("", "A,-33.598,19.300,30,0", "a layer from 0.3 to 0 m"),
        ("", "A,-33.598,19.300,0,", "a layer without its depths"),
        ("", "A,,,0,30", "a pit without its place"),
        ("", "A,-33.598,19.300,0,30\nA,-33.599,19.300,30,60", "another place than the pit's"),
        ("", ",-33.598,19.300,0,30", "a layer without its pit"),
        ("", "A,33.598,-40,0,30", "in the open sea"),
        (",sand (%),silt (%),clay (%)", "A,-33.598,19.3,0,30,60,20,30", "that add to 110 %"),
        (",sand (%),silt (%),clay (%)", "A,-33.598,19.3,0,30,60,20,10", "that add to 90 %"),
        (",sand (%),clay (%)", "A,-33.598,19.3,0,30,80,30", "that add to 110 %"),
        (",sand (%)", "A,-33.598,19.3,0,30,60", "sand alone"),
        (",sand (%)", "A,-33.598,19.3,0,30,160", "'160'; expected 0 to 100"),
        (",pH (KCl)", "A,-33.598,19.3,0,30,51", "'51'; expected 2 to 11"),
        (",P (mg/kg)", "A,-33.598,19.3,0,30,<3", "'<3'; expected a plain number"),
        (",resistance (ohm)", 'A,-33.598,19.3,0,30,"1,450"', "expected a plain number"),
        (",pH,pH method", "A,-33.598,19.3,0,30,5,vinegar", "the method 'vinegar'"),
        (",pH (KCl),pH method", "A,-33.598,19.3,0,30,5,water", "the methods KCl and water"),
        (",texture", "A,-33.598,19.3,0,30,sandy lome", "'sandy loam'?"),
        (",limiting layer", "A,-33.598,19.3,0,30,rock", "'rock' without its depth"),
        (",limiting layer", "A,-33.598,19.3,0,30,roks", "'rock'?"),
        (",limiting depth (cm)", "A,-33.598,19.3,0,30,25", "a limiting depth without what"),
        (
            ",limiting layer,limiting depth (cm)",
            "A,-33.598,19.3,0,30,rock,55",
            "a limiting layer at 0.55 m; expected one above the bottom of the pit, 0.3 m",
        ),
        (
            ",limiting layer,limiting depth (cm)",
            "A,-33.598,19.3,0,30,rock,25\nA,,,30,60,sodic,",
            "limiting layer rock and sodic in one pit",
        ),
        ("", "", "a header without layers"),
    ],
)
def test_a_table_that_cannot_be_right_is_refused(read, columns, lines, message):
    with pytest.raises(InputError) as refused:
        read(f"{HEADER}{columns}\n{lines}")

    assert message in str(refused.value)
    assert str(refused.value).startswith("pits.csv")


@pytest.mark.parametrize(
    ("header", "message"),
    [
        ("pit,latitude,longitude,top,bottom", "top (m), top (cm), top (mm)"),
        ("pit,latitude,longitude,top (inch),bottom (inch)", "its unit in brackets"),
        (f"{HEADER},stones (%)", "stones (% by volume)"),
        (f"{HEADER},stones (vol %),stones (% by weight)", "stones by volume or by weight"),
        (f"{HEADER},Ca", "ca (cmol/kg)"),
        (f"{HEADER},Ca (mg/kg),calcium (cmol/kg)", "one of them"),
        (f"{HEADER},resistence (ohm)", "'resistance', if that is meant"),
        (f"{HEADER},pH (milk)", "a method that is known"),
        (f"{HEADER},texture,texture class", "one of them"),
        ("hole,latitude,longitude,top (cm),bottom (cm)", "columns pit, top (cm)"),
        ("pit,top (cm),bottom (cm)", "columns latitude and longitude"),
        ("pit,latitude,longitude,top (cm)", "bottom (cm)"),
    ],
)
def test_a_header_that_could_mean_two_things_is_refused(read, header, message):
    with pytest.raises(InputError) as refused:
        read(f"{header}\nA" + ",1" * header.count(","))

    assert message in str(refused.value)


def test_every_known_column_is_understood_under_all_its_names_and_units():
    for column in COLUMNS:
        for name in column.names:
            for unit, factor in column.units.items():
                header = f"{name} ({unit})" if unit else name
                (found,) = understand([header], "pits.csv")

                assert (found.column.field, found.factor) == (column.field, factor), header
