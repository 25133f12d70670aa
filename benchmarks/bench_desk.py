"""From a server just started to the first sheet in a browser, and the size of what it loads."""

import gzip
import http.client
import shutil
import socket
import subprocess
import tempfile
import time
from pathlib import Path

from benchmarks.bench_plan import COMMAND, ENVIRONMENT
from benchmarks.timing import Result

SHEET_LIMIT_S = 1.5
SIZE_LIMIT_B = 400_000
CHROMIUM = "/usr/bin/chromium"
EXAMPLE = Path(__file__).parents[1] / "examples" / "lowquince"
FIRST_SHEET = "[data-figure='layout.vines']"
"""Stands as soon as the first answer with rows and vines is there."""
ANSWERED_S, DRAWN_MS = 60.0, 30_000
RUNS = 3
PACKED = (".woff2", ".png")


def results():
    """Yield the time of the best run; its note holds the size of scripts, styles and fonts."""
    seconds, loaded = min((_opened() for _ in range(RUNS)), key=lambda run: run[0])
    size = sum(loaded.values())
    note = f"{len(loaded)} files, {size / 1e3:.0f} of {SIZE_LIMIT_B / 1e3:.0f} kB packed"
    yield Result("desk page, cold server to first sheet", "limit", seconds, SHEET_LIMIT_S, 1, note)


def _opened():
    """Seconds to the first sheet of a block, and the packed size of every file loaded [B]."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as started:
        estate = Path(shutil.copytree(EXAMPLE, Path(folder) / "estate"))
        with socket.create_server(("127.0.0.1", 0)) as taken:
            port = taken.getsockname()[1]
        browser = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        server = subprocess.Popen(
            [COMMAND, "serve", estate, "--port", str(port)], env=ENVIRONMENT,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        try:
            _wait_for(port)
            page = browser.new_page()
            page.add_init_script("localStorage.setItem('aanplant:seen', 'yes')")
            return _first_sheet(page, f"http://127.0.0.1:{port}")
        finally:
            browser.close()
            server.terminate()
            server.wait()


def _first_sheet(page, address):
    answers = []
    page.on("response", lambda answer: answers.append(answer))  # noqa: PLW0108 - no builtin fits
    start = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_selector(FIRST_SHEET, timeout=DRAWN_MS)
    seconds = time.perf_counter() - start
    files = {one.url: one.body() for one in answers if "/api/" not in one.url and one.ok}
    return seconds, {
        url: len(body if url.endswith(PACKED) else gzip.compress(body))
        for url, body in files.items()
    }


def _wait_for(port):
    """Until the server answers with its page; a plan was not asked for yet."""
    until = time.perf_counter() + ANSWERED_S
    while True:
        asked = http.client.HTTPConnection("127.0.0.1", port, timeout=ANSWERED_S)
        try:
            asked.request("GET", "/")
            asked.getresponse().read()
        except OSError:
            if time.perf_counter() > until:
                raise
            time.sleep(0.05)
        else:
            return
        finally:
            asked.close()
