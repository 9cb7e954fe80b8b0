"""References fail where they differ, also in the run that writes them anew; and what tests share
stands in no test."""

import re
from pathlib import Path

import pytest

from tests.support.references import orphans, reference


def test_what_is_the_same_passes(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("plié\n", encoding="utf-8")
    reference(path, "plié\n", update=False)
    reference(path, "plié\n", update=True)


def test_what_differs_fails_and_is_shown(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("one\ntwo\n", encoding="utf-8")
    with pytest.raises(pytest.fail.Exception, match=r"(?s)a\.txt: this is not.*-two\n\+three"):
        reference(path, "one\nthree\n", update=False)
    assert path.read_text(encoding="utf-8") == "one\ntwo\n"


def test_what_is_missing_fails(tmp_path: Path) -> None:
    with pytest.raises(pytest.fail.Exception, match="there is no reference"):
        reference(tmp_path / "a.txt", "one\n", update=False)
    assert not (tmp_path / "a.txt").exists()


def test_an_update_writes_and_fails_once(tmp_path: Path) -> None:
    path = tmp_path / "folder" / "a.txt"
    with pytest.raises(pytest.fail.Exception, match="written anew"):
        reference(path, "one\n", update=True)
    reference(path, "one\n", update=False)
    assert [file.name for file in path.parent.iterdir()] == ["a.txt"]


def test_orphans_are_what_no_case_asks_for(tmp_path: Path) -> None:
    for name in ("a.txt", "b.txt", "c.xml"):
        (tmp_path / name).touch()
    assert orphans(tmp_path, "*.txt", [tmp_path / "a.txt"]) == [tmp_path / "b.txt"]
    assert orphans(tmp_path, "*.txt", [tmp_path / "a.txt", tmp_path / "b.txt"]) == []


def test_no_test_imports_from_another() -> None:
    folder = Path(__file__).parent
    shared = [
        f"{path.relative_to(folder)}: {match[0]}"
        for path in folder.rglob("*.py")
        for match in re.finditer(r"(?m)^(from|import) tests\..*\btest_\w+", path.read_text("utf-8"))
    ]
    assert shared == []
