from __future__ import annotations

import subprocess
import sys


def test_the_logbook_brings_in_nothing_heavy():
    script = (
        "import sys, dialopt.logbook.book, dialopt.logbook.spreadsheet, dialopt.logbook.file\n"
        "print(*sorted({'numpy', 'scipy', 'pandas', 'skopt', 'plotly', 'platformdirs', 'typer'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60)
    assert done.stdout.split() == []
