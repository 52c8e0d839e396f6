from __future__ import annotations

import subprocess
import sys

import dialopt

HEAVY = ("numpy", "scipy", "pandas", "skopt", "sklearn", "plotly", "jinja2")
"""What only advice and reports may bring in."""


def test_importing_dialopt_loads_nothing_heavy() -> None:
    code = (
        "import dialopt, sys; dialopt.Shot, dialopt.BadValue, dialopt.Advice, dialopt.FAULTS; "
        f"print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_exported_name_is_there() -> None:
    for name in dialopt.__all__:
        assert getattr(dialopt, name) is not None
    assert set(dialopt.__all__) <= set(dir(dialopt))
