"""What a command costs as a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

# A child is charged with what its parent held when it was started, so a bare interpreter starts it, not this process.
_BARE = """
import json, os, resource, subprocess, sys, time
began = time.perf_counter()
done = subprocess.run(sys.argv[1:], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
seconds = time.perf_counter() - began
used = resource.getrusage(resource.RUSAGE_CHILDREN)
said = (done.stdout + done.stderr).decode("utf-8", "replace")
cost = {"seconds": seconds, "cpu_s": used.ru_utime + used.ru_stime, "peak_mb": used.ru_maxrss / 1024}
print(json.dumps({"status": done.returncode, "said": said[-2000:], **cost}))
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """Time by the clock, s; time of the processor, s, which other work on the machine moves less; peak memory, MB."""

    seconds: float
    cpu_s: float
    peak_mb: float


def cost_of(command: Sequence[str], surroundings: Mapping[str, str]) -> Cost:
    """Runs a command and returns what it cost; on Linux. Raises RuntimeError when it fails, with what it said."""
    words = [sys.executable, "-S", "-c", _BARE, *command]
    done = subprocess.run(words, env=surroundings, capture_output=True, text=True, check=True)
    told = json.loads(done.stdout)
    status, said = told.pop("status"), told.pop("said")
    if status:
        raise RuntimeError(f"{' '.join(command)} ended with {status}: {said.strip()}")
    return Cost(**told)
