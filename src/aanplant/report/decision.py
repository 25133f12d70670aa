"""The first two pages of the report: what is planted, for how much, and what must be decided."""

from collections.abc import Iterator
from itertools import zip_longest

from aanplant.messages import fill, sentence, word
from aanplant.plan import Plan
from aanplant.report.key_dates import key_dates
from aanplant.report.sheet import bearing_word
from aanplant.report.site_words import figure_row, short
from aanplant.report.stock_summary import not_known, rootstock_of
from aanplant.units import UnitSystem, show, show_fixed, show_number
from aanplant.work.money_lines import HOURS
from aanplant.working import Finding

ASKS = (
    "money.", "permissions.", "calendar.", "ordering.", "planting.ends_late", "planting.",
    "layout.no_bearing_within", "climate.frost_often", "water.", "history.",
    "nursery.lot_without_certificate",
    "stock.cultivar_frost", "layout.machine_", "system.", "trellis.", "stock.",
    "prepare.depth_held", "prepare.no_pits",
)  # fmt: skip
"""Cautions that ask the owner to decide, allow, buy or test something: one of each topic before
a second of any, those first on which most of the money and the season hang."""
_MOST_ASKED = 8
KEY_FIGURES = {
    "ground": ("site.area", "site.slope_mean", "site.soil_depth", "site.soil_water",
               "site.last_frost_late", "site.rain_year"),
    "stock": ("stock.order_quantity", "stock.spares"),
    "rows": ("layout.area_planted", "layout.vines", "layout.density", "layout.rows",
             "layout.row_length", "layout.bearing"),
    "wire": ("trellis.line_posts", "trellis.end_posts", "trellis.anchors", "trellis.wire_length"),
    "water": ("water.dripper_line", "water.sets", "water.set_flow", "water.pump.flow",
              "water.pump.head", "water.emission_uniformity", "water.first_season"),
    "money": ("work.budget.establishment", "work.budget.materials", "work.budget.cost_per_area",
              "work.budget.cost_per_vine", "work.budget.npv", "work.budget.irr",
              "work.budget.break_even_price", "work.budget.chance_of_loss"),
}  # fmt: skip
"""Figures of the second page, by part."""


def facts(plan: Plan, system: UnitSystem) -> list[list[str]]:
    """Label and value of what stands under the title."""
    figures = plan.figures
    return [
        [word("sheet.area_planted"), short(figures.value("layout.area_planted"), "ha", system)],
        [word("sheet.vines"), show_number(figures.value("layout.vines"))],
        [word(bearing_word(plan)), f"{show_fixed(plan.layout.bearing_deg, 1)}°"],
        [word("plan_report.fact.planting"), planting_words(plan)],
        [word("plan_report.fact.cost"), _money(plan)],
    ]


def at_a_glance(plan: Plan, system: UnitSystem) -> list[list[str]]:
    """Subject and sentences of the decision, in the order of the job."""
    makers = {"what": _what, "where": _where, "how": _how, "water": _water, "when": _when,
              "cost": _cost}  # fmt: skip
    return [[word(f"plan_report.glance.{name}"), " ".join(make(plan, system))]
            for name, make in makers.items()]  # fmt: skip


def asked(plan: Plan) -> list[Finding]:
    """Cautions that ask for a decision, one of a kind, the earliest of the job first."""
    kinds: dict[str, Finding] = {}
    for item in plan.findings:
        if item.level == "care" and not item.is_danger:
            kinds.setdefault(item.message, item)
    topics: list[list[str]] = []
    for topic in ASKS:
        own = [kind for kind in kinds if kind.startswith(topic)]
        topics.append([kind for kind in own if not any(kind in taken for taken in topics)])
    turns = [kind for turn in zip_longest(*topics) for kind in turn if kind]
    return [kinds[kind] for kind in kinds if kind in turns[:_MOST_ASKED]]


def decisions(plan: Plan, system: UnitSystem) -> dict[str, list[str]]:
    """Sentences on what stops the work, what is asked, and what is not known."""
    return {
        "stops": [sentence(item, system) for item in plan.findings if item.level == "stop"],
        "asked": [sentence(item, system) for item in asked(plan)],
        "open": not_known(plan),
    }


def key_figures(plan: Plan, system: UnitSystem) -> list[dict[str, object]]:
    """Return the key figures by part: label, value with unit, mark."""
    told: list[dict[str, object]] = []
    for part, keys in KEY_FIGURES.items():
        rows = [figure_row(plan, plan.figures[key], system) for key in keys if key in plan.figures]
        if rows:
            told.append({"title": word(f"plan_report.part.{part}"), "rows": rows})
    return told


def planting_words(plan: Plan) -> str:
    """Month of planting in words, or that it is open."""
    planting = plan.brief.work.planting
    if not planting:
        return word("plan_report.not_set")
    return f"{word(f'month_name.{planting[5:]}')} {planting[:4]}"


def _what(plan: Plan, _: UnitSystem) -> Iterator[str]:
    vines = plan.figures.value("layout.vines")
    cultivar = plan.stock.cultivar or word("stock_report.say.no_cultivar")
    rootstock = rootstock_of(plan)
    yield fill(
        "plan_report.say.what" if rootstock else "plan_report.say.what_open",
        vines=show_number(vines), cultivar=cultivar, rootstock=rootstock,
        order=show_number(plan.figures.value("stock.order_quantity")),
    )  # fmt: skip


def _where(plan: Plan, system: UnitSystem) -> Iterator[str]:
    figures = plan.figures
    yield fill(
        "plan_report.say.where",
        planted=short(figures.value("layout.area_planted"), "ha", system),
        area=short(figures.value("site.area"), "ha", system),
        rows=show_number(figures.value("layout.rows")),
        bearing=f"{show_fixed(plan.layout.bearing_deg, 1)}°",
        width=short(plan.stock.row_width_m, "m", system),
        spacing=short(plan.stock.vine_spacing_m, "m", system),
    )


def _how(plan: Plan, system: UnitSystem) -> Iterator[str]:
    figures = plan.figures
    posts = sum(figures.value(key) for key in ("trellis.line_posts", "trellis.end_posts")
                if key in figures)  # fmt: skip
    wire = figures.value("trellis.wire_length") if "trellis.wire_length" in figures else 0.0
    if wire:
        yield fill("plan_report.say.how", system=plan.brief.trellis.system,
                   posts=show_number(posts), wire=short(wire / 1000.0, "km", system))  # fmt: skip
    else:
        yield fill("plan_report.say.how_without_wire", system=plan.brief.trellis.system)


def _water(plan: Plan, system: UnitSystem) -> Iterator[str]:
    figures = plan.figures
    if plan.water.system is not None:
        yield (
            fill(
                "plan_report.say.water",
                sets=show_number(figures.value("water.sets")),
                flow=short(figures.value("water.pump.flow"), "m3/h", system),
                head=short(figures.value("water.pump.head"), "m", system),
            )
            if "water.pump.flow" in figures
            else fill(
                "plan_report.say.water_by_itself", sets=show_number(figures.value("water.sets"))
            )
        )
    else:
        yield word("plan_report.say.no_source")
    if "water.first_season" in figures:
        yield fill("plan_report.say.first_season",
                   water=short(figures.value("water.first_season"), "m3", system, 5))  # fmt: skip


def _when(plan: Plan, _: UnitSystem) -> Iterator[str]:
    if not plan.brief.work.planting:
        yield word("plan_report.say.when_open")
        return
    yield fill("plan_report.say.when", month=planting_words(plan))
    yield from key_dates(plan)


def _cost(plan: Plan, system: UnitSystem) -> Iterator[str]:
    if not plan.money.establishment:
        yield word("plan_report.say.no_prices")
        return
    figures, cost = plan.figures, float(plan.money.establishment)
    currency = plan.money.currency
    area = figures.value("layout.area_planted")
    lacks = bool(plan.money.lacks)
    yield fill(
        "plan_report.say.cost_at_least" if lacks else "plan_report.say.cost",
        total=show(round(plan.money.establishment), currency),
        per_area=show(round(cost / area), f"{currency}/ha", system),
        per_vine=show(round(cost / figures.value("layout.vines"), 1), currency),
    )
    is_bound = lacks or bool(plan.money.lacks_yearly)
    yield from _owed(plan, is_bound=is_bound)
    if plan.money.returns is not None:
        yield fill(
            "plan_report.say.worth_at_most" if is_bound else "plan_report.say.worth",
            years=plan.brief.money.horizon,
            npv=show(round(plan.money.returns.npv), currency),
            rate=show(round(100.0 * plan.brief.money.discount_rate, 2), "%"),
        )
    if "work.budget.break_even_price" in figures:
        price = figures["work.budget.break_even_price"].value
        if not isinstance(price, str):
            said = "break_even_at_least" if is_bound else "break_even"
            yield fill(f"plan_report.say.{said}", price=show(round(price), currency))
    if "work.budget.chance_of_loss" in figures and not is_bound:
        loss = figures.value("work.budget.chance_of_loss")
        yield fill("plan_report.say.loss", chance=short(loss, "%", system, 2))
    if HOURS in plan.money.lacks:
        yield word("plan_report.say.no_hours")
    if plan.work.unpriced:
        yield fill("plan_report.say.unpriced", count=len(plan.work.unpriced))


def _owed(plan: Plan, *, is_bound: bool) -> Iterator[str]:
    """Say how deep the block stands in the red at its worst, and in which year."""
    if "work.budget.accumulated_most" not in plan.figures:
        return
    most = plan.figures["work.budget.accumulated_most"]
    if float(most.value) > 0.0:
        year = next(item.value for item in most.inputs if item.name == "year")
        yield fill(
            "plan_report.say.owed_at_least" if is_bound else "plan_report.say.owed",
            most=show(round(float(most.value)), plan.money.currency),
            rate=show(round(100.0 * plan.brief.money.discount_rate, 2), "%"),
            year=show(year, ""),
        )


def _money(plan: Plan) -> str:
    if not plan.money.establishment:
        return word("plan_report.not_known")
    cost = show(round(plan.money.establishment), plan.money.currency)
    return fill("plan_report.at_least", cost=cost) if plan.money.lacks else cost
