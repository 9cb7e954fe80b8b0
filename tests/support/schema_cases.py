"""The cases of reading and schema: each file says in comments what is to be found in it, and where.

The first comment is a sentence that says what the case shows. A comment at the
end of a line such as <!-- error S106 "haf" --> expects a diagnostic on that
line whose caret stands under the quoted words. Nothing else may be found; a
file whose name begins with "good" has no fault.
"""

import re
from pathlib import Path

from stavebound.diagnostics import Diagnostic
from stavebound.source.reading import read_source
from stavebound.source.schema import load_schema, schema_faults

FOLDER = Path(__file__).parents[1] / "cases" / "schema"
CASES = sorted(FOLDER.glob("*.xml"))
EXPECTATION = re.compile(r'<!-- error ([A-Z][0-9]{3}) "([^"]+|.+?)" -->')

Finding = tuple[int, str, str]


def faults_in(path: Path) -> tuple[Diagnostic, ...]:
    """All that is said of a file from reading it to the schema."""
    read = read_source(path, path.name)
    return schema_faults(read.value, load_schema()) if read.value else read.diagnostics


def expected(path: Path) -> list[Finding]:
    """Line, code and words under the caret of all that a case expects."""
    return sorted(
        (number, match[1], match[2])
        for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), 1)
        for match in EXPECTATION.finditer(line)
    )


def found(path: Path) -> list[Finding]:
    """Line, code and words under the caret of all that is found in a case."""
    lines = path.read_text(encoding="utf-8").split("\n")
    findings = []
    for fault in faults_in(path):
        assert fault.span is not None
        start = fault.span.column - 1
        words = lines[fault.span.line - 1][start : start + fault.span.length]
        findings.append((fault.span.line, fault.code, words))
    return sorted(findings)
