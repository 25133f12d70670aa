"""The trellis of a block, whole: what stands, what it bears, how many parts of each kind."""

from dataclasses import dataclass

from aanplant.trellis.counts import TrellisCounts
from aanplant.trellis.holding import Holding
from aanplant.trellis.row_geometry import TrellisRows
from aanplant.trellis.systems import System
from aanplant.trellis.wires import WireLine
from aanplant.working import Finding, Working


@dataclass(frozen=True)
class Trellis:
    """What holds the vines up.

    Parameters
    ----------
    system : System
        Wires, arms and posts.
    wires : tuple of WireLine
        From the ground up.
    wire_length_m : tuple of float
        Length of each line over all rows, tails included, waste not. [m]
    figures, findings
        What the stage has to say.
    rows : TrellisRows
        Every row that holds vines.
    counts : TrellisCounts
        Parts of all rows together.
    holding : Holding or None
        How every row holds; None where no wires stand, or the posts cannot.
    """

    system: System
    wires: tuple[WireLine, ...]
    wire_length_m: tuple[float, ...]
    figures: tuple[Working, ...]
    findings: tuple[Finding, ...]
    rows: TrellisRows
    counts: TrellisCounts
    holding: Holding | None
