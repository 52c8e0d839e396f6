"""One of these tests fed by atheris, which keeps the inputs that reach code no input before them reached.

    python -m tests.bad_input.guided test_a_spreadsheet -runs=20000 -seed=7

Needs the package atheris, which doesn't run on every Python; the words after the name are for it.
"""

import sys

import atheris

with atheris.instrument_imports(include=["dialopt"], enable_loader_override=False):
    from tests.bad_input import test_readers

if __name__ == "__main__":
    fed = getattr(test_readers, sys.argv.pop(1))
    atheris.Setup(sys.argv, fed.hypothesis.fuzz_one_input)
    atheris.Fuzz()
