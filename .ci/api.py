#!/usr/bin/env python3
"""Builds the API documentation from the docstrings: `.ci/api.py FOLDER`.

A warning, or a public name left out, is an error.
"""

import inspect
import re
import sys
import warnings
from pathlib import Path
from types import FunctionType

import pdoc

import dialopt


def listed(text: str) -> str:
    """A docstring with its "name: what it is. other: …" as a list, an item for each field or argument."""
    return re.sub(r"(?:^|(?<=[.;])\s)([a-z]\w*(?:, \w+)*): (?=\S)", r"\n- **\1**: ", inspect.cleandoc(text), flags=re.M)


def brush_up(thing: object) -> None:
    """Lists what the docstrings of a class and its methods, or of a function, say of fields and arguments."""
    if isinstance(thing, type | FunctionType):
        thing.__doc__ = listed(thing.__doc__ or "")
    for method in vars(thing).values() if isinstance(thing, type) else ():
        if isinstance(method, FunctionType) and not method.__name__.startswith("_"):
            brush_up(method)


warnings.simplefilter("error")
public = [name for name in dialopt.__all__ if not name.startswith("__")]
for name in public:
    brush_up(getattr(dialopt, name))  # getting it loads it: pdoc looks at what is loaded
folder = Path(sys.argv[1])
pdoc.render.configure(show_source=False, footer_text=f"dialopt {dialopt.__version__}")
pdoc.pdoc("dialopt", output_directory=folder)
page = (folder / "dialopt.html").read_text(encoding="utf-8")
missing = [name for name in public if f'id="{name}"' not in page]
if missing:
    raise SystemExit(f"The API documentation says nothing of {', '.join(missing)}.")
print(f"{len(public)} public names, explained in {folder / 'dialopt.html'}")
