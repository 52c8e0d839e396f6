"""Makes a typer command of a plain function: adds the options that all commands share and hands it its context."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Annotated, Any, get_type_hints

import typer

from dialopt.errors import WrongUse
from dialopt.shell.context import Context
from dialopt.shell.options import Text, flag, option
from dialopt.shell.render import Answer

_HOME = "Folder of the logbook; else the one in DIALOPT_HOME, else the user data folder of this platform."
Home = Annotated[Text, option("DIR", _HOME)]
# `main` reads these two before the parser does, so that the parser's own errors obey them.
AsJson = Annotated[bool, flag("--json", "Answer with one JSON object.")]
Debug = Annotated[bool, flag("--debug", "Show the traceback when something goes wrong.")]

Work = Callable[..., Answer]


def command(app: typer.Typer, name: str) -> Callable[[Work], Work]:
    """Registers a function `work(context, *, …) -> Answer` under this name; its docstring is the help.

    A parameter that is a dataclass stands for its fields, an option each.
    """

    def registered(work: Work) -> Work:
        own = [*inspect.signature(work, eval_str=True).parameters.values()][1:]
        groups: dict[str, Any] = {it.name: it.annotation for it in own if is_dataclass(it.annotation)}

        def entry(**given: Any) -> Answer:
            context = at_home(given.pop("typer_context").obj, given.pop("home"))
            del given["as_json"], given["debug"]
            for name, group in groups.items():
                given[name] = group(**{field.name: given.pop(field.name) for field in fields(group)})
            return work(context, **given)

        shared = (
            _parameter("typer_context", typer.Context),
            *(option for it in own for option in (_options(groups[it.name]) if it.name in groups else [it])),
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


def at_home(context: Context, home: str | None) -> Context:
    """The context with the folder of --home, where one was given. Raises WrongUse."""
    if home is None:
        return context
    if not home.strip():
        # Most likely a variable that isn't set; as a path it would mean the current folder.
        raise WrongUse("--home needs a folder, and what it got is empty.")
    return replace(context, home=Path(home))


def _options(group: type) -> Iterator[inspect.Parameter]:
    hints = get_type_hints(group, include_extras=True)
    for field in fields(group):
        yield _parameter(field.name, hints[field.name], field.default)


def _parameter(name: str, annotation: object, default: object = inspect.Parameter.empty) -> inspect.Parameter:
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, annotation=annotation, default=default)
