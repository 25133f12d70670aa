"""Plans that are made in the background: how far they are, how they end, how to stop them."""

import logging
import threading
import uuid
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any, Literal

from aanplant.errors import Cancelled, InputError
from aanplant.server.problems import problem_document
from aanplant.stages import STAGE_NAMES

State = Literal["waiting", "running", "done", "failed", "cancelled"]
ENDED: frozenset[State] = frozenset({"done", "failed", "cancelled"})
KEPT = 100
"""Jobs that can still be asked for; older ones are forgotten when they have ended."""

Work = Callable[[Callable[[str, float], None]], dict[str, Any]]
"""Does the work; calls back with stage and fraction, and returns what came of it."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a job is.

    Parameters
    ----------
    step : int
        Counts up with every change.
    state : str
        ``waiting``, ``running``, ``done``, ``failed`` or ``cancelled``.
    stage : str
        Stage it is in, "" before the first.
    fraction : float
        Of the whole job, 0 to 1.
    result : dict or None
        What came of it, when done.
    problem : dict or None
        Why it failed, as problem details.
    """

    step: int = 0
    state: State = "waiting"
    stage: str = ""
    fraction: float = 0.0
    result: dict[str, Any] | None = None
    problem: dict[str, Any] | None = None


class Job:
    """One plan in the making.

    Parameters
    ----------
    block : str
        Of which block.
    """

    def __init__(self, block: str) -> None:
        self.id = uuid.uuid4().hex
        self.block = block
        self._lock = threading.RLock()
        self._progress = Progress()
        self._is_unwanted = False

    @property
    def progress(self) -> Progress:
        """How far it is now."""
        return self._progress

    def cancel(self) -> None:
        """Stop it at its next sign of progress; one that has ended stays as it is."""
        with self._lock:
            self._is_unwanted = True
            if self._progress.state == "waiting":
                self._move(state="cancelled")

    def run(self, work: Work) -> None:
        """Do the work, and tell how it ended."""
        with self._lock:
            if self._progress.state in ENDED:
                return
            self._move(state="running")
        try:
            result = work(self._check)
        except Cancelled:
            self._move(state="cancelled")
        except InputError as error:
            about = {"where": error.where, "found": error.found, "expected": error.expected}
            self._move(state="failed", problem=problem_document(422, str(error), about))
        except OSError as error:
            detail = f"The plan could not be written ({error.strerror or error})."
            self._move(state="failed", problem=problem_document(507, detail))
        except Exception as error:
            logging.getLogger(__name__).exception("planning %s", self.block)
            detail = f"A fault in the program ({type(error).__name__})."
            self._move(state="failed", problem=problem_document(500, detail))
        else:
            self._move(state="done", fraction=1.0, result=result)

    def _check(self, stage: str, fraction: float) -> None:
        if self._is_unwanted:
            raise Cancelled
        # Writing the files follows the stages and counts as one more.
        place = STAGE_NAMES.index(stage) if stage in STAGE_NAMES else len(STAGE_NAMES)
        self._move(stage=stage, fraction=(place + fraction) / (len(STAGE_NAMES) + 1))

    def _move(self, **changes: Any) -> None:  # noqa: ANN401 - fields of Progress
        with self._lock:
            self._progress = replace(self._progress, step=self._progress.step + 1, **changes)


class Jobs:
    """All jobs of a server; one at a time is worked on."""

    def __init__(self) -> None:
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = threading.Lock()
        self._workers = ThreadPoolExecutor(1, thread_name_prefix="plan")

    def start(self, block: str, work: Work) -> Job:
        """Put a new job at the end of the line; earlier ones for the same block are stopped."""
        job = Job(block)
        with self._lock:
            for earlier in self._jobs.values():
                if earlier.block == block and earlier.progress.state not in ENDED:
                    earlier.cancel()
            self._jobs[job.id] = job
            self._forget()
            self._workers.submit(job.run, work)
        return job

    def get(self, job_id: str) -> Job | None:
        """Return a job, None where there is none of that id."""
        return self._jobs.get(job_id)

    def close(self) -> None:
        """Stop all of them."""
        with self._lock:
            for job in self._jobs.values():
                job.cancel()
        self._workers.shutdown(wait=True, cancel_futures=True)

    def _forget(self) -> None:
        ended = [key for key, job in self._jobs.items() if job.progress.state in ENDED]
        for key in ended[: max(len(self._jobs) - KEPT, 0)]:
            del self._jobs[key]
