"""The sheet of a block on paper, as the interface gives it."""

import io
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from aanplant.server.place_fit import place_fit, terms
from aanplant.server.planning import Planner
from aanplant.server.store import EstateStore

MM_PER_POINT = 25.4 / 72.0


def printed(client: TestClient, **asked: object) -> PdfReader:
    answer = client.post("/api/v1/blocks/kiepersol/sheet", json=asked)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.content))


def row_lengths_mm(reader: PdfReader) -> list[float]:
    """Lengths of straight strokes of two points on the page, in millimetres of paper."""
    lengths: list[float] = []
    start: list[np.ndarray] = []

    def seen(operator: bytes, operands: list[float], matrix: list[float], _: list[float]) -> None:
        if operator not in {b"m", b"l"}:
            return
        x, y = (float(part) for part in operands)
        a, b, c, d, e, f = matrix
        place = np.array([a * x + c * y + e, b * x + d * y + f])
        if operator == b"l" and start:
            lengths.append(float(np.hypot(*(place - start[-1]))) * MM_PER_POINT)
        start[:] = [place]

    reader.pages[0].extract_text(visitor_operand_before=seen)
    return lengths


@pytest.mark.parametrize(("paper", "scale"), [("A3", 1500 * 2), ("A3", 2000), ("A4", 4000)])
def test_a_row_is_as_long_on_paper_as_the_scale_says(
    client: TestClient, estate: Path, paper: str, scale: int
):
    plan = Planner(EstateStore(estate)).laid_out("kiepersol", {})
    ends = plan.layout.positions.end_posts_xy.reshape(-1, 2, 2)
    longest_m = float(np.hypot(*(ends[:, 1] - ends[:, 0]).T).max())

    reader = printed(client, paper=paper, scale=scale)

    expected = longest_m * 1000.0 / scale
    nearest = min(row_lengths_mm(reader), key=lambda length: abs(length - expected))
    assert nearest == pytest.approx(expected, abs=0.01)
    assert f"1:{scale:,}".replace(",", "\u202f") in reader.pages[0].extract_text()


def test_a_scale_that_is_too_large_is_refused_with_the_largest_that_fits(client: TestClient):
    answer = client.post("/api/v1/blocks/kiepersol/sheet", json={"paper": "A4", "scale": 500})

    assert answer.status_code == 422
    assert "1:500" in answer.json()["detail"]
    assert "A4" in answer.json()["detail"]


def test_the_sheet_follows_changes_that_are_not_saved(client: TestClient):
    as_saved, changed = (
        printed(client, changes=changes).pages[0].extract_text()
        for changes in ({}, {"rows.bearing": 45})
    )

    assert "45.0°" in changed
    assert "45.0°" not in as_saved


def test_formulas_of_a_page_tell_the_places_that_the_grids_tell(estate: Path):
    site = Planner(EstateStore(estate)).site("kiepersol")
    xy = np.random.default_rng(20).uniform(-4000.0, 4000.0, (200, 2))

    fit = place_fit(site.grid)

    found = np.column_stack([terms(xy) @ fit[name] for name in ("first", "second")])
    assert np.abs(found - site.grid.from_frame(xy)).max() < 1e-5
    lonlat = np.column_stack([terms(xy) @ fit[name] for name in ("longitude", "latitude")])
    assert np.abs(lonlat - site.frame.to_lonlat(xy)).max() < 1e-10
