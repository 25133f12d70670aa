"""Draw the pictures of README and docs anew from the example estate: `python -m tools.pictures`.

Needs pdftoppm (poppler-utils) for the page of a PDF.
"""

import subprocess
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image

from aanplant.cli.demo import example_estate
from aanplant.cli.writing import write_plan
from aanplant.files import open_block, read_inputs
from aanplant.plan import make_plan
from aanplant.report.direction_chart import draw_direction_chart
from aanplant.report.pressure_map import draw_pressures
from aanplant.report.trellis_sheet import draw_trellis
from aanplant.report.water_sheet import draw_water

PICTURES = Path(__file__).parents[1] / "docs" / "pictures"
MADE = datetime(2026, 11, 25, tzinfo=UTC)
WIDTH_PX = 1500


def main() -> None:
    """Plan the example's hillside block and keep what is drawn of it as pictures."""
    PICTURES.mkdir(exist_ok=True)
    block = open_block(example_estate() / "blocks" / "kiepersol")
    plan = make_plan(block.brief, read_inputs(block))
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "plan"
        write_plan(plan, target, made=MADE, groups=("tape", "site", "stock"), system="metric")
        draw_direction_chart(plan, target / "row-direction.png")
        draw_trellis(plan, target / "trellis.png", made=MADE)
        draw_water(plan, target / "water.png", made=MADE)
        draw_pressures(plan, target / "pressures.png", made=MADE)
        _page(target / "tape-and-pegs", 1)
        _page(target / "site-report", 2)
        _page(target / "stock-report", 1)
        for name in (
            "sheet", "row-direction", "tape-and-pegs", "site-report", "stock-report", "trellis",
            "water", "pressures",
        ):  # fmt: skip
            _keep(target / f"{name}.png")


def _page(document: Path, number: int) -> None:
    """Turn one page of a PDF into a picture beside it."""
    page = str(number)
    subprocess.run(
        ["pdftoppm", "-r", "110", "-f", page, "-l", page, "-png", "-singlefile",
         f"{document}.pdf", document],
        check=True,
    )  # fmt: skip


def _keep(source: Path) -> None:
    """Shrink a picture to a reader's screen and few colours, so that the repository stays small."""
    with Image.open(source) as picture:
        small = picture.convert("RGB")
        small.thumbnail((WIDTH_PX, WIDTH_PX), Image.Resampling.LANCZOS)
        small.quantize(64).save(PICTURES / source.name, optimize=True)


if __name__ == "__main__":
    main()
