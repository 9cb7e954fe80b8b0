"""What all tests share: the option that refreshes references, what is random, and the trade
tables."""

import fcntl
import os
from collections.abc import Generator
from pathlib import Path

import pytest

from stavebound.book.layouts import Asked
from stavebound.build.books import build_book
from stavebound.build.values import open_house
from stavebound.trade.catalogue import Catalogue, load_catalogue
from tests.support.made import tallied
from tests.support.seeded import settle

settle()
USED = "examples used"
BOOK = Path(__file__).parents[1] / "books" / "syllabus" / "book.xml"


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


@pytest.fixture(scope="session")
def demonstration_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration book on A5 paper, built once in a run by the worker that comes first."""
    own = tmp_path_factory.getbasetemp()
    folder = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
    out = folder / "syllabus.pdf"
    with (folder / "syllabus.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not out.exists():
            report = build_book(BOOK, out, Asked(paper="A5"), 2, open_house(), lambda what: None)
            assert report.diagnostics == ()
    return out
