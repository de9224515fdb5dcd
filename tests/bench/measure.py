"""Wall time and peak memory of work in a process of its own."""

from __future__ import annotations

import gc
import json
import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from importlib import metadata
from pathlib import Path
from typing import Any, TypeVar

Result = TypeVar("Result")
ROOT = Path(__file__).resolve().parents[2]
MIB = 1024.0


@dataclass(frozen=True)
class Cost:
    """seconds, cpu_seconds: wall and processor time of the call alone (far apart where the machine is shared).

    peak_mib: highest resident size of the process; loaded_mib: the same before the call.
    """

    seconds: float
    cpu_seconds: float
    peak_mib: float
    loaded_mib: float = 0.0


def peak_mib() -> float:
    """Highest resident size of this process so far.

    Read from the kernel's VmHWM where there is one: ru_maxrss of a child begins at the size of the parent that forked.
    """
    status = Path("/proc/self/status")
    if status.exists():
        for line in status.read_text().splitlines():
            if line.startswith("VmHWM"):
                return int(line.split()[1]) / MIB
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / MIB


def timed(work: Callable[[], Result]) -> tuple[Result, Cost]:
    gc.collect()
    loaded = peak_mib()
    start, cpu_start = time.perf_counter(), time.process_time()
    result = work()
    seconds, cpu_seconds = time.perf_counter() - start, time.process_time() - cpu_start
    return result, Cost(seconds, cpu_seconds, peak_mib(), loaded)


def in_child(module: str, *words: object) -> dict[str, Any]:
    """What the module, run with these words in a fresh interpreter, prints as JSON in its last line."""
    command = [sys.executable, "-m", module, *(str(word) for word in words)]
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{module} {' '.join(map(str, words))} ended with status {done.returncode}")
    answer: dict[str, Any] = json.loads(done.stdout.strip().splitlines()[-1])
    return answer


def of_command(command: list[str], cwd: Path) -> Cost:
    """Wall time and peak memory of a whole command, start of the interpreter included."""
    start = time.perf_counter()
    process = subprocess.Popen(command, cwd=cwd, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    errors = process.stderr.read()
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{' '.join(command)} ended with status {process.returncode}:\n{errors[-2000:]}")
    return Cost(seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / MIB)


def tell(parts: Iterable[str], out: Path | None) -> None:
    """Print the parts of a report as they come, and write them all to a file if one is named."""
    told = []
    for part in parts:
        print(part, end="\n\n", flush=True)
        told.append(part)
    if out:
        out.write_text("\n\n".join(told) + "\n", encoding="utf-8")


def machine(*packages: str) -> str:
    """One line for the head of a table: the day, cores, Python and the versions of the packages."""
    versions = []
    for package in packages:
        try:
            versions.append(f"{package} {metadata.version(package)}")
        except metadata.PackageNotFoundError:
            versions.append(f"{package} absent")
    return (f"{date.today().isoformat()}, {os.cpu_count()} cores ({platform.machine()}), {platform.system()}, "
            f"Python {platform.python_version()}, {', '.join(versions)}")  # fmt: skip


def table(heads: list[str], rows: list[list[str]]) -> str:
    """A Markdown table."""
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)
