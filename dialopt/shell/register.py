"""Makes a typer command of a plain function: adds the options that all commands share and hands it the desk."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import typer

from dialopt.errors import WrongUse
from dialopt.shell.answer import Answer
from dialopt.shell.desk import Desk

Home = Annotated[
    str | None,
    typer.Option(
        "--home",
        metavar="DIR",
        help="Folder of the logbook; else the one in DIALOPT_HOME, else the user data folder of this platform.",
        show_default=False,
    ),
]
# The session reads these two before the parser does, so that the parser's own errors obey them.
AsJson = Annotated[bool, typer.Option("--json", help="Answer with one JSON object.")]
Debug = Annotated[bool, typer.Option("--debug", help="Show the traceback when something goes wrong.")]

Work = Callable[..., Answer]


def command(app: typer.Typer, name: str) -> Callable[[Work], Work]:
    """Registers a function `work(desk, *, …) -> Answer` under this name; its docstring is the help."""

    def registered(work: Work) -> Work:
        own = [*inspect.signature(work, eval_str=True).parameters.values()][1:]

        def entry(**given: Any) -> Answer:
            context, home = given.pop("context"), given.pop("home")
            del given["as_json"], given["debug"]
            return work(at_home(context.obj, home), **given)

        shared = (
            _parameter("context", typer.Context),
            *(parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY) for parameter in own),
            _parameter("home", Home, None),
            _parameter("as_json", AsJson, False),
            _parameter("debug", Debug, False),
        )
        entry.__doc__ = work.__doc__
        entry.__annotations__ = {parameter.name: parameter.annotation for parameter in shared}
        entry.__signature__ = inspect.Signature(shared)  # type: ignore[attr-defined]  # how Python lets it be stated
        app.command(name)(entry)
        return work

    return registered


def at_home(desk: Desk, home: str | None) -> Desk:
    """The desk with the folder of --home, where one was given. Raises WrongUse."""
    if home is None:
        return desk
    if not home.strip():
        # Most likely a variable that isn't set; as a path it would mean the current folder.
        raise WrongUse("--home needs a folder, and what it got is empty.")
    return replace(desk, home=Path(home))


def _parameter(name: str, annotation: object, default: object = inspect.Parameter.empty) -> inspect.Parameter:
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, annotation=annotation, default=default)
