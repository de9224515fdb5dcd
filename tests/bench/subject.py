"""Runs one subject of the bench on a stored world, in a process of its own, and prints what it cost as JSON.

python -m tests.bench.subject engine WORLD ANSWERS
python -m tests.bench.subject world WORLD SPECIMENS EVENTS PAPERS TAXA field|uniform
"""

from __future__ import annotations

import dataclasses
import importlib
import json
import pickle
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from .measure import timed

SUBJECTS = ("a", "b", "c", "engine")


def prepared(name: str, world: Any) -> tuple[Callable[[], Any], Callable[[Any], Any]]:
    """(the call that is timed, with its inputs loaded and its imports done; what turns its result into answers)."""
    if name == "engine":
        from . import engine_answers

        return engine_answers.call(world), engine_answers.frames_of
    from .generate import frames

    modules = {"a": "peer_a_naive", "b": "peer_b_tidy", "c": "peer_c_three_valued"}
    peer = importlib.import_module(f".{modules[name]}", __package__)
    loaded = frames(world)
    work = peer.assess if name == "c" else peer.covered
    return (lambda: work(loaded)), (peer.by_specimen if name == "c" else lambda answers: answers)


def make(path: Path, words: list[str]) -> None:
    from .world import Size, make_world

    specimens, events, papers, taxa = (int(word) for word in words[:4])
    world = make_world(Size(specimens, events, papers, taxa, uniform_taxa=words[4] == "uniform"))
    path.write_bytes(pickle.dumps(world))


def main(words: list[str]) -> None:
    name, path = words[0], Path(words[1])
    if name == "world":
        make(path, words[2:])
        print(json.dumps({}))
        return
    work, answers_of = prepared(name, pickle.loads(path.read_bytes()))
    result, cost = timed(work)
    if len(words) > 2:
        Path(words[2]).write_bytes(pickle.dumps(answers_of(result)))
    print(json.dumps(dataclasses.asdict(cost)))


if __name__ == "__main__":
    main(sys.argv[1:])
