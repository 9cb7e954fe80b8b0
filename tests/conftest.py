"""What all tests share: the option that refreshes references, what is random, and the trade
tables."""

import os
from collections.abc import Generator
from pathlib import Path

import pytest

from stavebound.trade.catalogue import Catalogue, load_catalogue
from tests.support.class_books import ClassBook, class_book
from tests.support.made import tallied
from tests.support.seeded import settle

settle()
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


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What is random comes first: it takes longest, and nobody waits for it at the end."""
    items.sort(key=lambda item: item.get_closest_marker("hypothesis") is None)


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
def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One for all workers of a run."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session")
def book_on_a5(shared_folder: Path) -> ClassBook:
    return class_book(shared_folder, "A5")


@pytest.fixture(scope="session")
def book_on_a4(shared_folder: Path) -> ClassBook:
    return class_book(shared_folder, "A4")


@pytest.fixture(scope="session")
def demonstration_book(book_on_a5: ClassBook) -> Path:
    return book_on_a5.pdf
