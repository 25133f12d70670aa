"""The soil preparation of the example, reckoned again from its pits without our functions."""

import csv
import math
from pathlib import Path

import pytest

from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.work.drains import drain_spacing_m

EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince" / "blocks" / "kiepersol"
METALS = ("Ca", "Mg", "K", "Na")


@pytest.fixture(scope="module")
def figures():
    block = open_block(EXAMPLE)
    return make_plan(block.brief, read_inputs(block)).figures


def layers_of_pits():
    lines = (EXAMPLE / "pits.csv").read_text(encoding="utf-8").splitlines()
    pits: dict[str, list[dict[str, float]]] = {}
    for row in csv.DictReader(line for line in lines if not line.startswith("#")):
        cells = {name: float(text) for name, text in row.items() if text[:1].isdigit()}
        acid = cells.get("acidity (cmol(+)/kg)", 0.0)
        ions = [cells[f"{metal} (cmol(+)/kg)"] for metal in METALS]
        about = {"acid": acid, **dict(zip(METALS, ions, strict=True))}
        about["rock"] = float(row["limiting layer"] == "rock")
        about["ESP"] = 100.0 * cells["Na (cmol(+)/kg)"] / (sum(ions) + acid)
        pits.setdefault(row["pit"], []).append(cells | about)
    return pits


def depth_of(layers):
    """Goal 0.9 m; to the bottom of the pit or rock, 0.1 m above sodic layers and water. [m]"""
    holds = [0.9, layers[-1]["bottom (cm)"] / 100]
    holds += [layers[0]["limiting depth (cm)"] / 100 for one in layers[:1] if one["rock"]]
    holds += [one["top (cm)"] / 100 - 0.1 for one in layers if one["ESP"] > 10]
    holds += [one["water table (cm)"] / 100 - 0.1 for one in layers if "water table (cm)" in one]
    return min(holds)


def needs_of(layers):
    """Lime and gypsum [t/ha], phosphorus and potassium [kg/ha] of a pit."""
    worked_m = depth_of(layers)
    lime = gypsum = phosphorus = potassium = 0.0
    for one in layers:
        top, bottom = one["top (cm)"] / 100, one["bottom (cm)"] / 100
        earth = 1 - one["stones (% by volume)"] / 100
        matter, clay = one["organic matter (%)"], one["clay (%)"]
        humus = 1.0 if matter <= 1 else 0.8 if matter <= 2 else 0.6
        mixed = max(0.0, min(bottom, worked_m) - top)
        if one["pH (KCl)"] < 5.5:
            bases = one["Ca"] + min(one["Mg"], one["Ca"] / 4)
            acid = max(0.0, 10 * one["acid"] - bases)
            lime += acid * 0.727 * mixed / 0.3 * humus * earth
        if one["ESP"] > 10:
            gypsum += 3.4 * one["Na"] * max(0.0, min(bottom, 0.9) - top) / 0.3 * earth
        kg = max(0.0, min(bottom, 0.6, worked_m) - top) * one["bulk density (t/m3)"] * 10 * earth
        sandy = clay <= 15
        phosphorus += max(0.0, (30 if sandy else 35) - one["P Bray II (mg/kg)"]) * kg
        potassium += max(0.0, (80 if sandy else 100) - 391 * one["K"]) * kg
    return {
        "lime": lime, "gypsum": min(gypsum, 10 * 0.9 * 0.75),
        "phosphorus": phosphorus, "potassium": potassium,
    }  # fmt: skip


@pytest.mark.parametrize("number", [1, 2, 3, 4, 5])
def test_depth_lime_gypsum_and_fertiliser_of_the_example_agree_with_an_account_by_hand(
    figures, number
):
    layers = layers_of_pits()[f"P{number}"]
    needs = needs_of(layers)

    assert figures.value(f"work.loosening_depth.{number}") == pytest.approx(depth_of(layers))
    for name, ours in needs.items():
        key = f"work.{name}.{number}"
        told = figures.value(key) if key in figures else 0.0
        assert told == pytest.approx(ours, rel=1e-4), key


def test_products_of_the_example_add_up_by_hand(figures):
    needs = {n: needs_of(layers) for n, layers in enumerate(layers_of_pits().values(), start=1)}
    area = {n: figures.value(f"site.zone.{n}.area") for n in needs}

    def in_all(name):
        return sum(needs[n][name] * area[n] for n in needs)

    assert figures.value("work.amount.gypsum") == pytest.approx(in_all("gypsum") / 0.9 / 0.75)
    assert figures.value("work.amount.superphosphate") == pytest.approx(
        in_all("phosphorus") / 0.105
    )
    assert figures.value("work.amount.potash") == pytest.approx(in_all("potassium") / 0.415)
    # Calcitic lime, neutralising value 67.5 (50 to 85 are printed), 95 % fine enough.
    assert figures.value("work.amount.lime-calcitic") == pytest.approx(
        in_all("lime") / 0.675 / 0.95, rel=1e-4
    )


@pytest.mark.published(
    source="Hooghoudt's formula (1940) with the series of van der Molen and Wesseling (1991), "
    "summed term by term, by arithmetic",
    quantity="spacing of pipe drains",
    unit="m",
)
def test_drain_spacing_by_the_whole_series(published):
    def by_series(conductivity, discharge, head, below, radius):
        spacing = 20.0
        for _ in range(300):
            x = 2 * math.pi * below / spacing
            series = sum(
                4 * math.exp(-2 * n * x) / (n * (1 - math.exp(-2 * n * x)))
                for n in range(1, 2001, 2)
            )
            flow = math.log(spacing / (math.pi * radius)) + series
            depth = min(below, math.pi * spacing / 8 / flow)
            carried = 8 * conductivity * depth * head + 4 * conductivity * head**2
            spacing = math.sqrt(carried / discharge)
        return spacing

    for case, printed in (
        ((0.5, 0.005, 0.5, 1.5, 0.05), 23.18),
        ((0.25, 0.005, 0.5, 1.5, 0.05), 15.60),
        ((1.0, 0.005, 0.5, 1.5, 0.05), 34.02),
        ((0.8, 0.004, 0.6, 2.0, 0.05), 41.89),
    ):
        assert by_series(*case) == pytest.approx(printed, abs=0.005)
        published.equal(drain_spacing_m(*case), printed=printed, tolerance=0.005, label=f"{case}")
