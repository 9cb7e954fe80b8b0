"""What all tests share: the option that refreshes references, and the trade tables."""

import pytest
from hypothesis import HealthCheck, settings

from stavebound.trade.catalogue import Catalogue, load_catalogue

# The clock of a busy machine says nothing about a property.
settings.register_profile("stavebound", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("stavebound")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-references",
        action="store_true",
        help="write the references anew where they differ; the run fails all the same",
    )


@pytest.fixture(scope="session")
def update_references(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-references"))


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load_catalogue()
