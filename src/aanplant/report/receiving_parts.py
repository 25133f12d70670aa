"""What stands on the card for a delivery: store, sample, grading sheet and verdict."""

from aanplant.messages import fill, show_day, term, word
from aanplant.plan import Plan
from aanplant.report.card_parts import card_values, grades_part
from aanplant.report.card_pieces import Part, heads, span, steps_part, table_part
from aanplant.stock.acceptance import SamplingPlan, Verdict, judge
from aanplant.units import UnitSystem, show, show_number, shown_in
from aanplant.work.delivery_samples import Received
from aanplant.work.nursery_dates import warm_up

MEASURED = 20
"""Vines measured one by one on the grading sheet."""
FAULTS = ("calliper", "roots", "union", "buds", "other")
STORE = ("temperature", "humidity", "moist", "fruit", "roots", "soak", "in_shade")
_BEYOND = 3
"""Lines of the verdict above the number that is still accepted."""


def receiving_parts(plan: Plan, system: UnitSystem) -> list[Part]:
    """Return the parts of the card for a delivery."""
    rules, samples = plan.brief.nursery, plan.work.samples
    is_south = plan.site.frame.latitude_deg < 0
    by_date = [
        [show_day(row.until, is_short=True), show_number(row.days), term(row.note)]
        for row in warm_up(is_south=is_south)
    ]  # fmt: skip
    written = [[word(f"cards.write.{name}"), "_" * 28] for name in ("lot", "day", "vines", "by")]
    parts = [
        {"heading": word("cards.delivery"), "kind": "facts", "rows": written},
        steps_part("cards.store", STORE, card_values(plan, system)),
        table_part("cards.warm_up", heads("until", "days", "also"), by_date, (2, 1, 3)),
        grades_part(rules.grade, system),
    ]
    if samples.plans:
        parts.append(_sampling(plan) | {"new_page": True})
        parts.append(_verdicts(samples.plans[0]))
    parts.append(_tally())
    parts.append({"heading": word("cards.verdict"), "kind": "facts", "rows": [
        [word(f"cards.verdict.{name}"), "_" * 28]
        for name in ("checked", "below", "taken", "signed")
    ]})  # fmt: skip
    if samples.received:
        parts.append(_received(samples.received))
    parts.append(_grading_sheet(system))
    return parts


def _sampling(plan: Plan) -> Part:
    """Vines to look over in each delivery, with both risks; the standard's numbers beside it."""
    rules, samples = plan.brief.sampling, plan.work.samples
    rows = [
        _plan_row(f"{word('cards.delivery')} {number}", sampling)
        for number, sampling in enumerate(samples.plans, 1)
    ]
    if samples.is_standard:
        note = "cards.sampling.standard"
    else:
        note = "cards.sampling.smallest"
        rows += [
            _plan_row(fill("cards.sampling.or", limit=term(rules.quality_limit)), sampling)
            for sampling in dict.fromkeys(samples.standard)
            if sampling is not None
        ]
    return table_part(
        "cards.sampling",
        heads("delivery", "vines", "look_over", "accept", "refuse", "good_refused", "bad_taken"),
        rows,
        (3, 1.3, 1.5, 1.8, 1.8, 2, 2),
        kind="fine",
        note=fill(
            note,
            good=_percent(rules.good_batch),
            bad=_percent(rules.bad_batch),
            producer=_percent(rules.producer_risk),
            consumer=_percent(rules.consumer_risk),
            limit=term(rules.quality_limit),
        ),
    )


def _plan_row(name: str, plan: SamplingPlan) -> list[str]:
    return [
        name,
        show_number(plan.lot),
        show_number(plan.sample),
        show_number(plan.accept),
        show_number(plan.accept + 1),
        _percent(plan.producer_risk),
        _percent(plan.consumer_risk),
    ]


def _verdicts(plan: SamplingPlan) -> Part:
    """Say what each count of bad vines means, so that the verdict is read off in the shed."""
    rows = []
    for bad in range(min(plan.accept + _BEYOND, plan.sample) + 1):
        verdict = judge(plan.sample, bad, plan)
        low, high = verdict.wilson
        sure_low, sure_high = verdict.clopper_pearson
        rows.append(
            [show_number(bad), _judged(verdict),
             _span(low, high), _span(sure_low, sure_high)]
        )  # fmt: skip
    return table_part(
        "cards.verdicts",
        heads("bad", "judged", "may_hold", "safe_side"),
        rows,
        (1.5, 1.5, 2, 2),
        kind="fine",
        note=fill("cards.verdicts_note", sample=show_number(plan.sample)),
    )


def _tally() -> Part:
    """Room for strokes, one for every vine looked over."""
    strokes = [[word("cards.tally.all"), ""], *([word(f"cards.tally.{f}"), ""] for f in FAULTS)]
    return table_part("cards.tally", heads("fault", "strokes"), strokes, (3, 7), kind="fill",
                      note=word("cards.tally_note"))  # fmt: skip


def _grading_sheet(system: UnitSystem) -> Part:
    """Room for vines measured one by one."""
    unit = shown_in(1.0, "mm", system)[1]
    names = ("number", "calliper", "roots", "union_closed", "buds", "good")
    titles = [head.format(unit=unit) for head in heads(*names)]
    blank = [[str(number), "", "", "", "", ""] for number in range(1, MEASURED + 1)]
    sheet = table_part("cards.sample", titles, blank, (1, 2, 2, 2, 2, 2), kind="fill",
                       note=word("cards.sample_note"))  # fmt: skip
    return sheet | {"new_page": True}


def _received(received: tuple[Received, ...]) -> Part:
    rows = [
        [one.found.batch, show_number(one.found.delivered), show_number(one.found.checked),
         show_number(one.found.bad), _judged(one.verdict),
         _span(*one.verdict.wilson)]
        for one in received
    ]  # fmt: skip
    titles = heads("delivery", "vines", "checked", "bad", "judged", "may_hold")
    return table_part("cards.received", titles, rows, (3, 1.5, 1.5, 1.5, 2, 2.5), kind="fine")


def _judged(verdict: Verdict) -> str:
    return word(f"cards.judged.{verdict.judgement.replace(' ', '_')}")


def _span(low: float, high: float) -> str:
    return span(_percent(low), _percent(high))


def _percent(share: float) -> str:
    return show(round(100.0 * share, 1), "%")
