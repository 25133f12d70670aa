"""What is spread on each zone, as the spreader holds it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from aanplant.brief import Brief
from aanplant.errors import InputError
from aanplant.tables import rows
from aanplant.work.product_amounts import lime_product, product_with
from aanplant.work.spread_lines import NEEDS_DRAINAGE, TO_CONFIRM, TO_SPREAD, SpreadLine
from aanplant.work.zone_preparation import ZonePreparation
from aanplant.working import Input, Working


@dataclass(frozen=True, slots=True)
class _Product:
    item: str
    name: str
    unit: str
    how: str


def spread_lines(
    brief: Brief, zones: Sequence[ZonePreparation]
) -> tuple[tuple[SpreadLine, ...], tuple[Working, ...]]:
    """Turn the rates of all zones into products, with the figure of each amount."""
    lines, figures = [], []
    for zone in zones:
        for line, figure in (
            *_lime(brief, zone),
            *_gypsum(brief, zone),
            *_nutrients(brief, zone),
            *_seed(brief, zone),
        ):
            lines.append(line)
            figures.append(figure)
    return tuple(lines), tuple(figures)


def neutralising_value_pct(brief: Brief, kind: str) -> Input:
    """Return the strength of the lime: of the brief, or the middle of its kind in the table."""
    if brief.preparation.lime_neutralising_value is not None:
        return brief.as_input("preparation.lime_neutralising_value", "neutralising_value")
    row = next(row for row in rows("lime_products.csv") if row["product"] == kind)
    low, high = (float(row[f"neutralising_value_{end}_pct"]) for end in ("low", "high"))
    return Input(
        "neutralising_value", (low + high) / 2.0, "%", "table:lime_products.csv", row["source"]
    )


def _line(
    zone: ZonePreparation, product: _Product, amount: float, depth_m: float, **status: str
) -> SpreadLine:
    return SpreadLine(
        number=zone.number,
        zone=zone.zone.name,
        area_ha=zone.zone.area_ha,
        item=product.item,
        product=product.name,
        rate=amount / zone.zone.area_ha,
        rate_unit=f"{product.unit}/ha",
        amount=amount,
        unit=product.unit,
        depth_m=depth_m,
        how=product.how,
        status=status.get("status", TO_SPREAD),
        reasons=status.get("reasons", ""),
    )


def _area(zone: ZonePreparation) -> Input:
    surveyed = zone.number > 0  # 0 is a field whose soil nobody surveyed
    origin = f"figure:site.zone.{zone.number}.area" if surveyed else "measured"
    return Input("area", zone.zone.area_ha, "ha", origin)


def _lime(brief: Brief, zone: ZonePreparation) -> Iterator[tuple[SpreadLine, Working]]:
    if not zone.lime_t_ha:
        return
    rules = brief.preparation
    kind = "dolomitic" if zone.is_dolomitic else "calcitic"
    strength = neutralising_value_pct(brief, kind)
    amount = lime_product(
        zone.lime_t_ha * zone.zone.area_ha,
        float(strength.value),
        rules.lime_fineness,
        rules.lime_moisture,
    )
    product = _Product(
        f"lime-{kind}",
        f"{kind} lime, neutralising value {float(strength.value):g} %",
        "t",
        f"spread before loosening; mixed in: {_shares(zone)}",
    )
    confirmed = not zone.lime_doubts or bool(rules.lime_confirmed_by)
    yield (
        _line(
            zone,
            product,
            amount,
            zone.mix_m,
            status=TO_SPREAD if confirmed else TO_CONFIRM,
            reasons="; ".join(zone.lime_doubts),
        ),
        Working(
            f"work.product.{product.item}.{zone.number}",
            amount,
            "t",
            (
                Input("rate", zone.lime_t_ha, "t/ha", f"figure:work.lime.{zone.number}"),
                _area(zone),
                strength,
                brief.as_input("preparation.lime_fineness", "fineness"),
                brief.as_input("preparation.lime_moisture", "moisture"),
            ),
            "sa-fertiliser-wine",
            about=f"{product.name}, zone {zone.zone.name}",
            message="work.lime_product",
        ),
    )


def _shares(zone: ZonePreparation) -> str:
    """Say how much of the lime each layer is to hold."""
    return ", ".join(
        f"{100.0 * need.rate_t_ha / zone.lime_t_ha:.0f} % in {part.name}"
        for part, need in zone.lime
        if need.rate_t_ha
    )


def _gypsum(brief: Brief, zone: ZonePreparation) -> Iterator[tuple[SpreadLine, Working]]:
    if not zone.gypsum_t_ha:
        return
    rules = brief.preparation
    amount = product_with(
        zone.gypsum_t_ha * zone.zone.area_ha, rules.gypsum_purity, rules.gypsum_moisture
    )
    product = _Product(
        "gypsum",
        f"gypsum, {100.0 * rules.gypsum_purity:g} % pure",
        "t",
        "half mixed in while loosening, half on the surface" if zone.mix_m else "on the surface",
    )
    status = TO_CONFIRM if zone.gypsum_doubts else TO_SPREAD
    yield (
        _line(
            zone,
            product,
            amount,
            zone.mix_m,
            status=status if rules.drainage == "present" else NEEDS_DRAINAGE,
            reasons="; ".join(zone.gypsum_doubts),
        ),
        Working(
            f"work.product.gypsum.{zone.number}",
            amount,
            "t",
            (
                Input("rate", zone.gypsum_t_ha, "t/ha", f"figure:work.gypsum.{zone.number}"),
                _area(zone),
                brief.as_input("preparation.gypsum_purity", "content"),
                brief.as_input("preparation.gypsum_moisture", "moisture"),
            ),
            "arithmetic",
            about=f"gypsum, zone {zone.zone.name}",
            message="work.product",
        ),
    )


def _nutrients(brief: Brief, zone: ZonePreparation) -> Iterator[tuple[SpreadLine, Working]]:
    rules = brief.preparation
    elements: Mapping[str, tuple[float, float, str, str]] = {
        "phosphorus": (
            zone.phosphorus_kg_ha, rules.superphosphate_p, "superphosphate", "superphosphate_p",
        ),
        "potassium": (zone.potassium_kg_ha, rules.potassium_content, "potash", "potassium_content"),
    }  # fmt: skip
    for element, (rate, content, item, setting) in elements.items():
        if not rate:
            continue
        amount = product_with(rate * zone.zone.area_ha, content)
        product = _Product(
            item, f"{item}, {100.0 * content:g} % {element}", "kg", "mixed in while loosening"
        )
        parts = zone.phosphorus if element == "phosphorus" else zone.potassium
        depth_m = max(part.top_m + part.thickness_m for part, _ in parts)
        yield (
            _line(zone, product, amount, depth_m),
            Working(
                f"work.product.{item}.{zone.number}",
                amount,
                "kg",
                (
                    Input("rate", rate, "kg/ha", f"figure:work.{element}.{zone.number}"),
                    _area(zone),
                    brief.as_input(f"preparation.{setting}", "content"),
                    Input("moisture", 0.0, "", "default:dry fertiliser", "practice"),
                ),
                "arithmetic",
                about=f"{product.name}, zone {zone.zone.name}",
                message="work.product",
            ),
        )


def cover_crop(brief: Brief) -> Mapping[str, str] | None:
    """Return the row of the cover crop that was asked for, None when none was.

    Raises
    ------
    InputError
        If the table does not have it.
    """
    asked = brief.preparation.cover_crop
    if not asked:
        return None
    table = {row["crop"]: row for row in rows("cover_crops.csv")}
    if asked.casefold() not in table:
        raise InputError(
            "brief.toml: preparation.cover_crop", repr(asked), f"one of {', '.join(table)}"
        )
    return table[asked.casefold()]


def _seed(brief: Brief, zone: ZonePreparation) -> Iterator[tuple[SpreadLine, Working]]:
    row = cover_crop(brief)
    if row is None or not brief.preparation.cover_crop_share:
        return
    rate = float(row["seed_kg_ha"])
    amount = rate * brief.preparation.cover_crop_share * zone.zone.area_ha
    product = _Product("cover-crop-seed", f"seed of {row['crop']}", "kg", "sown on the surface")
    yield (
        _line(zone, product, amount, 0.0),
        Working(
            f"work.product.cover-crop-seed.{zone.number}",
            amount,
            "kg",
            (
                Input("rate", rate, "kg/ha", "table:cover_crops.csv", row["source"]),
                _area(zone),
                brief.as_input("preparation.cover_crop_share", "share"),
            ),
            row["source"],
            about=f"{product.name}, zone {zone.zone.name}",
            message="work.cover_seed",
        ),
    )
