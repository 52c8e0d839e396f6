"""The command line: all commands under one name."""

from __future__ import annotations

from typing import Annotated

import typer

import dialopt
from dialopt.errors import WrongUse
from dialopt.shell import session
from dialopt.shell.commands import advice, care, demo, files, kit, pairings, restore, share, shots, side_by_side, taste
from dialopt.shell.options import flag
from dialopt.shell.register import AsJson, Debug, Home, at_home, command
from dialopt.shell.render import Answer

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


# In the order in which the help lists them.
for work in (
    *(kit.grinder, kit.machine, kit.basket, kit.bean, kit.kit),
    *(pairings.pairing, pairings.pairings, pairings.use),
    *(care.water, care.prepare),
    *(shots.shot, shots.amend, shots.undo, shots.shots),
    *(advice.next_, advice.sweet_spot, advice.report, side_by_side.side_by_side),
    *(taste.compare, taste.palate, taste.serve, taste.judge_),
    session.sitting,
    *(share.share, share.receive),
    care.caffeine,
    *(files.import_, files.export, files.check, files.backup, restore.restore),
    demo.demo,
):
    command(app, work.__name__.rstrip("_").replace("_", "-"))(work)

cli = typer.main.get_command(app)
