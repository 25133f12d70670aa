"""What all tests share: how hypothesis searches, and the checks against published numbers.

A test marked ``published`` states where a number was printed; the fixture of the same
name sets ours beside it. What it saw becomes ``docs/checks.md``.
"""

import math
from dataclasses import dataclass
from pathlib import Path

import hypothesis
import pytest

hypothesis.settings.register_profile("ci", derandomize=True, deadline=None, max_examples=100)
hypothesis.settings.load_profile("ci")

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
CHECKS = Path(__file__).parents[1] / "docs" / "checks.md"
HEADER = """\
# Our numbers beside the published ones

Every row is a test. `make checks` writes this page anew, and the tests fail when it is
out of date. *Difference* is ours less the printed number, as rounded here.

| quantity | source | printed | ours | difference | unit |
|---|---|---:|---:|---:|---|
"""


@pytest.fixture(scope="session")
def browser():
    """Debian's Chromium without a window; one for all tests, as one process has but one."""
    if not CHROMIUM.exists():
        pytest.skip(f"no {CHROMIUM}")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@dataclass(frozen=True, order=True)
class Check:
    """One of our numbers beside a printed one.

    ``ours`` and ``difference`` are rounded to a tenth of the tolerance or finer than the
    print by one digit, so that the last bits of a processor don't change the page.
    """

    quantity: str
    source: str
    printed: str
    ours: str
    difference: str
    unit: str

    @classmethod
    def of(cls, about: dict[str, str], label: str, ours: float, printed: float, tolerance: float):
        digits = max(0, math.ceil(-math.log10(tolerance))) if tolerance > 0 else 9
        shown = round(ours, digits)
        return cls(
            quantity=f"{about['quantity']}, {label}" if label else about["quantity"],
            source=about["source"],
            printed=str(printed),
            ours=plain(shown, digits),
            difference=plain(shown - printed, digits),
            unit=about["unit"],
        )

    def as_row(self) -> str:
        cells = (
            self.quantity,
            self.source,
            self.printed,
            self.ours,
            self.difference,
            self.unit,
        )
        return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def plain(number: float, digits: int) -> str:
    """Write a number without trailing zeros, exponent or minus nought."""
    text = f"{number:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class Published:
    """Sets our numbers beside the printed ones of one test."""

    def __init__(self, about: dict[str, str], checks: list[Check]) -> None:
        self._about = about
        self._checks = checks
        self.used = False

    def equal(self, value: float, *, printed: float, tolerance: float, label: str = "") -> None:
        """Assert that ``value`` lies within ``tolerance`` of the printed number.

        Parameters
        ----------
        value : float
            Our number, in the marker's unit.
        printed : float
            The number as the source prints it.
        tolerance : float
            Largest difference allowed, ends included: half a unit of the last printed
            digit unless the test says why not.
        label : str
            Tells several numbers of one test apart.
        """
        self.used = True
        ours = float(value)
        self._checks.append(Check.of(self._about, label, ours, printed, tolerance))
        # Half a unit of a printed digit is seldom a binary fraction: allow its last bits.
        slack = 8 * math.ulp(max(abs(ours), abs(printed)))
        assert abs(ours - printed) <= tolerance + slack, (
            f"{self._about['quantity']} {label}: ours {ours!r}, printed {printed!r} "
            f"± {tolerance!r} {self._about['unit']} ({self._about['source']})"
        )


class CheckKeeper:
    """Gathers the checks of a session and keeps ``docs/checks.md`` true to them."""

    def __init__(self, config: pytest.Config) -> None:
        self.config = config
        self.checks: list[Check] = []
        self.left_out = False
        self.said = ""

    @property
    def all_ran(self) -> bool:
        """Whether no published check was left out of this run."""
        option = self.config.option
        return (
            self.config.args_source is pytest.Config.ArgsSource.TESTPATHS
            and not option.keyword
            and option.markexpr in {"", "published"}
            and not option.collectonly
            and not self.left_out
        )

    def pytest_deselected(self, items: list[pytest.Item]) -> None:
        if any(item.get_closest_marker("published") for item in items):
            self.left_out = True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if "published" in report.keywords and report.outcome != "passed":
            self.left_out = True

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.left_out = True

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if session.shouldstop or session.shouldfail:
            self.left_out = True
        page = HEADER + "".join(check.as_row() for check in sorted(set(self.checks)))
        if self.config.option.write_checks:
            if self.all_ran:
                CHECKS.write_text(page, encoding="utf-8")
                self.said = f"{CHECKS.name} written: {len(set(self.checks))} checks"
            else:
                self.fail(session, f"{CHECKS.name} not written: not every published test passed")
        elif self.all_ran and (not CHECKS.exists() or CHECKS.read_text(encoding="utf-8") != page):
            self.fail(session, "docs/checks.md is out of date: run `make checks` and commit it")

    def fail(self, session: pytest.Session, why: str) -> None:
        self.said = why
        if session.exitstatus == pytest.ExitCode.OK:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        if self.said:
            terminalreporter.write_line(self.said, bold=True)


KEEPER = pytest.StashKey[CheckKeeper]()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--write-checks",
        action="store_true",
        help="write docs/checks.md from the published checks of this run",
    )


def pytest_configure(config: pytest.Config) -> None:
    keeper = CheckKeeper(config)
    config.stash[KEEPER] = keeper
    config.pluginmanager.register(keeper, "published-checks")


@pytest.fixture
def published(request: pytest.FixtureRequest):
    """Set our numbers beside those of the test's ``published`` marker."""
    marker = request.node.get_closest_marker("published")
    assert marker is not None, "a test that asks for `published` needs the marker"
    assert set(marker.kwargs) == {"source", "quantity", "unit"}, (
        "published() takes source, quantity, unit"
    )
    beside = Published(marker.kwargs, request.config.stash[KEEPER].checks)
    yield beside
    assert beside.used, "a published test compares no number"
