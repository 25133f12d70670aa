"""The lists of the delivery test in ``plan.json``: where to measure, and what was caught."""

from typing import Any

from aanplant.plan import Plan
from aanplant.water.delivery import places_of_sets
from aanplant.water.emitters import LITRES_PER_HOUR

Table = list[dict[str, Any]]


def delivery_tables(plan: Plan) -> dict[str, Table]:
    """Return places to measure, and what was measured; none without a system."""
    made = plan.water.system
    if made is None:
        return {}
    numbers = plan.layout.positions.number
    tables: dict[str, Table] = {
        "places_to_measure": [
            {
                "set": number + 1,
                "row": made.row_of(node)[0],
                "vine": int(numbers[made.system.vine[node]]),
                "design_lph": float(made.emitter_flow_m3_s[node]) / LITRES_PER_HOUR,
            }
            for number, node in places_of_sets(made)
        ]
    }
    if plan.water.delivery:
        tables["delivery_test"] = [
            {
                "set": one.number + 1,
                "row": int(one.row[at]),
                "vine": int(one.vine[at]),
                "flow_lph": float(one.test.flow_m3_s[at]) / LITRES_PER_HOUR,
                "design_lph": float(one.design_m3_s[at]) / LITRES_PER_HOUR,
                "share_of_design": float(one.test.share_of_design[at]),
                "is_far_from_design": at in one.test.worst,
            }
            for one in plan.water.delivery
            for at in range(len(one.node))
        ]
    return tables
