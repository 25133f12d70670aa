"""``aanplant serve``: the estate over HTTP, for this machine."""

import socket
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from aanplant.cli.terminal import output
from aanplant.cli.writing import FILE_GROUPS, write_plan
from aanplant.errors import InputError
from aanplant.files.plan_folder import Told
from aanplant.plan import Plan
from aanplant.units import UnitSystem

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
PATIENCE_S = 2
"""Pages that still listen when the server is ended are left after this time."""


def run_server(estate: Path, host: str, port: int) -> None:
    """Serve an estate until interrupted.

    Raises
    ------
    InputError
        If the folder is no estate's, the address is not this machine's own, or the port is
        taken.
    """
    if host not in LOOPBACK:
        raise InputError(
            "--host",
            repr(host),
            "127.0.0.1, localhost or ::1; other machines need accounts, which come later",
        )
    import uvicorn

    from aanplant.server import create_app

    app = create_app(estate, groups=FILE_GROUPS, write_plan=_write, plans_ahead=True)
    with _listening(host, port) as listener:
        shown = f"[{host}]" if ":" in host else host
        output.print(
            f"{estate} is served at http://{shown}:{port} - end it with Ctrl-C.", markup=False
        )
        settings = uvicorn.Config(
            app,
            log_level="warning",
            server_header=False,
            timeout_graceful_shutdown=PATIENCE_S,
        )
        uvicorn.Server(settings).run(sockets=[listener])


def _listening(host: str, port: int) -> socket.socket:
    """Take the port before anything is said, so that a taken one gives one clear message."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except OSError as error:
        raise InputError(
            "--port", f"{port}, which can't be listened on ({error.strerror})", "a free port"
        ) from None


def _write(  # noqa: PLR0917 - as the server calls it
    plan: Plan, folder: Path, made: datetime, groups: Sequence[str], system: UnitSystem, told: Told
) -> Sequence[str]:
    return write_plan(plan, folder, made=made, groups=groups, system=system, told=told)
