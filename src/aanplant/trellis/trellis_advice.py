"""What there is to say about a trellis: what breaks, what to mind, how sure it is."""

from collections.abc import Iterator

from aanplant.trellis.whole import Trellis
from aanplant.working import Finding


def advice(made: Trellis) -> tuple[Finding, ...]:
    """Return the findings, in the order of the job."""
    return tuple(_dangers(made))


def _dangers(made: Trellis) -> Iterator[Finding]:
    if made.wires:
        yield Finding("trellis", "care", "trellis.wire_danger", source="practice")
