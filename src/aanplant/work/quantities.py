"""What to order: each quantity with its waste, rounded up to whole packs."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from aanplant import tables
from aanplant.brief import Brief
from aanplant.inputs import PriceLine
from aanplant.layout import Layout
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.water.emitters import LITRES_PER_HOUR, law_of
from aanplant.work.items import Item
from aanplant.work.spread_lines import Amount
from aanplant.work.trellis_items import trellis_items
from aanplant.work.water_items import water_items
from aanplant.working import Input, Working

COIL_KG = 25.0
"""Wire is sold in coils of 25 kg; prices.csv may give another coil length."""
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the order.

    Parameters
    ----------
    item : str
        Code, as in prices.csv.
    name : str
        What it is, with its size.
    unit : str
        Unit of the quantities: ``each``, ``m``, ``t`` or ``kg``.
    needed : float
        What stands in the field. [unit]
    with_waste : float
        With waste and breakage, or with spares for vines. [unit]
    pack : str
        What it is sold in.
    pack_size : float
        Units in a pack. [unit]
    packs : int
        Whole packs to order.
    kg_per_unit : float
        Mass of one unit where the item is sold by mass, else 0. [kg]
    status : str
        What stands in the way of ordering it, such as "to confirm by an adviser"; "" for
        nothing.
    """

    item: str
    name: str
    unit: str
    needed: float
    with_waste: float
    pack: str
    pack_size: float
    packs: int
    kg_per_unit: float = 0.0
    status: str = ""

    @property
    def order(self) -> float:
        """Quantity ordered, in whole packs. [unit]."""
        return self.packs * self.pack_size


def packs_for(quantity: float, pack_size: float) -> int:
    """Whole packs that hold at least ``quantity``."""
    return math.ceil(quantity / pack_size - _ROUNDING)


def quantities(
    brief: Brief,
    prices: Sequence[PriceLine],
    layout: Layout,
    trellis: Trellis,
    water: Irrigation,
    *,
    vines_to_order: Working,
    amendments: Sequence[Amount] = (),
    rootstock: str = "",
) -> tuple[tuple[OrderLine, ...], tuple[Working, ...]]:
    """Work out every order line and the figures behind it; amendments of the soil come first.

    Returns
    -------
    tuple of OrderLine, tuple of Working
        The lines in the order of the job, and their figures.
    """
    made: list[Working] = []
    lines: list[OrderLine] = []
    last_wire = 0
    packs = {line.item: line for line in prices if line.pack_size is not None}
    soil = [Item(one.item, one.name, one.needed, status=one.status) for one in amendments]
    vine = _vine_name(brief, rootstock)
    for item in (*soil, *_items(brief, layout, trellis, water, vines_to_order, vine, made)):
        line, working = _order_line(item, packs)
        lines.append(line)
        made.append(working)
        if item.family == "wire":
            last_wire = len(lines)
    if trellis.wires:
        made.append(joins := _joins(lines))
        line, working = _order_line(Item("join", "join of two wires", joins), packs)
        lines.insert(last_wire, line)
        made.append(working)
    return tuple(lines), tuple(made)


def _joins(lines: Sequence[OrderLine]) -> Working:
    """Count joins: every coil ends somewhere, and the next goes on there."""
    coils = [line for line in lines if line.kg_per_unit]
    inputs = tuple(
        given
        for line in coils
        for given in (
            Input(line.item, line.order, "m", f"figure:work.order.{line.item}"),
            Input(f"coil_of_{line.item}", line.pack_size, "m", "table:materials.csv"),
        )
    )
    return Working("trellis.wire_joins", sum(line.packs for line in coils), "", inputs, "practice")


def _items(  # noqa: PLR0917 - one argument a stage
    brief: Brief,
    layout: Layout,
    trellis: Trellis,
    water: Irrigation,
    vines_to_order: Working,
    vine: str,
    made: list[Working],
) -> list[Item]:
    by_key = {figure.key: figure for figure in (*layout.figures, *trellis.figures, *water.figures)}
    vines = by_key["layout.vines"]
    materials = brief.materials

    def per_vine(key: str, number: int, *settings: str) -> Working:
        figure = Working(
            key,
            number,
            "",
            (vines.as_input("vines"), *(brief.as_input(setting) for setting in settings)),
            "practice",
        )
        made.append(figure)
        return figure

    count = int(vines.value)
    # A stake at every vine does the work of the peg, and without wires no cordon is tied.
    on_wires = bool(trellis.wires)
    peg = f"steel peg {materials.peg_diameter:g} mm, {materials.peg_length:g} m"
    pegs = per_vine("stock.pegs", count if on_wires else 0, "materials.peg_diameter")
    trunk = min(materials.trunk_ties, materials.ties_per_vine)
    trunk_ties = per_vine("stock.ties_trunk", count * trunk, "materials.trunk_ties")
    cordon_ties = per_vine(
        "stock.ties_cordon",
        count * (materials.ties_per_vine - trunk) if on_wires else 0,
        "materials.ties_per_vine",
        "materials.trunk_ties",
    )
    ties = Working(
        "stock.ties",
        int(trunk_ties.value) + int(cordon_ties.value),
        "",
        (trunk_ties.as_input("trunk"), cordon_ties.as_input("cordon")),
        "arithmetic",
    )
    made.append(ties)
    items = [
        Item("vine", vine, vines, vines_to_order),
        Item("peg", peg, pegs),
        *trellis_items(brief, layout, trellis, made),
        Item("tie", "tie", ties),
    ]
    guards = per_vine("stock.guards", count if materials.guards else 0, "materials.guards")
    items.append(Item("guard", "vine guard", guards))
    laid = by_key.get("water.lateral_length", by_key["water.dripper_line"])
    items.append(Item("dripper-line", _dripper_name(brief), laid))
    if water.system is not None:
        items += water_items(water.system, made)
    return [item for item in items if item.needed.value]


def _vine_name(brief: Brief, rootstock: str) -> str:
    vines = brief.vines
    scion = " ".join(part for part in (vines.cultivar, vines.clone) if part) or "cultivar open"
    return f"grafted vine, {scion} on {rootstock or 'rootstock open'}"


def _dripper_name(brief: Brief) -> str:
    flow_lph = law_of(brief).flow_m3_s / LITRES_PER_HOUR
    return f"dripper line, {flow_lph:.4g} L/h every {brief.water.emitter.spacing:g} m"


def _order_line(item: Item, packs: Mapping[str, PriceLine]) -> tuple[OrderLine, Working]:
    family = item.family or item.code
    row = next(row for row in tables.rows("materials.csv") if row["item"] == family)
    waste = float(row["waste_fraction"])
    needed = float(item.needed.value)
    with_waste = float(item.with_waste.value) if item.with_waste else needed * (1.0 + waste)
    pack_input = _pack_size(item, row, packs)
    pack_size = float(pack_input.value)
    line = OrderLine(
        item=item.code,
        name=item.name,
        unit=row["unit"],
        needed=needed,
        with_waste=with_waste,
        pack=_pack_name(row, pack_size),
        pack_size=pack_size,
        packs=packs_for(with_waste, pack_size),
        kg_per_unit=item.kg_per_unit,
        status=item.status,
    )
    basis = item.with_waste or item.needed
    waste_fraction = 0.0 if item.with_waste else waste
    order = Working(
        f"work.order.{item.code}",
        line.order,
        "" if row["unit"] == "each" else row["unit"],
        (
            basis.as_input("quantity"),
            Input("waste_fraction", waste_fraction, "", "table:materials.csv", row["source"]),
            pack_input,
        ),
        "practice",
        about=item.name,
        message="work.order_line",
    )
    return line, order


def _pack_name(row: Mapping[str, str], pack_size: float) -> str:
    """Name of the pack; what the table sells singly may come in packs by the price list."""
    sold_singly = row["pack"] == row["unit"]
    return "pack" if sold_singly and pack_size != 1.0 else row["pack"]


def _pack_size(item: Item, row: Mapping[str, str], packs: Mapping[str, PriceLine]) -> Input:
    if item.code in packs:
        size = float(packs[item.code].pack_size or 1)
        if item.kg_per_unit and packs[item.code].unit == "kg":
            size = float(max(1, math.floor(size / item.kg_per_unit)))
        return Input("pack_size", size, row["unit"], "file:prices.csv")
    if item.kg_per_unit:
        metres = math.floor(COIL_KG / item.kg_per_unit)
        return Input("pack_size", float(metres), "m", "table:materials.csv", "wire-density")
    return Input(
        "pack_size", float(row["pack_size"]), row["unit"], "table:materials.csv", row["source"]
    )
