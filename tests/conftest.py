"""What all tests share: the option that refreshes references, what is random, and the trade
tables."""

from collections.abc import Generator

import pytest
from hypothesis import HealthCheck, settings

from stavebound.trade.catalogue import Catalogue, load_catalogue
from tests.support.made import tallied

# The clock of a busy machine says nothing about a property.
settings.register_profile("stavebound", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("stavebound")
USED = "examples used"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-references",
        action="store_true",
        help="write the references anew where they differ; the run fails all the same",
    )


def pytest_report_header(config: pytest.Config) -> str:
    seed = config.getoption("--hypothesis-seed")
    return f"random examples of seed {seed}; the same again with --hypothesis-seed={seed}"


@pytest.hookimpl(wrapper=True)
def pytest_pyfunc_call(pyfuncitem: pytest.Function) -> Generator[None, object, object]:
    with tallied() as tally:
        try:
            return (yield)
        finally:
            if tally.tried:
                pyfuncitem.user_properties.append((USED, str(tally)))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    told = {
        f"{report.nodeid.rpartition('::')[2]}: {text}"
        for reports in terminalreporter.stats.values()
        for report in reports
        for name, text in getattr(report, "user_properties", ())
        if name == USED
    }
    if told:
        terminalreporter.section("random examples that could be used")
        terminalreporter.write_line("\n".join(sorted(told)))


@pytest.fixture(scope="session")
def update_references(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-references"))


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load_catalogue()
