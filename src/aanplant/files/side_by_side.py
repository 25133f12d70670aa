"""Two pieces of work at once, on machines that have two cores."""

import multiprocessing
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection


@contextmanager
def beside(work: Callable[[], None]) -> Iterator[None]:
    """Do work in a second process while the body runs; elsewhere than on Linux, before it.

    The process is a copy of this one as it stands, so it sees all that was made so far, and
    hands nothing back but its error. Only for a program with a single thread.

    Parameters
    ----------
    work : callable
        Writes files.

    Raises
    ------
    ChildProcessError
        If the second process was ended from outside.
    Exception
        Whatever the work raised.
    """
    if sys.platform != "linux":
        work()
        yield
        return
    context = multiprocessing.get_context("fork")
    heard, said = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(work, said))
    process.start()
    said.close()
    try:
        yield
        error = _error_from(heard)
    finally:
        process.kill()  # has nothing left to do, or nobody wants it any more
        process.join()
    if error is not None:
        raise error


def _work(work: Callable[[], None], said: Connection) -> None:
    try:
        work()
    except BaseException as error:  # noqa: BLE001 - raised again by the one who waits
        said.send(error)
    else:
        said.send(None)


def _error_from(heard: Connection) -> BaseException | None:
    try:
        error: BaseException | None = heard.recv()
    except EOFError:
        return ChildProcessError("the process that wrote the other files was ended")
    return error
