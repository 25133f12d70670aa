"""The desk page in a real browser, before a real server on a copy of the example estate."""

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
import uvicorn
from playwright.sync_api import Browser, Page

from aanplant.cli.writing import FILE_GROUPS, write_plan
from aanplant.server import create_app
from aanplant.server.pages import FOLDER, INDEX

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "lowquince"
PLANNED_MS = 60_000
DESK = {"width": 1440, "height": 900}


@pytest.fixture
def served(tmp_path: Path) -> Iterator[SimpleNamespace]:
    """A running server: its address, the estate's folder, and a way to end it."""
    if not (FOLDER / INDEX).exists():
        pytest.skip("the desk page is not built; `make web` builds it")
    folder = tmp_path / "lowquince"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("plans"))
    app = create_app(
        folder,
        groups=FILE_GROUPS,
        write_plan=lambda plan, to, made, groups, system, told: write_plan(
            plan, to, made=made, groups=groups, system=system, told=told
        ),
    )
    listener = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(app, log_level="critical", timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    while not server.started:
        time.sleep(0.01)

    def end() -> None:
        server.should_exit = True
        thread.join()
        listener.close()

    address = f"http://127.0.0.1:{listener.getsockname()[1]}"
    yield SimpleNamespace(address=address, folder=folder, end=end)
    end()


@pytest.fixture
def page(browser: Browser, served: SimpleNamespace) -> Iterator[Page]:
    """The page as somebody sees it who has taken the tour; no error, no request elsewhere."""
    context = browser.new_context(viewport=DESK)
    context.add_init_script("localStorage.setItem('aanplant:seen', 'yes')")
    opened = context.new_page()
    troubles: list[str] = []
    opened.on("pageerror", lambda error: troubles.append(str(error)))
    opened.on(
        "console",
        lambda said: (
            troubles.append(said.text)
            if said.type in {"error", "warning"} and "Failed to load resource" not in said.text
            else None
        ),
    )
    opened.on(
        "request",
        lambda asked: (
            troubles.append(asked.url)
            if not asked.url.startswith((served.address, "data:", "blob:"))
            else None
        ),
    )
    opened.goto(served.address)
    opened.wait_for_selector("[data-figure='layout.vines']", timeout=PLANNED_MS)
    yield opened
    context.close()
    assert troubles == []
