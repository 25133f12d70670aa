"""The work on a block as far as it is known: what to order and what it costs."""

from dataclasses import dataclass
from decimal import Decimal

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.stock.rootstocks import rootstocks
from aanplant.trellis import Trellis
from aanplant.water import Irrigation
from aanplant.work.cost_lines import CostLine, cost_lines
from aanplant.work.delivery_samples import DeliverySamples, sample_deliveries
from aanplant.work.nursery_order import NurseryOrder, order_vines
from aanplant.work.post_comparison import PostComparison, compare_line_posts, post_advice
from aanplant.work.quantities import OrderLine, quantities
from aanplant.work.soil_preparation import SoilPreparation, prepare_soil
from aanplant.work.spares import Spares, plan_spares
from aanplant.working import Finding, Input, Working

KEYS_AHEAD = (
    "posts",
    "ends",
    "trellis.canopy_weight",
)
"""Kept in the plan for a stage to come."""


@dataclass(frozen=True)
class Programme:
    """What to order and what it costs.

    Parameters
    ----------
    orders : tuple of OrderLine
        In the order of the job.
    costs : tuple of CostLine
        Those that have a price.
    unpriced : tuple of str
        Items without one.
    currency : str
        ISO 4217 code, "" when not known.
    soil : SoilPreparation
        How the soil is prepared.
    nursery : NurseryOrder
        The order of the vines, and how they are planted.
    spares : Spares
        Vines to order and to hold back.
    samples : DeliverySamples
        How each delivery is looked over.
    posts : PostComparison or None
        Spacing of line posts against their size; None where none stand.
    figures, findings
        What the stage has to say.
    """

    orders: tuple[OrderLine, ...]
    costs: tuple[CostLine, ...]
    unpriced: tuple[str, ...]
    currency: str
    soil: SoilPreparation
    nursery: NurseryOrder
    spares: Spares
    samples: DeliverySamples
    posts: PostComparison | None
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]

    @property
    def total(self) -> Decimal:
        """Sum of the lines that have a price."""
        return sum((line.cost for line in self.costs), Decimal(0))


def programme(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    inputs: Inputs,
    site: Site,
    stock: Stock,
    layout: Layout,
    trellis: Trellis,
    water: Irrigation,
) -> Programme:
    """Work out the order and its cost.

    Raises
    ------
    InputError
        If a price is for a unit the item isn't sold in, or a cover crop is not known.
    """
    soil = prepare_soil(brief, site, layout)
    vines = next(figure for figure in layout.figures if figure.key == "layout.vines")
    spares = plan_spares(brief, inputs, vines)
    orders, figures = quantities(
        brief,
        inputs.prices,
        layout,
        trellis,
        water,
        vines_to_order=spares.order,
        rootstock=stock.rootstock,
        amendments=(*soil.amounts, *soil.works),
    )
    nursery = order_vines(
        brief,
        site,
        soil,
        orders,
        figures,
        rootstock=stock.rootstock,
        known=rootstocks(inputs.rootstocks),
    )
    samples = sample_deliveries(brief, spares.order, nursery.deliveries)
    posts = compare_line_posts(brief, stock, trellis, inputs.prices)
    costs, unpriced = cost_lines(orders, inputs.prices)
    currency = inputs.currency
    made = [
        *soil.figures,
        *spares.figures,
        *samples.figures,
        *figures,
        _water_at_planting(brief, layout),
        *nursery.figures,
    ]
    made.extend(
        Working(
            f"work.budget.{line.item}",
            float(line.cost),
            currency,
            (
                Input(
                    "quantity", float(line.quantity), line.unit, f"figure:work.order.{line.item}"
                ),
                Input(
                    "price",
                    float(line.price),
                    f"{currency}/{line.unit}".lstrip("/"),
                    "file:prices.csv",
                ),
            ),
            "arithmetic",
            about=line.item,
            message="work.budget.line",
        )
        for line in costs
    )
    total = sum((line.cost for line in costs), Decimal(0))
    made.append(
        Working(
            "work.budget.materials",
            float(total) if costs else "unknown",
            currency if costs else "",
            tuple(
                Input(line.item, float(line.cost), currency, f"figure:work.budget.{line.item}")
                for line in costs
            ),
            "arithmetic",
        )
    )
    return Programme(
        orders,
        costs,
        unpriced,
        currency,
        soil,
        nursery,
        spares,
        samples,
        posts,
        tuple(made),
        (
            *soil.findings,
            *spares.findings,
            *samples.findings,
            *nursery.findings,
            *post_advice(brief, trellis, posts),
            *_findings(brief, unpriced),
        ),
    )


def _water_at_planting(brief: Brief, layout: Layout) -> Working:
    vines = next(figure for figure in layout.figures if figure.key == "layout.vines")
    litres = brief.as_input("water.at_planting", "litres_per_vine")
    return Working(
        "work.water_at_planting",
        float(vines.value) * brief.water.at_planting / 1000.0,
        "m3",
        (vines.as_input("vines"), litres),
        litres.source or "practice",
    )


def _findings(brief: Brief, unpriced: tuple[str, ...]) -> tuple[Finding, ...]:
    found = [Finding("work", "care", "work.planting_danger")]
    if unpriced:
        found.append(
            Finding(
                "work",
                "care",
                "work.prices_missing",
                {"items": ", ".join(unpriced)},
                "work.budget.materials",
                "brief",
            )
        )
    ahead = [key for key in KEYS_AHEAD if brief.is_given(key)]
    if ahead:
        found.append(
            Finding("work", "note", "brief.keys_ahead", {"keys": ", ".join(ahead)}, source="brief")
        )
    return tuple(found)
