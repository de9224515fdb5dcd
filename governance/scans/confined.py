"""Work on hostile content in a process of its own, with limits of memory, processor time, disk and the clock.

The child is ``python -m governance.scans.confined MODULE ...``: it sets its limits first, then imports MODULE and calls
its ``main(arguments)``; what that returns comes back as JSON. It knows no Django, no settings and no secrets.

The limits are set by the child itself, before it reads a byte of the content: a function between fork and exec
(``preexec_fn``) may hang in a server with threads.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, Any, Literal

__all__ = ["ConfinedError", "Limits", "run"]

_ROOT = Path(__file__).resolve().parents[2]
_OUT_OF_MEMORY = 77
"""Exit code of a child that could get no more memory."""

_MOST_ANSWER_BYTES = 32_000_000


@dataclass(frozen=True)
class Limits:
    """What a child may use. file_mb: the largest file that it writes, its answer included."""

    memory_mb: int = 1500
    processor_seconds: int = 30
    clock_seconds: int = 60
    file_mb: int = 200


class ConfinedError(RuntimeError):
    """The child gave no answer.

    reason: "time", "memory", or "crash"; details: the end of what it complained, for logs.
    """

    def __init__(self, reason: Literal["time", "memory", "crash"], details: str = "") -> None:
        super().__init__(f"{reason}: {details}" if details else reason)
        self.reason = reason
        self.details = details


def run(module: str, arguments: Sequence[str | Path], *, limits: Limits = Limits()) -> Any:
    """What ``main(arguments)`` of a module answers, from a process of its own.

    Raises:
        ConfinedError: it took too long, wanted too much memory, or broke down.
    """
    command = [sys.executable, "-m", __name__, json.dumps(asdict(limits)), module, *map(str, arguments)]
    with tempfile.TemporaryFile() as answer, tempfile.TemporaryFile() as complaint:
        child = subprocess.Popen(
            command, stdin=subprocess.DEVNULL, stdout=answer, stderr=complaint, cwd=_ROOT, env=_environment(),
            start_new_session=True,
        )  # fmt: skip
        code = _wait(child, limits.clock_seconds)
        if code != 0:
            raise ConfinedError(_reason(code), _end_of(complaint))
        return _read(answer)


_INHERITED = ("PATH", "HOME", "TMPDIR", "LANG", "TESSDATA_PREFIX")


def _environment() -> dict[str, str]:
    """Nothing but what a process needs: no passwords of the database, no key of the site."""
    inherited = {name: os.environ[name] for name in _INHERITED if name in os.environ}
    # One thread each: threads of numeric libraries reserve memory that counts against the limit.
    alone = dict.fromkeys(("OMP_NUM_THREADS", "OMP_THREAD_LIMIT", "OPENBLAS_NUM_THREADS"), "1")
    return inherited | alone | {"PYTHONUTF8": "1"}


def _wait(child: subprocess.Popen[bytes], seconds: int) -> int:
    """The exit code; after the time all processes of the child are ended.

    Raises:
        ConfinedError: the time is over.
    """
    try:
        return child.wait(seconds)
    except subprocess.TimeoutExpired:
        raise ConfinedError("time", f"no answer within {seconds} s") from None
    finally:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(child.pid, signal.SIGKILL)  # also what the child has started
        child.wait()


def _reason(code: int) -> Literal["time", "memory", "crash"]:
    if code == _OUT_OF_MEMORY:
        return "memory"
    return "time" if code == -signal.SIGXCPU else "crash"


def _end_of(complaint: IO[bytes]) -> str:
    complaint.seek(max(0, complaint.seek(0, os.SEEK_END) - 2000))
    return complaint.read().decode("utf-8", "replace").strip()


def _read(answer: IO[bytes]) -> Any:
    answer.seek(0)
    text = answer.read(_MOST_ANSWER_BYTES + 1)
    if len(text) > _MOST_ANSWER_BYTES:
        raise ConfinedError("crash", "the answer is too long")
    try:
        return json.loads(text)
    except ValueError as error:
        raise ConfinedError("crash", f"the answer is no JSON: {error}") from error


def _set_limits(limits: Limits) -> None:
    import resource

    megabyte = 1024 * 1024
    wanted = {
        resource.RLIMIT_CPU: limits.processor_seconds,
        resource.RLIMIT_AS: limits.memory_mb * megabyte,
        resource.RLIMIT_FSIZE: limits.file_mb * megabyte,
        resource.RLIMIT_CORE: 0,
    }
    for kind, most in wanted.items():
        _soft, hard = resource.getrlimit(kind)
        if hard != resource.RLIM_INFINITY:
            most = min(most, hard)
        # A hard limit of processor time above the soft one: at the soft one the signal tells us why it ended.
        resource.setrlimit(kind, (most, most + 1 if kind == resource.RLIMIT_CPU and hard < 0 else most))


def _main() -> int:
    limits, module, *arguments = sys.argv[1:]
    _set_limits(Limits(**json.loads(limits)))
    # What libraries print goes to the complaints: only the answer is on the standard output.
    answer, sys.stdout = sys.stdout, sys.stderr
    try:
        result = importlib.import_module(module).main(arguments)
        json.dump(result, answer)
        answer.flush()
    except MemoryError:
        return _OUT_OF_MEMORY
    return 0


if __name__ == "__main__":
    sys.exit(_main())
