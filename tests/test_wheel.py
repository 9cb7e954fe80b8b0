"""The wheel: made from the checkout, installed elsewhere, it starts and builds a book.

No step uses the network: the packages that stavebound needs are those of the environment that
runs the tests, stavebound itself comes out of the wheel.
"""

import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parent.parent
NO_NETWORK = """\
import sys

def refuse(event, args):
    beyond_this_machine = event == "socket.connect" and isinstance(args[1], tuple)
    if beyond_this_machine or event == "socket.getaddrinfo":
        raise OSError("this must work without a network")

sys.addaudithook(refuse)
"""


def run(*command: str | Path, cwd: Path) -> str:
    """What a command printed; where it fails, the test fails with all that it said."""
    environment = {"PATH": os.defpath, "HOME": str(cwd), "LANG": "C.UTF-8"}
    result = subprocess.run(
        command, cwd=cwd, env=environment, capture_output=True, text=True, timeout=180
    )
    assert result.returncode == 0, result.stdout + result.stderr
    return result.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=ROOT)
    (made,) = folder.glob("stavebound-*-py3-none-any.whl")
    return made


@pytest.fixture(scope="module")
def programs(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the programs of a new environment are: it holds the wheel, nothing of the checkout."""
    environment = tmp_path_factory.mktemp("elsewhere")
    venv.create(environment, with_pip=False)
    programs = environment / "bin"
    install = ("-m", "pip", "--python", programs / "python", "install", "--no-index", "--no-deps")
    run(sys.executable, *install, wheel, cwd=environment)
    packages = Path(run(programs / "python", "-c", WHERE_PACKAGES_ARE, cwd=environment).strip())
    # A path in a .pth file is searched last, and the .pth files at that path are not obeyed:
    # the checkout's editable install stays out of sight.
    (packages / "needed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    # Not sitecustomize: some systems' Python has one of its own, which comes first.
    (packages / "no_network.py").write_text(NO_NETWORK, encoding="utf-8")
    (packages / "no_network.pth").write_text("import no_network\n", encoding="utf-8")
    return programs


WHERE_PACKAGES_ARE = "import sysconfig; print(sysconfig.get_path('purelib'))"


def source_files(folder: Path, prefix: str) -> set[str]:
    return {
        f"{prefix}/{path.relative_to(folder).as_posix()}"
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


def test_the_wheel_holds_every_file_of_the_pipeline_and_the_layouts(wheel: Path) -> None:
    with ZipFile(wheel) as archive:
        held = {name for name in archive.namelist() if name.startswith("stavebound/")}
    pipeline = source_files(ROOT / "pipeline" / "stavebound", "stavebound")
    assert held == pipeline | source_files(ROOT / "layouts", "stavebound/layouts")


@pytest.mark.parametrize(
    ("room", "ending"),
    [
        ("layouts/syllabus", ".css"),
        ("source", ".rnc"),
        ("source", ".rng"),
        ("trade", ".toml"),
    ],
)
def test_the_wheel_holds_files_that_are_not_python(wheel: Path, room: str, ending: str) -> None:
    with ZipFile(wheel) as archive:
        names = archive.namelist()
    assert any(name.startswith(f"stavebound/{room}/") and name.endswith(ending) for name in names)


def test_the_installed_package_comes_out_of_the_wheel(programs: Path, tmp_path: Path) -> None:
    where = "import stavebound.cli; print(stavebound.cli.__file__)"
    file = Path(run(programs / "python", "-c", where, cwd=tmp_path).strip())
    assert file.is_relative_to(programs.parent)


def test_the_guard_against_the_network_holds(programs: Path, tmp_path: Path) -> None:
    attempt = (
        "import socket\n"
        "try: socket.create_connection(('127.0.0.1', 9))\n"
        "except OSError as error: print(error)"
    )
    said = run(programs / "python", "-c", attempt, cwd=tmp_path)
    assert "without a network" in said


def test_a_new_book_builds_in_an_oddly_named_folder(programs: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "À la barre"
    elsewhere.mkdir()
    run(programs / "stavebound", "new", "Été 1", cwd=elsewhere)
    (book,) = (elsewhere / "Été 1").rglob("book.xml")
    pdf = elsewhere / "cahier d'été.pdf"
    run(programs / "stavebound", "build", book, "--out", pdf, cwd=elsewhere)
    assert pdf.read_bytes().startswith(b"%PDF-")
