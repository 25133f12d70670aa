"""Design the trellis of a block: every row its own."""

from dataclasses import replace

from aanplant.brief import Brief
from aanplant.layout import Layout
from aanplant.site import Site
from aanplant.stock import Stock
from aanplant.trellis.counts import count_parts
from aanplant.trellis.end_fit import end_lean_deg
from aanplant.trellis.row_geometry import trellis_rows
from aanplant.trellis.row_loads import hold
from aanplant.trellis.systems import breaches_of, system_of
from aanplant.trellis.trellis_advice import advice
from aanplant.trellis.trellis_figures import figures
from aanplant.trellis.whole import Trellis


def design(brief: Brief, site: Site, layout: Layout, stock: Stock) -> Trellis:
    """Work out wires, posts and ends of every row.

    Parameters
    ----------
    brief, site, layout, stock
        What is asked, the ground, the rows and the spacing.

    Raises
    ------
    InputError
        If the system is not known, or no wire of one's own carries the crop.
    """
    system = system_of(brief)
    rows = trellis_rows(
        layout, site, vine_spacing_m=stock.vine_spacing_m, post_every=brief.trellis.post_every
    )
    counts = count_parts(brief, system, layout, rows)
    run_m = float(layout.line_length.value) + 2 * len(rows) * brief.materials.wire_tail
    stands = bool(system.wires) and bool(len(rows)) and not breaches_of(system, end_lean_deg(brief))
    holding = None
    if stands:
        holding = hold(brief, site, system, rows, has_inside_ends=counts.inside_ends > 0)
    made = Trellis(
        system=system,
        wires=system.wires,
        wire_length_m=tuple(line.strands * run_m for line in system.wires),
        figures=(),
        findings=(),
        rows=rows,
        counts=counts,
        holding=holding,
    )
    return replace(made, figures=figures(brief, site, layout, made), findings=advice(brief, made))
