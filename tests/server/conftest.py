"""One estate served: a copy of the example, and a client that speaks as its own page does."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from aanplant.cli.writing import FILE_GROUPS, write_plan
from aanplant.server import create_app

HOME = "http://127.0.0.1:8766"
EXAMPLE = Path(__file__).parents[2] / "examples" / "lowquince"


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    folder = tmp_path / "lowquince"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("plans"))
    return folder


@pytest.fixture
def client(estate: Path) -> Iterator[TestClient]:
    app = create_app(
        estate,
        groups=FILE_GROUPS,
        write_plan=lambda plan, folder, made, groups, system, told: write_plan(
            plan, folder, made=made, groups=groups, system=system, told=told
        ),
    )
    with TestClient(app, base_url=HOME) as speaking:
        yield speaking
