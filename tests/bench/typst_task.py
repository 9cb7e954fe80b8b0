"""Typst's source to PDF, in a process with nothing of ours: the folder, and that of the faces.

Prints a line of JSON: seconds, pages and bytes. The loading of Typst is in the seconds.
"""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path


def main(folder: Path, faces: str) -> None:
    begin = time.perf_counter()
    import typst

    made = folder / "typst.pdf"
    typst.compile(
        str(folder / "book.typ"),
        output=str(made),
        font_paths=[faces],
        ignore_system_fonts=True,
        pdf_tags=False,
    )
    seconds = time.perf_counter() - begin
    told = {"seconds": seconds, "pages": pages_of(made), "bytes": made.stat().st_size}
    print(json.dumps(told))


def pages_of(pdf: Path) -> int:
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    pages = len(document)
    document.close()
    return pages


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2])
