"""What the block costs and brings in, from the first pit to the last harvest counted."""

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from aanplant.brief import Brief
from aanplant.inputs import Inputs
from aanplant.layout import Layout
from aanplant.work.budget import accumulated_cost, internal_rates_of_return
from aanplant.work.cash_model import CashModel, net_flows, present_values, price_levels
from aanplant.work.money_advice import advice
from aanplant.work.money_figures import figures_of
from aanplant.work.money_finance import Financing, finance
from aanplant.work.money_lines import (
    CARE,
    HOURS,
    AftercareRound,
    MoneyLine,
    hourly_wage,
    material_lines,
    stage_months,
    work_lines,
    worked,
)
from aanplant.work.money_risk import Losses, Moved, Simulation, break_even, simulate, tornado
from aanplant.work.money_years import (
    BEARING,
    CashYear,
    contingency_line,
    crop_lines,
    last_young_year,
    months_of,
    upkeep_lines,
    years_of,
)
from aanplant.work.programme import Programme
from aanplant.work.tasks import Calendar
from aanplant.workforce import TASK_GROUPS
from aanplant.working import Finding, Working

NOT_KNOWN: Mapping[str, date] = {}
"""No day of any item of the order."""
WAGE = "wage"
"""What a sum of labour lacks while no wage is known."""
YEARLY = ("young_cost", "running_cost", "harvest_cost")
"""Keys of the yearly costs, without which the result is at most what is told."""


@dataclass(frozen=True)
class Returns:
    """What the block is worth; all in the terms of the basis.

    Parameters
    ----------
    npv, owner_npv : float
        Net present value in the year of planting, without and with the loan. [currency]
    irr, owner_irr : tuple of float
        Every internal rate of return, the lowest first. [-]
    break_even_yield : float or None
        Full crop at which the block is worth nothing; None where no crop would do. [t/ha]
    tornado : tuple of Moved
        The widest first.
    simulation : Simulation
        Futures drawn by chance.
    """

    npv: float
    owner_npv: float
    irr: tuple[float, ...]
    owner_irr: tuple[float, ...]
    break_even_yield: float | None
    tornado: tuple[Moved, ...]
    simulation: Simulation


@dataclass(frozen=True)
class Money:
    """The budget of a block.

    Parameters
    ----------
    lines : tuple of MoneyLine
        Everything paid and earned, in money of today.
    by_month : mapping of str to Decimal
        Flows of the lines that have a month. [currency]
    by_year : tuple of CashYear
        From the first year with money to the last counted.
    flows : ndarray, shape (years,)
        Net flow of each of those years, in the terms of the basis. [currency]
    accumulated : ndarray, shape (years,)
        Net cost so far with interest, in the terms of the basis. [currency]
    financing : Financing
        The loan, if any.
    returns : Returns or None
        None while no price of grapes is known.
    break_even_price : float or None
        Price of a tonne at which the block is worth nothing, in money of today; None without
        a crop. [currency/t]
    lacks : tuple of str
        Items, machines and the wage that have no price.
    lacks_yearly : tuple of str
        Keys of yearly costs that are not given.
    currency, basis : str
        ISO 4217 code; real or nominal.
    area_ha, vines : float
        That is planted.
    figures, findings
        What the stage has to say.
    """

    lines: tuple[MoneyLine, ...]
    by_month: Mapping[str, Decimal]
    by_year: tuple[CashYear, ...]
    flows: NDArray[np.float64]
    accumulated: NDArray[np.float64]
    financing: Financing
    returns: Returns | None
    break_even_price: float | None
    lacks: tuple[str, ...]
    lacks_yearly: tuple[str, ...]
    currency: str
    basis: str
    area_ha: float
    vines: float
    figures: tuple[Working, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def establishment(self) -> Decimal:
        """All costs to the end of the year of planting, in money of today. [currency]."""
        return sum((year.cost for year in self.by_year if year.year <= 0), Decimal(0))

    @property
    def repaid_in(self) -> int | None:
        """First year after which the block has paid for itself, None when it never does."""
        paid = np.flatnonzero(self.accumulated <= 0)
        owed = np.flatnonzero(self.accumulated > 0)
        if not len(paid) or (len(owed) and owed[-1] > paid[-1]):
            return None
        return self.by_year[int(owed[-1]) + 1 if len(owed) else 0].year

    def by_stage(self) -> dict[str, dict[str, Decimal]]:
        """Cost to the end of the year of planting by stage and kind, stages in their order."""
        sums: dict[str, dict[str, Decimal]] = {}
        for line in self.lines:
            if line.year <= 0 and line.kind != "income":
                kinds = sums.setdefault(line.stage, {})
                kinds[line.kind] = kinds.get(line.kind, Decimal(0)) + line.cost
        order = (*TASK_GROUPS, BEARING)
        return {stage: sums[stage] for stage in order if stage in sums}


def reckon(  # noqa: PLR0917 - one argument a stage, in the order of the job
    brief: Brief,
    inputs: Inputs,
    layout: Layout,
    work: Programme,
    calendar: Calendar,
    rounds: Sequence[AftercareRound] = (),
    needed: Mapping[str, date] = NOT_KNOWN,
) -> Money:
    """Reckon the money of a block.

    Parameters
    ----------
    brief : Brief
        Its ``[money]``, yields and losses.
    inputs : Inputs
        Wages and prices.
    layout, work, calendar
        What stands, what is ordered, and who works when.
    rounds : sequence of AftercareRound
        Aftercare of the young vines.
    needed : mapping of str to date
        Day by which an item of the order must be there; its stage's month where none is given.
    """
    planting = brief.work.planting
    by_key = {figure.key: figure for figure in layout.figures}
    area, vines = (float(by_key[key].value) for key in ("layout.area_planted", "layout.vines"))
    hours = worked(calendar, rounds, planting)
    labour, unpriced = work_lines(hours, inputs, [order.item for order in work.orders])
    months = stage_months(calendar, planting)
    material = material_lines(work.costs, work.orders, months, planting, needed)
    bare = (*material, *labour)
    young = last_young_year(bare)
    upkeep = upkeep_lines(brief, area, young)
    extra = contingency_line(brief, bare)
    losses = _losses(brief, work, int(vines))
    model = _model(brief, work, (*bare, *extra), upkeep, area)
    crop = crop_lines(brief, model, losses, area)
    lines = (*bare, *extra, *upkeep, *crop)
    last = max([model.horizon, *(line.year for line in lines)])
    years = years_of(lines, model.first_year, last)
    flows = net_flows(model, **losses.expected(), most_delay=0)[0]
    levels = price_levels(model, len(flows)) if model.basis == "nominal" else np.ones(len(flows))
    incomes = np.array([float(year.income) for year in years])[: len(flows)] * levels
    financing = finance(brief, model, flows)
    has_crop = bool(model.full_crop_t and model.crop_share.any())
    lacks = tuple(work.unpriced)
    if hourly_wage(inputs) is None and any(one.person_hours for one in hours):
        lacks = (*lacks, WAGE)
    if not (calendar.booked or calendar.tasks):
        lacks = (*lacks, HOURS)
    elif not rounds:
        lacks = (*lacks, CARE)
    missing = [key for key in YEARLY if getattr(brief.money, key) is None]
    money = Money(
        lines,
        months_of(lines),
        years,
        flows,
        accumulated_cost(incomes - flows, incomes, model.rate),
        financing,
        _returns(brief, model, losses, flows, financing) if _is_priced(brief) else None,
        break_even(model, losses)[0] if has_crop else None,
        (*lacks, *unpriced),
        tuple(missing),
        inputs.currency,
        model.basis,
        area,
        vines,
    )
    figures = figures_of(brief, money, layout.figures)
    return dataclasses.replace(money, figures=figures, findings=advice(brief, money))


def _is_priced(brief: Brief) -> bool:
    return brief.money.grape_price is not None


def _losses(brief: Brief, work: Programme, places: int) -> Losses:
    spares = work.spares
    fitted = spares.variation
    asked = brief.spares.batch_correlation
    correlation = fitted.correlation if fitted else asked if isinstance(asked, float) else 0.0
    return Losses(
        places, places + spares.spares, brief.vines.loss_fraction, correlation,
        brief.spares.batches,
    )  # fmt: skip


def _model(
    brief: Brief,
    work: Programme,
    spent: Sequence[MoneyLine],
    upkeep: Sequence[MoneyLine],
    area_ha: float,
) -> CashModel:
    rules, horizon = brief.money, brief.money.horizon
    first = min((line.year for line in spent), default=0)
    early, building, keeping = (
        np.zeros(max(0, -first)),
        np.zeros(horizon + 1),
        np.zeros(horizon + 1),
    )
    for line in (*spent, *upkeep):
        if line.year < 0:
            early[line.year - first] += float(line.cost)
        else:
            where = building if line.year == 0 else keeping
            where[min(line.year, horizon)] += float(line.cost)
    shares = brief.trellis.yield_by_year
    crop = [shares[min(year, len(shares) - 1)] for year in range(horizon + 1)]
    vine = work.spares.vine_price or 0.0
    vines = float(work.spares.order.value) - work.spares.spares
    return CashModel(
        early, building, keeping, np.array(crop), brief.trellis.yield_full * area_ha,
        rules.grape_price or 0.0, rules.harvest_cost or 0.0, rules.salvage * area_ha,
        vine * vines, int(np.ceil(brief.spares.gap_years)), rules.basis, rules.discount_rate,
        rules.inflation,
    )  # fmt: skip


def _returns(
    brief: Brief,
    model: CashModel,
    losses: Losses,
    flows: NDArray[np.float64],
    financing: Financing,
) -> Returns:
    rules = brief.money
    share = break_even(model, losses)[1]
    both = np.vstack([flows, financing.owner_flows])
    npv, owner_npv = present_values(both, model).tolist()
    return Returns(
        npv,
        owner_npv,
        internal_rates_of_return(flows),
        internal_rates_of_return(financing.owner_flows),
        None if share is None else share * brief.trellis.yield_full,
        tornado(model, losses, rules.sensitivity),
        simulate(
            model, losses, draws=rules.draws, seed=rules.seed, price_spread=rules.price_spread,
            price_swing=rules.price_swing, yield_spread=rules.yield_spread,
            yield_swing=rules.yield_swing, cost_spread=rules.cost_spread,
            delay_chance=rules.delay_chance,
        ),
    )  # fmt: skip
