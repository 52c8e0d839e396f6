from __future__ import annotations

import sys
from importlib.util import find_spec
from types import SimpleNamespace
from typing import Any

import pytest

from experiments import workers
from experiments.fingerprint import CODE
from experiments.plan import CannotStudy, Trial
from experiments.trial import run
from experiments.workers import run_here, run_on_dask, with_progress

PLAN: list[Trial] = [(family, "sobol", task) for family in ("ridge", "edge") for task in range(3)]


class Client:
    """As much of a Dask client as is asked before anything is run."""

    def __init__(self, threads: int, codes: list[str] | Exception) -> None:
        self.threads, self.codes, self.closed = threads, codes, False

    def __enter__(self) -> Client:
        return self

    def __exit__(self, *_: object) -> None:
        self.closed = True

    def ncores(self) -> dict[str, int]:
        return {"worker": self.threads} if self.threads else {}

    def run_on_scheduler(self, call: Any) -> Any:
        return call()

    def run(self, call: Any) -> dict[str, str]:
        if isinstance(self.codes, Exception):
            raise self.codes
        return {f"worker {number}": code for number, code in enumerate(self.codes)}


def cluster(monkeypatch: pytest.MonkeyPatch, client: Client | Exception) -> None:
    def connect(address: str, timeout: float) -> Client:
        if isinstance(client, Exception):
            raise client
        return client

    monkeypatch.setitem(sys.modules, "distributed", SimpleNamespace(Client=connect))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("client", "said"),
    [
        (OSError("timed out"), "No Dask scheduler answers at tcp://there:1"),
        (ValueError("what address is that"), "No Dask scheduler answers"),
        (Client(0, []), "has no workers"),
        (Client(2, [CODE, "other"]), "must run this code"),
        (Client(2, ModuleNotFoundError("experiments")), "must run this code"),
    ],
)
def test_a_cluster_that_cannot_be_used_is_refused(
    client: Client | Exception, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    cluster(monkeypatch, client)
    with pytest.raises(CannotStudy, match=said):
        list(run_on_dask(PLAN, shots=2, seed=1, address="tcp://there:1"))
    assert not isinstance(client, Client) or client.closed


def test_dask_that_is_not_installed_is_said_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(CannotStudy, match="distributed, which isn't installed"):
        list(run_on_dask(PLAN, shots=2, seed=1, address="tcp://there:1"))


@pytest.mark.slow
@pytest.mark.filterwarnings("default")  # what a cluster warns of is its own affair
@pytest.mark.skipif(find_spec("distributed") is None, reason="distributed isn't installed")
def test_a_cluster_gives_what_this_process_gives() -> None:
    import distributed

    options: dict[str, Any] = {"n_workers": 2, "threads_per_worker": 1, "processes": False, "dashboard_address": None}
    with distributed.LocalCluster(**options) as there:
        rows = [row for trial in run_on_dask(PLAN, shots=2, seed=1, address=there.scheduler_address) for row in trial]
    here = [row for trial in run_here(PLAN, shots=2, seed=1, jobs=1) for row in trial]

    assert sorted(map(repr, rows)) == sorted(map(repr, here))


def test_each_trial_is_run_once() -> None:
    done = {(rows[0]["family"], rows[0]["method"], rows[0]["task"]) for rows in run_here(PLAN, shots=1, seed=1, jobs=1)}
    assert done == set(PLAN)


def test_progress_goes_to_a_log_now_and_then(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = iter(range(0, 1000, 25))
    monkeypatch.setattr(workers.time, "monotonic", lambda: next(clock))
    trials = [run("ridge", "sobol", 0, shots=0, seed=1)] * 8
    assert list(with_progress(iter(trials), 8)) == trials
    assert capsys.readouterr().err.splitlines() == [
        "3 of 8 trials, about 2 min left",
        "6 of 8 trials, about 1 min left",
    ]


def test_progress_on_a_terminal_stays_on_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = iter(range(0, 100_000, 3000))
    monkeypatch.setattr(workers.time, "monotonic", lambda: next(clock))
    monkeypatch.setattr(workers.sys.stderr, "isatty", lambda: True, raising=False)
    assert len(list(with_progress([[], [], []], 3))) == 3
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert said.endswith("\n")
    assert "1 of 3 trials, about 1 h 40 min left" in said
