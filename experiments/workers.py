"""Runs trials: in processes of this machine or on a Dask cluster, through joblib either way."""

from __future__ import annotations

import contextlib
import importlib
import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import joblib

from experiments import fingerprint
from experiments.plan import CannotStudy, Trial
from experiments.trial import Row, run

EVERY_S = 60.0
"""Between two lines of progress where there is no terminal, s."""
_AT_ONCE = 8
"""Trials for each Dask thread that are handed over together: joblib gives nothing back before all of them are done."""


def run_here(
    plan: Sequence[tuple[Any, ...]], *, shots: int, seed: int, jobs: int, trial: Callable[..., list[Row]] = run
) -> Iterator[list[Row]]:
    """The rows of each trial, as they are done."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")  # inherited by the processes that joblib starts
    yield from joblib.Parallel(n_jobs=jobs, return_as="generator_unordered")(_calls(plan, shots, seed, trial))


def run_on_dask(plan: Sequence[Trial], *, shots: int, seed: int, address: str) -> Iterator[list[Row]]:
    """The same on an existing cluster. Raises CannotStudy."""
    with _client(address) as client, joblib.parallel_config(backend="dask"):
        size = _AT_ONCE * sum(client.ncores().values())
        for start in range(0, len(plan), size):
            yield from joblib.Parallel()(_calls(plan[start : start + size], shots, seed, run))


def _calls(plan: Sequence[tuple[Any, ...]], shots: int, seed: int, trial: Callable[..., list[Row]]) -> list[Any]:
    return [joblib.delayed(trial)(*planned, shots=shots, seed=seed) for planned in plan]


@contextlib.contextmanager
def _client(address: str) -> Iterator[Any]:
    """A client of a cluster that runs this very code. Elsewhere a trial would wait for ever or measure other code."""
    try:
        distributed = importlib.import_module("distributed")
    except ImportError:
        raise CannotStudy("--dask needs the package distributed, which isn't installed.") from None
    try:
        client = distributed.Client(address, timeout=10)
    except (OSError, ValueError):
        raise CannotStudy(f"No Dask scheduler answers at {address}.") from None
    with client:
        if not client.ncores():
            raise CannotStudy(f"The scheduler at {address} has no workers.")
        try:
            codes = {client.run_on_scheduler(_loaded_code), *client.run(_loaded_code).values()}
        except Exception:  # what a worker raises, or can't even read, may be anything
            codes = set[str]()
        if codes != {fingerprint.CODE}:
            raise CannotStudy(
                "The scheduler and its workers must run this code: start them anew in this folder, with PYTHONPATH=."
            )
        yield client


def _loaded_code() -> str:
    return fingerprint.CODE


def with_progress(trials: Iterable[list[Row]], total: int) -> Iterator[list[Row]]:
    """The same trials; how many are done and the time left go to standard error, to a log once a minute only."""
    terminal = sys.stderr.isatty()
    began = said = time.monotonic()
    for count, rows in enumerate(trials, 1):
        now = time.monotonic()
        if terminal or now - said >= EVERY_S:
            said, left_s = now, (now - began) / count * (total - count)
            line = f"{count} of {total} trials, about {_span(left_s)} left"
            end = "" if terminal and count < total else "\n"
            print(f"\r{line:<60}" if terminal else line, end=end, file=sys.stderr, flush=True)
        yield rows


def _span(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02} min" if minutes >= 60 else f"{minutes} min"
