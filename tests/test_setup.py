"""The set-up: what it says and does where something is missing, and what the locks hold.

The script runs with a folder of stand-ins as its whole search path, so that a Fedora or a bare
Debian can be acted out on any machine, and nothing is ever installed.
"""

import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from weasyprint.text import ffi

from setup import libraries

ROOT = Path(__file__).parent.parent
RUN_TIME_LOCK = ROOT / "requirements.txt"
DEVELOPMENT_LOCK = ROOT / "requirements-dev.txt"
LOCKED = re.compile(
    r"(?P<name>[a-z0-9-]+)==[\w.]+(?: ; [^\\\n]+)?(?: \\\n    --hash=sha256:[0-9a-f]{64})+\n"
)
TWO_MISSING = "pangoft2\nharfbuzz-subset\n"
DEBIAN_PACKAGES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz0b libharfbuzz-subset0"


def add_program(folder: Path, program: str, body: str) -> None:
    """Put a stand-in, a shell script of this body, into a search path's folder."""
    file = folder / program
    file.write_text(f"#!{shutil.which('sh')}\n{body}\n", encoding="utf-8")
    file.chmod(0o755)


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    """The search path of a user's machine: a fit Python, two libraries short, no package manager.

    The libraries are there as soon as a file `installed` is.
    """
    installed = tmp_path / "installed"
    add_program(tmp_path, "dirname", f'exec {shutil.which("dirname")} "$@"')
    add_program(tmp_path, "id", "echo 1000")
    add_program(
        tmp_path,
        "python3",
        f"case $* in\n*libraries.py) [ -e '{installed}' ] || printf '{TWO_MISSING}' ;;\n"
        f"*) exec '{sys.executable}' \"$@\" ;;\nesac",
    )
    return tmp_path


def run_step(machine: Path, step: str = "libraries") -> subprocess.CompletedProcess[str]:
    shell = shutil.which("sh")
    assert shell is not None
    return subprocess.run(
        [shell, str(ROOT / "setup" / "environment.sh"), step],
        env={"PATH": str(machine)},
        capture_output=True,
        text=True,
        timeout=60,
    )


def calls(machine: Path) -> list[str]:
    log = machine / "calls"
    return log.read_text(encoding="utf-8").splitlines() if log.exists() else []


def logging_calls(machine: Path, then: str) -> str:
    """A stand-in's body: note the program, its front end and its arguments, then go on."""
    return f'echo "${{0##*/}} ${{DEBIAN_FRONTEND:-}} $*" >> "{machine}/calls"\n{then}'


@pytest.mark.parametrize(
    ("manager", "command"),
    [
        (
            "apt-get",
            f"sudo apt-get update && sudo apt-get install --yes {DEBIAN_PACKAGES}",
        ),
        ("dnf", "sudo dnf install pango harfbuzz"),
        ("pacman", "sudo pacman -S pango harfbuzz"),
        (
            "apk",
            "sudo apk add so:libpango-1.0.so.0 so:libpangoft2-1.0.so.0"
            " so:libharfbuzz.so.0 so:libharfbuzz-subset.so.0",
        ),
        ("brew", "brew install python pango harfbuzz"),
    ],
)
def test_a_user_short_of_libraries_is_told_the_command(
    machine: Path, manager: str, command: str
) -> None:
    add_program(machine, manager, logging_calls(machine, "exit 0"))
    result = run_step(machine)
    assert result.returncode != 0
    assert f"    {command}\n" in result.stderr
    assert TWO_MISSING in result.stderr
    assert calls(machine) == []


def test_root_elsewhere_is_told_the_command_without_sudo(machine: Path) -> None:
    add_program(machine, "id", "echo 0")
    add_program(machine, "dnf", logging_calls(machine, "exit 0"))
    result = run_step(machine)
    assert result.returncode != 0
    assert "    dnf install pango harfbuzz\n" in result.stderr
    assert calls(machine) == []


def test_an_unknown_system_is_told_what_is_missing(machine: Path) -> None:
    result = run_step(machine)
    assert result.returncode != 0
    assert TWO_MISSING in result.stderr
    assert "in this system's own way" in result.stderr


def test_root_on_debian_gets_the_libraries(machine: Path) -> None:
    add_program(machine, "id", "echo 0")
    arrive = f'case $* in *harfbuzz-subset0*) : > "{machine}/installed" ;; esac'
    add_program(machine, "apt-get", logging_calls(machine, arrive))
    result = run_step(machine)
    assert result.returncode == 0, result.stderr
    update, install = calls(machine)
    assert update.split()[:2] == ["apt-get", "update"]
    assert install.startswith("apt-get noninteractive install ")
    assert install.endswith(DEBIAN_PACKAGES)


def test_root_on_debian_is_told_the_command_where_installing_fails(machine: Path) -> None:
    add_program(machine, "id", "echo 0")
    add_program(machine, "apt-get", logging_calls(machine, "exit 100"))
    result = run_step(machine)
    assert result.returncode != 0
    assert f"    apt-get update && apt-get install --yes {DEBIAN_PACKAGES}\n" in result.stderr


def test_nothing_is_said_or_installed_where_all_is_there(machine: Path) -> None:
    (machine / "installed").touch()
    add_program(machine, "id", "echo 0")
    add_program(machine, "apt-get", logging_calls(machine, "exit 0"))
    result = run_step(machine)
    assert (result.returncode, result.stdout, result.stderr) == (0, "", "")
    assert calls(machine) == []


WITHOUT_VENV = "case $* in *ensurepip*) exit 1 ;; esac"
TOO_OLD = "exit 1"


@pytest.mark.parametrize(
    ("python3", "manager", "packages"),
    [
        (WITHOUT_VENV, "apt-get", "--yes python3 python3-venv"),
        (TOO_OLD, "apt-get", "--yes python3.11 python3.11-venv"),
        (WITHOUT_VENV, "dnf", "install python3"),
        (TOO_OLD, "dnf", "install python3.12"),
        (TOO_OLD, "pacman", "-S python"),
        (TOO_OLD, "apk", "add python3"),
        (TOO_OLD, "brew", "brew install python"),
    ],
)
@pytest.mark.parametrize("step", ["libraries", "packages"])
def test_an_unfit_python_is_answered_with_the_package_that_brings_one(
    machine: Path, python3: str, manager: str, packages: str, step: str
) -> None:
    add_program(machine, "python3", python3)
    add_program(machine, manager, logging_calls(machine, "exit 0"))
    result = run_step(machine, step)
    assert result.returncode != 0
    assert "Python 3.11 or newer with its venv module was not found." in result.stderr
    assert f"{packages}\n" in result.stderr
    assert calls(machine) == []


def test_a_newer_python_beside_an_old_one_is_found(machine: Path) -> None:
    (machine / "installed").touch()
    (machine / "python3").rename(machine / "python3.12")
    add_program(machine, "python3", TOO_OLD)
    assert run_step(machine).returncode == 0


def test_a_wrong_step_is_answered_with_the_usage(machine: Path) -> None:
    result = run_step(machine, "everything")
    assert result.returncode != 0
    assert "libraries | packages | project" in result.stderr


def test_a_library_under_no_known_name_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    names = {"none-such": ("libnone-such.so.0", "none-such")}
    monkeypatch.setattr(libraries, "LIBRARIES", libraries.LIBRARIES | names)
    assert libraries.missing_libraries() == ["none-such"]


@pytest.mark.parametrize("library", libraries.LIBRARIES)
def test_libraries_are_tried_by_names_that_weasyprint_tries(library: str) -> None:
    source = Path(ffi.__file__).read_text(encoding="utf-8")
    assert all(f"'{name}'" in source for name in libraries.LIBRARIES[library])


def test_weasyprint_itself_finds_the_library_it_can_do_without() -> None:
    assert ffi.harfbuzz_subset is not None


@pytest.mark.parametrize("lock", [RUN_TIME_LOCK, DEVELOPMENT_LOCK], ids=lambda path: path.name)
def test_a_lock_is_versions_and_hashes_and_nothing_else(lock: Path) -> None:
    assert LOCKED.sub("", lock.read_text(encoding="utf-8")) == ""


@pytest.mark.parametrize("lock", [RUN_TIME_LOCK, DEVELOPMENT_LOCK], ids=lambda path: path.name)
def test_a_lock_holds_what_the_project_asks_for(lock: Path) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    asked = list(project["project"]["dependencies"])
    if lock == DEVELOPMENT_LOCK:
        asked += project["dependency-groups"]["dev"]
    names = {re.split(r"[=<>~!]", requirement)[0] for requirement in asked}
    locked = {match["name"] for match in LOCKED.finditer(lock.read_text(encoding="utf-8"))}
    assert names <= locked


def test_the_development_lock_holds_the_run_time_lock() -> None:
    run_time, development = (
        {match.group() for match in LOCKED.finditer(lock.read_text(encoding="utf-8"))}
        for lock in (RUN_TIME_LOCK, DEVELOPMENT_LOCK)
    )
    assert run_time < development


def test_the_automatic_run_gives_the_documented_test_command() -> None:
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert run.splitlines()[-1] == "make test"
    assert re.search(r"^\s*make test\b", (ROOT / "README.md").read_text(encoding="utf-8"), re.M)
