"""Processes that are stopped: builds with a signal at a named moment, and who of them lives on."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

ROOT = Path(__file__).parents[2]
EARLIER = b"%PDF-1.7 an earlier book"
# Seconds that the processes of a build have to end after it.
AFTER = 5.0

# A build that sends itself a signal at a named moment, of which all that follow have one outcome.
AT_MOMENT = """
import os, pathlib, signal, sys
from functools import partial
number, moment = int(sys.argv.pop(1)), sys.argv.pop(1)
# What runs in the background is born deaf to some of them.
for each in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
    signal.signal(each, signal.SIG_DFL)

def then(do, *given):
    done = do(*given)
    os.kill(os.getpid(), number)
    return done

def but_first(do, *given):
    os.kill(os.getpid(), number)
    return do(*given)

sync, put = os.fsync, pathlib.Path.replace
if moment == "synced":
    os.fsync = partial(then, sync)
elif moment == "placing":
    pathlib.Path.replace = lambda *given: but_first(put, *given)
else:
    pathlib.Path.replace = lambda *given: then(put, *given)
from stavebound.__main__ import main
main()
"""


def environment(scratch: Path) -> dict[str, str]:
    path = f"{ROOT / 'pipeline'}{os.pathsep}{ROOT}"
    return {**os.environ, "TMPDIR": str(scratch), "PYTHONPATH": path}


def alive_after(group: int) -> list[str]:
    """The processes of a group that have not ended in time."""
    end = time.monotonic() + AFTER
    while left := list(members(group)):
        if time.monotonic() > end:
            with suppress(ProcessLookupError):
                os.killpg(group, signal.SIGKILL)
            return left
        time.sleep(0.02)
    return []


def members(group: int) -> Iterator[str]:
    """The living processes of a group, from the system's own table."""
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            text = stat.read_text(encoding="utf-8", errors="replace")
            state, _parent, own = text[text.rindex(")") + 1 :].split()[:3]
            if int(own) == group and state not in "ZX":
                yield text[: text.rindex(")") + 1]
