"""A target fed by atheris, which keeps the texts that reach code no text before them reached.

    python -m experiments.bad_input.guided NAME INPUTS SEED OUT.json

The fuzzer ends the process that it runs in, so the count is written by the last input.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
import traceback
from importlib.metadata import version
from pathlib import Path
from typing import Any

import atheris

with atheris.instrument_imports(include=["dialopt"], enable_loader_override=False):
    from experiments.bad_input.readers import GUIDED, SEEDS


def main(name: str, inputs: int, seed: int, out: Path) -> None:
    """Runs the fuzzer; doesn't return."""
    feed = GUIDED[name]
    count: dict[str, Any] = {
        "name": f"{name}, guided",
        "says": f"the same, texts chosen by atheris {version('atheris')}",
        "inputs": 0,
        "accepted": 0,
        "refused": 0,
        "tracebacks": 0,
        "seconds": 0.0,
        "examples": [],
    }
    began = time.perf_counter()

    def one(data: bytes) -> None:
        text = data.decode("utf-8", "replace")
        count["inputs"] += 1
        try:
            count["accepted" if feed(text) else "refused"] += 1
        except Exception:
            count["tracebacks"] += 1
            if len(count["examples"]) < 5:
                count["examples"].append(f"{text[:500]!r}: {traceback.format_exc(limit=-2).strip()[-500:]}")
        if count["inputs"] == inputs:
            count["seconds"] = round(time.perf_counter() - began, 1)
            out.write_text(json.dumps(count), encoding="utf-8")

    with tempfile.TemporaryDirectory() as corpus:
        for number, text in enumerate(SEEDS[name]):
            (Path(corpus) / str(number)).write_text(text, encoding="utf-8", newline="")
        options = [f"-seed={seed + 1}", f"-runs={inputs}", "-max_len=4096", "-verbosity=0"]
        atheris.Setup([sys.argv[0], corpus, *options], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), Path(sys.argv[4]))
