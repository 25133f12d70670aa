"""``aanplant serve`` as a user starts it, in a process of its own."""

import http.client
import json
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.cli.test_commands import COMMAND, EXAMPLE, run


@pytest.fixture
def port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as free:
        return int(free.getsockname()[1])


@pytest.fixture
def served(port: int, tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    estate = tmp_path / "lowquince"
    shutil.copytree(EXAMPLE, estate)
    command = [COMMAND, "serve", estate, "--port", str(port)]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert server.stdout is not None
        assert f"http://127.0.0.1:{port}" in server.stdout.readline()
        yield server
    finally:
        server.kill()
        server.communicate(timeout=10)


def ask(port: int, path: str, sent: object = None) -> dict[str, Any]:
    """Ask for a JSON document; the port is open before the address is printed."""
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=30)) as speaking:
        if sent is None:
            speaking.request("GET", path)
        else:
            speaking.request("POST", path, json.dumps(sent), {"Content-Type": "application/json"})
        told = json.loads(speaking.getresponse().read())
    assert isinstance(told, dict)
    return told


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.4", "::"])  # noqa: S104 - refused
def test_other_addresses_are_refused_with_a_word_on_accounts(host: str):
    done = run("serve", EXAMPLE, "--host", host, expect=2)

    assert "accounts, which come later" in done.stderr


def test_a_folder_that_is_no_estate_is_refused(tmp_path: Path):
    done = run("serve", tmp_path, expect=2)

    assert "no estate.toml" in done.stderr


def test_a_port_that_is_taken_is_said_in_one_line(port: int):
    with socket.create_server(("127.0.0.1", port)):
        done = run("serve", EXAMPLE, "--port", port, expect=2)

    assert done.stderr.count("\n") == 1
    assert str(port) in done.stderr


def test_an_estate_is_served_until_it_is_interrupted(served: subprocess.Popen[str], port: int):
    told = ask(port, "/api/v1/estate")
    served.send_signal(signal.SIGINT)

    assert told["blocks"] == ["kiepersol", "onderveld"]
    assert served.wait(20) in {0, 130}


def test_a_dropped_stream_leaves_the_server_answering_and_the_plan_running(
    served: subprocess.Popen[str], port: int
):
    del served
    told = ask(port, "/api/v1/blocks/kiepersol/plans", {"files": []})
    streams = []
    for _ in range(60):
        stream = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        stream.request("GET", f"/api/v1/jobs/{told['id']}/events")
        streams.append((stream, stream.getresponse()))

    first = streams[0][1].readline()
    for stream, answer in streams:
        answer.close()
        stream.close()

    assert first == b"event: progress\n"
    assert ask(port, "/api/v1/estate")["blocks"]
    latest = time.monotonic() + 60
    while ask(port, f"/api/v1/jobs/{told['id']}")["state"] in {"waiting", "running"}:
        assert time.monotonic() < latest
        time.sleep(0.2)
    assert ask(port, f"/api/v1/jobs/{told['id']}")["state"] == "done"
