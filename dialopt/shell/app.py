"""The command line: all commands under one name."""

from __future__ import annotations

from typing import Annotated

import typer

import dialopt
from dialopt.errors import WrongUse
from dialopt.shell import (
    advice_commands,
    blind_commands,
    caffeine_command,
    demo_command,
    file_commands,
    kit_commands,
    log_commands,
    pairing_commands,
    prepare_command,
    restore_command,
    share_commands,
    shot_commands,
    side_by_side_command,
    sitting,
    taste_commands,
    water_command,
)
from dialopt.shell.answer import Answer
from dialopt.shell.register import AsJson, Debug, Home, at_home

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
    version: Annotated[bool, typer.Option("--version", help="Say which version this is.")] = False,
) -> Answer | None:
    """Dial in espresso in fewer shots, and know how sure you are.

    A first bag: grinder, machine, basket, bean, pairing set it up and prepare says what to see to; then sitting leads
    through it, or next and shot in turn.
    """
    context.obj = at_home(context.obj, home)
    if version:
        if context.invoked_subcommand is not None:
            raise WrongUse("--version stands alone, without a command.")
        return Answer(
            did=f"dialopt {dialopt.__version__}",
            next_step="`dialopt --help` lists the commands.",
            data={"version": dialopt.__version__},
        )
    if context.invoked_subcommand is None:
        if context.obj.json:
            raise WrongUse("Name a command, such as `dialopt next --json`; `dialopt --help` lists them.")
        typer.echo(context.get_help())
        raise typer.Exit(WrongUse.status)
    return None


for commands in (
    kit_commands,
    pairing_commands,
    water_command,
    prepare_command,
    shot_commands,
    log_commands,
    advice_commands,
    side_by_side_command,
    taste_commands,
    blind_commands,
    sitting,
    share_commands,
    caffeine_command,
    file_commands,
    restore_command,
    demo_command,
):
    commands.register(app)
