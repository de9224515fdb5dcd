"""Changes the engine in small ways, one at a time, and counts which changes no test notices.

    uv run --with mutmut==3.8.1 python -m tests.bench.mutants --sample 500 --seed 9 --out mutants.jsonl

Mutmut writes the changed functions, all of a module into one file; here they are tried: the tests are collected once,
and for each change a process is forked that runs the tests which reach the function, quickest first, up to the first
that fails. What a test reached is found out in a forked process too, so that nothing it kept is known to the next.
Works on a copy of the tree. ``governance/docs/mutants.md`` says what was found.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import chdir
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

PROJECT = Path(__file__).resolve().parents[2]
ENGINE = Path("governance/engine")
COPIED = ("accessions", "fixtures", "governance", "manage.py", "pyproject.toml", "templates", "tests")
NOT_DECIDING = ("reference*.py", "__init__.py")  # the twin, which tests hold against the engine, and lists of names
_MOST_SECONDS = 120
QUICK = ("tests/unit/governance/engine", "tests/spec")


class Reached(NamedTuple):
    """Which tests came to which function, and how long each test took."""

    tests: dict[str, list[str]]
    seconds: dict[str, float]

    def likely(self, function: str, seconds: float, noticed: set[str]) -> Iterator[str]:
        """Tests that reach a function, one at least, until they take so long together: first those that have noticed
        something in its module, of these and of the others the quickest first.
        """
        for test in sorted(self.tests.get(function, []), key=lambda one: (one not in noticed, self.seconds[one])):
            yield test
            if (seconds := seconds - self.seconds[test]) < 0:
                return


def main() -> None:
    options = _options()
    if options.inside:
        _try_all(options)
        return
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        _copy(copy)
        names = _write_mutants(copy)
        chosen = _chosen(names, options)
        (copy / "chosen.json").write_text(json.dumps(chosen), "utf-8")
        print(f"{len(chosen)} of {len(names)} mutants")
        out = str(Path(options.out).resolve())
        subprocess.run(
            [sys.executable, "-m", "tests.bench.mutants", "--inside", "--out", out, "--seconds", str(options.seconds),
             "--tests", *options.tests],
            cwd=copy, check=True, env=os.environ | {"OPENBLAS_NUM_THREADS": "1", "MUTANT_UNDER_TEST": ""},
        )  # fmt: skip
    _say(Path(options.out))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=500)
    parser.add_argument("--seed", type=int, default=9)
    parser.add_argument("--out", default="mutants.jsonl", help="one mutant a line; what is there stays")
    parser.add_argument("--again", help="a file of an earlier run: try those that survived there")
    parser.add_argument("--tests", nargs="+", default=list(QUICK))
    parser.add_argument("--seconds", type=float, default=10, help="of tests for a mutant, the quickest first")
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    return parser.parse_args()


def _copy(folder: Path) -> None:
    for name in COPIED:
        if (PROJECT / name).is_dir():
            shutil.copytree(PROJECT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(PROJECT / name, folder / name)
    (folder / "setup.cfg").write_text("[mutmut]\nsource_paths=governance\n", "utf-8")


def _write_mutants(folder: Path) -> list[str]:
    """The deciding modules with all their mutants in them; the names of these."""
    with chdir(folder):
        from mutmut.mutation.file_mutation import mutate_file_contents

        names = []
        for path in sorted(ENGINE.rglob("*.py")):
            if any(path.match(pattern) for pattern in NOT_DECIDING):
                continue
            written = mutate_file_contents(str(path), path.read_text("utf-8"))
            path.write_text(written.code, "utf-8")
            module = ".".join(path.with_suffix("").parts)
            names += [f"{module}.{name}" for name in written.mutant_names]
        return names


def _chosen(names: list[str], options: argparse.Namespace) -> list[str]:
    if options.again:
        before = (json.loads(line) for line in Path(options.again).read_text("utf-8").splitlines())
        return [row["mutant"] for row in before if row["outcome"] == "survived"]
    return random.Random(options.seed).sample(names, min(options.sample, len(names)))


def _try_all(options: argparse.Namespace) -> None:
    """Within the copy: collects the tests and tries the chosen mutants."""
    import pytest

    runner = _Runner(json.loads(Path("chosen.json").read_text("utf-8")), Path(options.out), options.seconds)
    arguments = ["-q", "-p", "no:randomly", "-p", "no:cacheprovider", "--no-header", "--rootdir=.", *options.tests]
    if pytest.main(arguments, plugins=[runner]):
        raise SystemExit(1)


class _Runner:
    """Takes the place of pytest's loop over the collected tests."""

    def __init__(self, chosen: list[str], out: Path, seconds: float) -> None:
        self.chosen, self.out, self.seconds = chosen, out, seconds

    def pytest_runtestloop(self, session: Any) -> bool:
        items = {item.nodeid: item for item in session.items}
        reached = _reached(items)
        done, noticed = _names_in(self.out), _noticed_in(self.out)
        for mutant in self.chosen:
            if mutant in done:
                continue
            started = time.monotonic()
            tests = list(reached.likely(_function_of(mutant), self.seconds, noticed[_module_of(mutant)]))
            outcome, test = _tried(mutant, [items[test] for test in tests]) if tests else ("not reached", "")
            noticed[_module_of(mutant)] |= {test} & set(items)
            row = {"mutant": mutant, "outcome": outcome, "test": test, "tests": len(tests), "change": _change(mutant)}
            with self.out.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row | {"seconds": round(time.monotonic() - started, 1)}) + "\n")
        return True


def _reached(items: dict[str, Any]) -> Reached:
    """Runs all tests once, unchanged, in a process of its own."""
    read, write = os.pipe()
    if not (child := os.fork()):
        from mutmut.mutation.trampoline import set_mutant_under_test
        from mutmut.state import state

        set_mutant_under_test("stats")
        tests: dict[str, list[str]] = defaultdict(list)
        seconds: dict[str, float] = {}
        for item, following in pairwise([*items.values(), None]):
            started = time.process_time()
            if failed := _failed(item, following):
                print(f"fails without any change: {item.nodeid}\n{failed}", flush=True)
                os._exit(1)
            seconds[item.nodeid] = time.process_time() - started
            for function in state()._stats:
                tests[function].append(item.nodeid)
            state()._stats.clear()
        with os.fdopen(write, "w", encoding="utf-8") as pipe:
            json.dump([tests, seconds], pipe)
        os._exit(0)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as pipe:
        said = pipe.read()
    if os.waitpid(child, 0)[1]:
        raise SystemExit("the tests do not pass as they are")
    return Reached(*json.loads(said))


def _tried(mutant: str, tests: list[Any]) -> tuple[str, str]:
    """What became of a mutant, and the test that noticed; stopped after a time that no test takes unchanged."""
    read, write = os.pipe()
    if not (child := os.fork()):
        from mutmut.mutation.trampoline import set_mutant_under_test

        set_mutant_under_test(mutant)
        resource.setrlimit(resource.RLIMIT_CPU, (_MOST_SECONDS, _MOST_SECONDS))
        for item, following in pairwise([*tests, None]):
            if _failed(item, following):
                os.write(write, item.nodeid.encode())
                os._exit(1)
        os._exit(0)
    os.close(write)
    with os.fdopen(read, "rb") as pipe:
        test = pipe.read().decode()
    status = os.waitpid(child, 0)[1]
    if os.WIFSIGNALED(status):
        return "timeout" if os.WTERMSIG(status) in (9, 24) else "killed", f"signal {os.WTERMSIG(status)}"
    return ("killed" if os.WEXITSTATUS(status) else "survived"), test


def _failed(item: Any, following: Any) -> str:
    """What a failing test says; nothing where it passes."""
    from _pytest.runner import runtestprotocol

    return "\n".join(
        str(report.longrepr) for report in runtestprotocol(item, log=False, nextitem=following) if report.failed
    )


def _names_in(out: Path) -> set[str]:
    return {json.loads(line)["mutant"] for line in out.read_text("utf-8").splitlines()} if out.exists() else set()


def _noticed_in(out: Path) -> dict[str, set[str]]:
    """By module the tests that have noticed a mutant."""
    found: dict[str, set[str]] = defaultdict(set)
    for line in out.read_text("utf-8").splitlines() if out.exists() else ():
        row = json.loads(line)
        found[_module_of(row["mutant"])].add(row["test"])
    return found


def _module_of(mutant: str) -> str:
    return mutant.partition(".x")[0]


def _function_of(mutant: str) -> str:
    return mutant.rpartition("__mutmut_")[0]


def _change(mutant: str) -> str:
    """The lines that differ, - as written and + as changed."""
    module, _, name = mutant.rpartition(".")
    code = Path(*module.split(".")).with_suffix(".py").read_text("utf-8")
    wanted = (f"{name.rpartition('__mutmut_')[0]}__mutmut_orig", name)
    found = {
        node.name: (ast.get_source_segment(code, node) or "").replace(node.name, "f").splitlines()
        for node in ast.walk(ast.parse(code))
        if isinstance(node, ast.FunctionDef) and node.name in wanted
    }
    lines = difflib.unified_diff(found[wanted[0]], found[wanted[1]], n=0, lineterm="")
    return "\n".join(line for line in lines if not line.startswith(("---", "+++", "@@")))


def _say(out: Path) -> None:
    """The table of governance/docs/mutants.md."""
    rows = [json.loads(line) for line in out.read_text("utf-8").splitlines()]
    counts = Counter((_module_of(row["mutant"]).removeprefix("governance.engine."), row["outcome"]) for row in rows)
    outcomes = ("killed", "timeout", "survived", "not reached")
    print("| module | tried | " + " | ".join(outcomes) + " |\n|---|" + "---|" * (len(outcomes) + 1))
    for module in [*sorted({module for module, _ in counts}), "all"]:
        found = [
            sum(n for (of, got), n in counts.items() if got == outcome and module in (of, "all"))
            for outcome in outcomes
        ]
        print(f"| {module} | {sum(found)} | " + " | ".join(map(str, found)) + " |")


if __name__ == "__main__":
    main()
