"""The command line: thin commands over the library."""

import gc
import os
import sys

from aanplant.cli.lean_imports import WithoutTables

COLLECT_EVERY = 200_000
"""Objects made between two looks for what nobody holds any more. Python's own 700 cost a fifth
of the time of a plan, whose objects live to its end."""


def main() -> None:
    """Run the command line; the one place where errors become messages and exit codes."""
    from aanplant.cli.app import app
    from aanplant.errors import InputError

    prepare_python()
    try:
        app()
    except InputError as error:
        print(f"aanplant: {error}", file=sys.stderr)  # noqa: T201 - the command line speaks here
        sys.exit(2)
    except KeyboardInterrupt:
        print("aanplant: stopped; nothing was left half written", file=sys.stderr)  # noqa: T201
        sys.exit(130)
    except OSError as error:
        print(f"aanplant: could not finish: {error}", file=sys.stderr)  # noqa: T201
        sys.exit(3)
    except Exception as error:
        print(  # noqa: T201
            f"aanplant: failed unexpectedly ({type(error).__name__}: {error}). "
            "This is a fault in the program; set AANPLANT_TRACEBACK=1 to see where.",
            file=sys.stderr,
        )
        if os.environ.get("AANPLANT_TRACEBACK"):
            raise
        sys.exit(3)


def prepare_python() -> None:
    """Set Python and its libraries, before they are imported, for a program that plans."""
    gc.set_threshold(COLLECT_EVERY)
    sys.meta_path.insert(0, WithoutTables())
    # Our matrices are small: a second thread would only wait, at the cost of a core.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
