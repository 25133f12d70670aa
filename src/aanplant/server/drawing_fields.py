"""What can be drawn on the sheet for each key of a brief, and what may be said of it."""

from collections.abc import Iterator

from aanplant import tables
from aanplant.files.exclusions import LARGEST_CLEARANCE_M, SKIPPED_KINDS, TREATMENTS
from aanplant.heights import HIGHEST_M, LOWEST_M
from aanplant.inputs import KINDS
from aanplant.server.drawing_shapes import DrawingFieldShape, PropertyShape


def drawing_fields() -> Iterator[DrawingFieldShape]:
    """Tell each key that can be drawn, in the order in which a block is."""
    name = PropertyShape(name="name", kind="text")
    yield DrawingFieldShape(key="block.boundary", shapes=["area"], are_many=False, properties=[])
    yield DrawingFieldShape(
        key="block.exclusions",
        shapes=["area", "line", "point"],
        are_many=True,
        properties=[name, *_of_exclusions()],
    )
    yield DrawingFieldShape(
        key="block.zones",
        shapes=["area"],
        are_many=True,
        properties=[name, PropertyShape(name="pit", kind="text")],
    )
    yield DrawingFieldShape(
        key="water.source",
        shapes=["point"],
        are_many=False,
        properties=[
            name,
            PropertyShape(name="height", kind="length", low=LOWEST_M, high=HIGHEST_M),
        ],
    )
    for key in ("mains.route", "rows.base_line"):
        yield DrawingFieldShape(key=key, shapes=["line"], are_many=False, properties=[])


def _of_exclusions() -> tuple[PropertyShape, ...]:
    usual = {row["kind"]: row for row in tables.rows("clearances.csv")}
    treated = {kind: "skip" if kind in SKIPPED_KINDS else "avoid" for kind in KINDS}
    return (
        PropertyShape(name="kind", kind="choice", options=list(KINDS)),
        PropertyShape(
            name="treatment", kind="choice", options=list(TREATMENTS), usual=dict(treated)
        ),
        PropertyShape(
            name="clearance",
            kind="length",
            usual={kind: float(usual[kind]["clearance_m"]) for kind in KINDS},
            low=0.0,
            high=LARGEST_CLEARANCE_M,
        ),
        PropertyShape(
            name="width",
            kind="length",
            usual={kind: float(usual[kind]["line_width_m"]) for kind in KINDS},
            low=0.0,
            high=LARGEST_CLEARANCE_M,
            of=["line"],
        ),
    )
