"""A target fed by atheris, which keeps the texts that reach code no text before them reached.

    python -m experiments.bad_input.guided NAME INPUTS SEED OUT.json

The fuzzer ends the process that it runs in, so the count is written by the last input.
"""

from __future__ import annotations

import json
import sys
import tempfile
from dataclasses import asdict
from importlib.metadata import version
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["dialopt"], enable_loader_override=False):
    from experiments.bad_input.readers import GUIDED, SEEDS
    from experiments.bad_input.target import Count


def main(name: str, inputs: int, seed: int, out: Path) -> None:
    """Runs the fuzzer; doesn't return."""
    says = f"the same, texts chosen by atheris {version('atheris')}"
    count = Count(name=f"{name}, guided", says=says)

    def one(data: bytes) -> None:
        count.feed(GUIDED[name], data.decode("utf-8", "replace"))
        if count.inputs == inputs:
            out.write_text(json.dumps(asdict(count)), encoding="utf-8")

    with tempfile.TemporaryDirectory() as corpus:
        for number, text in enumerate(SEEDS[name]):
            (Path(corpus) / str(number)).write_text(text, encoding="utf-8", newline="")
        options = [f"-seed={seed + 1}", f"-runs={inputs}", "-max_len=4096", "-verbosity=0"]
        atheris.Setup([sys.argv[0], corpus, *options], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), Path(sys.argv[4]))
