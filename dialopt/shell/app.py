"""The command line: all commands under one name, and how a plain function becomes one of them."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Annotated, Any, get_type_hints

import typer

import dialopt
from dialopt.errors import WrongUse
from dialopt.shell.commands import advice, care, files, kit, pages, pairings, shots, sitting, taste
from dialopt.shell.context import Context
from dialopt.shell.options import Text, flag, option
from dialopt.shell.render import Answer, answered
from dialopt.text import usage as words

_HOME = "Folder of the logbook; else the one in DIALOPT_HOME, else the user data folder of this platform."
Home = Annotated[Text, option("DIR", _HOME)]
# `main` reads these two before the parser does, so that the parser's own errors obey them.
AsJson = Annotated[bool, flag("--json", "Answer with one JSON object.")]
Debug = Annotated[bool, flag("--debug", "Show the traceback when something goes wrong.")]

Work = Callable[..., Answer]

# Plain help: a terminal-drawing library would take longer to import than all the rest, and boxes suit no screen reader.
app = typer.Typer(
    name="dialopt",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    invoke_without_command=True,
)


@app.callback()
def start(
    context: typer.Context,
    home: Home = None,
    as_json: AsJson = False,
    debug: Debug = False,
    version: Annotated[bool, flag("--version", "Say which version this is.")] = False,
) -> Answer | None:
    """Dial in espresso in fewer shots, and know how sure you are.

    A first bag: grinder, machine, basket, bean, pairing set it up and prepare says what to see to; then sitting leads
    through it, or next and shot in turn.
    """
    context.obj = at_home(context.obj, home)
    if version:
        if context.invoked_subcommand is not None:
            raise WrongUse(words.VERSION_ALONE)
        return answered(words.version_said(dialopt.__version__), version=dialopt.__version__)
    if context.invoked_subcommand is None:
        if context.obj.json:
            raise WrongUse(words.NAME_A_COMMAND)
        typer.echo(context.get_help())
        raise typer.Exit(WrongUse.status)
    return None


def command(work: Work) -> None:
    """Registers a function `work(context, *, …) -> Answer` under its name; its docstring is the help.

    A parameter that is a dataclass stands for its fields, an option each.
    """
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
    app.command(work.__name__.rstrip("_").replace("_", "-"))(entry)


def at_home(context: Context, home: str | None) -> Context:
    """The context with the folder of --home, where one was given. Raises WrongUse."""
    if home is None:
        return context
    if not home.strip():
        raise WrongUse(words.HOME_EMPTY)
    return replace(context, home=Path(home))


def _options(group: type) -> Iterator[inspect.Parameter]:
    hints = get_type_hints(group, include_extras=True)
    for field in fields(group):
        yield _parameter(field.name, hints[field.name], field.default)


def _parameter(name: str, annotation: object, default: object = inspect.Parameter.empty) -> inspect.Parameter:
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, annotation=annotation, default=default)


# In the order in which the help lists them.
for work in (
    *(kit.grinder, kit.machine, kit.basket, kit.bean, kit.kit),
    *(pairings.pairing, pairings.pairings, pairings.use),
    *(care.water, care.prepare),
    *(shots.shot, shots.amend, shots.undo, shots.shots),
    *(advice.next_, advice.sweet_spot, pages.report, pages.side_by_side),
    *(advice.compare, advice.palate, taste.serve, taste.judge_),
    sitting.sitting,
    *(files.share, files.receive),
    care.caffeine,
    *(files.import_, files.export, files.check, files.backup, files.restore),
    pages.demo,
):
    command(work)

cli = typer.main.get_command(app)
