"""``aanplant serve``: the estate over HTTP, for this machine."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from aanplant.cli.terminal import output
from aanplant.cli.writing import FILE_GROUPS, write_plan
from aanplant.errors import InputError
from aanplant.plan import Plan
from aanplant.units import UnitSystem

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})


def run_server(estate: Path, host: str, port: int) -> None:
    """Serve an estate until interrupted.

    Raises
    ------
    InputError
        If the folder is no estate's, or the address is not this machine's own.
    """
    if host not in LOOPBACK:
        raise InputError(
            "--host",
            repr(host),
            "127.0.0.1, localhost or ::1; other machines need accounts, which come later",
        )
    import uvicorn

    from aanplant.server import create_app

    app = create_app(estate, groups=FILE_GROUPS, write_plan=_write)
    shown = f"[{host}]" if ":" in host else host
    output.print(
        f"{estate} is served at http://{shown}:{port}/api/1 - end it with Ctrl-C.", markup=False
    )
    uvicorn.run(app, host=host, port=port, log_level="warning", server_header=False)


def _write(
    plan: Plan, folder: Path, made: datetime, groups: Sequence[str], system: UnitSystem
) -> Sequence[str]:
    return write_plan(plan, folder, made=made, groups=groups, system=system)
