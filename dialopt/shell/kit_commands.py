"""grinder, machine, basket, bean, kit: what is on the bench and in the bag."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, replace
from shlex import quote
from typing import Annotated, Any, TypeVar

import typer

from dialopt.errors import NotFound, WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import BurrSet
from dialopt.logbook.store.words import known_as
from dialopt.logbook.typed import read_number
from dialopt.shell import options, words
from dialopt.shell.afterwards import afterwards
from dialopt.shell.alike import alike, alike_lines
from dialopt.shell.answer import Answer
from dialopt.shell.carrying import kept_data, kept_lines
from dialopt.shell.data import burr_set_data, freshness_data, pairing_data
from dialopt.shell.desk import Desk
from dialopt.shell.reading import read_bag_recipe, read_dial, read_past_day, read_roast_day, read_temp_dial
from dialopt.shell.register import command
from dialopt.shell.setting_up import after_saving, in_use, next_to_set_up
from dialopt.trade.bean import ROASTS, Bean
from dialopt.trade.caffeine import SPECIES
from dialopt.trade.kit import Basket, Grinder, Machine

Name = Annotated[str, typer.Argument(metavar="NAME", help="What you call it.", show_default=False)]
DIAL = "LOW:HIGH:STEP"
MOST_BEANS_SAID = 4
MOST_COMPARED = 50
"""Names, the latest first, that a new one is held against."""

T = TypeVar("T", Grinder, Bean)


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    command(app, "grinder")(grinder)
    command(app, "machine")(machine)
    command(app, "basket")(basket)
    command(app, "bean")(bean)
    command(app, "kit")(kit)


def grinder(
    desk: Desk,
    *,
    name: Name,
    grind: Annotated[
        str | None, typer.Option("--grind", metavar=DIAL, help="The settings of its dial, such as 0:40:1.")
    ] = None,
    finer: Annotated[
        str | None, typer.Option("--finer", metavar="down|up", help="Which way the numbers run finer.")
    ] = None,
    burrs: Annotated[
        str | None, typer.Option("--burrs", metavar="TEXT", help="The burrs in it; set 1 unless you say.")
    ] = None,
    purge_g: Annotated[
        str | None,
        typer.Option("--purge-g", metavar="G", help="Coffee thrown away after the grind moved, g; 2 unless you say."),
    ] = None,
) -> Answer:
    """Set up a grinder, or change what is given of a known one. Unplug it before you touch its burrs.

    Other --burrs close the old burr set and open a new one, with a pairing of the bag in use.
    """
    values = _given(
        grind=None if grind is None else read_dial("grind", grind),
        finer=finer,
        burrs=burrs,
        purge_g=None if purge_g is None else read_number("purge_g", purge_g),
    )
    with desk.book() as book:
        known = _known(book.grinder, name)
        if known is None and not {"grind", "finer"} <= values.keys():
            unknown = WrongUse(f"A new grinder takes --grind {DIAL} and --finer down|up.")
            if there := alike(name, book.grinders(MOST_COMPARED)):
                unknown.add_note(f"if {there} was meant: `dialopt grinder {quote(there)}` with what is new of it.")
            raise unknown
        made = replace(known, name=name, **values) if known else Grinder(name=name, **values)
        if known is not None:
            sets = book.burr_sets(made.name)
            made = replace(made, burrs=_as_kept(sets, made.burrs))
            if known.burrs != made.burrs:
                return _burrs_changed(book, known, made, sets)
        others = alike_lines("grinder", name, book.grinders(MOST_COMPARED))
        book.save_grinder(made)
        return Answer(
            did=f"Set up the grinder {words.grinder_words(made)}.",
            lines=(words.BURRS_CAUTION, *others),
            next_step=after_saving(book, "grinder", made.name),
            data={"grinder": asdict(made)},
        )


def machine(
    desk: Desk,
    *,
    name: Name,
    temp: Annotated[
        str,
        typer.Option("--temp", metavar=DIAL, help="Brew water, °C, such as 88:96:1; one number where it can't be set."),
    ],
) -> Answer:
    """Set up an espresso machine, or change it."""
    made = Machine(name=name, temp_c=read_temp_dial(temp))
    with desk.book() as book:
        others = alike_lines("machine", name, book.machines(MOST_COMPARED))
        book.save_machine(made)
        return Answer(
            did=f"Set up the machine {words.machine_words(made)}.",
            lines=others,
            next_step=after_saving(book, "machine", made.name),
            data={"machine": asdict(made)},
        )


def basket(
    desk: Desk,
    *,
    name: Name,
    dose: Annotated[str, typer.Option("--dose", metavar=DIAL, help="The doses it takes, g, such as 16.5:20:0.1.")],
) -> Answer:
    """Set up a filter basket, or change it."""
    made = Basket(name=name, dose_g=read_dial("dose_g", dose))
    with desk.book() as book:
        others = alike_lines("basket", name, book.baskets(MOST_COMPARED))
        book.save_basket(made)
        return Answer(
            did=f"Set up the basket {words.basket_words(made)}.",
            lines=others,
            next_step=after_saving(book, "basket", made.name),
            data={"basket": asdict(made)},
        )


def bean(
    desk: Desk,
    *,
    name: Name,
    roaster: Annotated[str | None, typer.Option("--roaster", metavar="TEXT", help="Who roasted it.")] = None,
    origin: Annotated[str | None, typer.Option("--origin", metavar="TEXT", help="Where it grew.")] = None,
    process: Annotated[str | None, typer.Option("--process", metavar="TEXT", help="How it was processed.")] = None,
    roast: Annotated[str | None, typer.Option("--roast", metavar="|".join(ROASTS), help="How dark it is.")] = None,
    roasted_on: Annotated[
        str | None, typer.Option("--roasted-on", metavar="DATE", help="The roasting date, never a best-before date.")
    ] = None,
    opened_on: Annotated[
        str | None,
        typer.Option("--opened-on", metavar="DATE", help="When the bag was opened; tells a new bag of the same roast."),
    ] = None,
    bag_g: Annotated[str | None, typer.Option("--bag-g", metavar="G", help="What the full bag held, g.")] = None,
    suggested: Annotated[
        str | None,
        typer.Option(
            "--suggested", metavar="RECIPE", help="What the roaster suggests, such as 18 g, 1:2, 28 s, 93 °C."
        ),
    ] = None,
    species: Annotated[
        str | None, typer.Option("--species", metavar="|".join(SPECIES), help="What it is, for the caffeine.")
    ] = None,
) -> Answer:
    """Set up a bean, or change it.

    Of a bean that is known already, what is not given stays as it was.
    """
    today = desk.now().date()
    values = _given(
        roaster=roaster,
        origin=origin,
        process=process,
        roast=roast,
        roasted_on=None if roasted_on is None else read_roast_day(roasted_on, today),
        opened_on=None if opened_on is None else read_past_day("opened_on", opened_on, today),
        bag_g=None if bag_g is None else read_number("bag_g", bag_g),
        suggested=None if suggested is None else read_bag_recipe(suggested),
        species=species,
    )
    with desk.book() as book:
        known = _known(book.bean, name)
        made = replace(known, name=name, **values) if known else Bean(name=name, **values)
        if opened_on is None and made.opened_on and made.roasted_on and made.opened_on < made.roasted_on:
            made = replace(made, opened_on=None)  # that was an earlier bag
        others = alike_lines("bean", name, book.beans(MOST_COMPARED))
        book.save_bean(made)
        return Answer(
            did=f"Set up the bean {words.bean_words(made)}.",
            lines=(*words.freshness_lines(made, today), *others),
            next_step=after_saving(book, "bean", made.name),
            data={"bean": asdict(made), "freshness": freshness_data(made, today)},
        )


def kit(desk: Desk, *, everything: options.Everything = False) -> Answer:
    """Show what is set up, the latest of each kind."""
    with desk.book() as book:
        kept, today = in_use(book), desk.now().date()
        grinders, more_grinders = options.first_few(book.grinders, everything)
        machines, more_machines = options.first_few(book.machines, everything)
        baskets, more_baskets = options.first_few(book.baskets, everything)
        beans, more_beans = options.first_few(book.beans, everything)
        more = more_grinders or more_machines or more_baskets or more_beans
        sets = {it.name: book.burr_sets(it.name) for it in grinders}
        lines = [
            *(line for it in grinders for line in _grinder_lines(it, sets[it.name])),
            *(f"  Machine  {words.machine_words(it)}" for it in machines),
            *(f"  Basket   {words.basket_words(it)}" for it in baskets),
            *(f"  Bean     {words.aged_bean_words(it, today)}" for it in beans),
        ]
        if more:
            lines.append("  Older    left out; `--all` lists them too")
        if kept is not None:
            lines.append(
                f"  In use   pairing {kept.id}, {words.pairing_words(kept.pairing)}, {words.count_words(kept.shots)}"
            )
        return Answer(
            did=f"The logbook is {book.path}." + ("" if lines else " Nothing is set up yet."),
            lines=tuple(lines),
            next_step=next_to_set_up(book),
            data={
                "logbook": book.path,
                "grinders": [
                    {**asdict(it), "burr_sets": [burr_set_data(one) for one in sets[it.name]]} for it in grinders
                ],
                "machines": [asdict(it) for it in machines],
                "baskets": [asdict(it) for it in baskets],
                "beans": [{**asdict(it), "freshness": freshness_data(it, today)} for it in beans],
                "more": more,
                "pairing": None if kept is None else pairing_data(kept),
            },
        )


def _burrs_changed(book: Logbook, before: Grinder, made: Grinder, sets: list[BurrSet]) -> Answer:
    """Closes one burr set and opens another, with a pairing of the bag in use if it is on this grinder.

    sets: those of the grinder up to now.
    """
    again = made.burrs in {one.burrs for one in sets}
    closed = next(one for one in sets if one.burrs == before.burrs)
    opened = book.change_burrs(made)
    sets = afterwards(sets, book.burr_sets, made.name)
    evidence = None if opened is None else afterwards(None, book.evidence, opened.id)
    lines = [words.BURRS_CAUTION, f"  Grinder  {words.grinder_words(made)}"]
    if opened is not None:
        lines.append(
            f"  In use   pairing {opened.id}, {words.pairing_words(opened.pairing)}, {words.count_words(opened.shots)}"
        )
    ground = [] if opened else afterwards([], _beans_on, book, made)
    goes_on = [f"`dialopt pairing --bean {quote(it)} --grinder {quote(made.name)}`" for it in ground]
    lines += [f"  Then     {it} goes on with them, one bag of several" for it in goes_on[1:]]
    after = f"after {closed.tally}" if closed.shots else "before any shot was logged"
    back = f"`dialopt grinder {quote(made.name)} --burrs {quote(before.burrs)}` goes back to the old burrs."
    if opened:
        first = "`dialopt next` says where to start with them"
    elif goes_on:
        first = f"{goes_on[0]} goes on with them"
    else:
        first = after_saving(book, "grinder", made.name)[:-1]
    return Answer(
        did=f"Closed the burrs {before.burrs} of {made.name} {after}, and {'took up' if again else 'opened'} "
        f"{made.burrs}{' again' if again else ''}.",
        lines=(*lines, *(kept_lines(evidence) if evidence else ())),
        next_step=f"{first}; {back}",
        data={
            "grinder": asdict(made),
            "burr_sets": [burr_set_data(one) for one in sets],
            "pairing": None if opened is None else pairing_data(opened),
            "carried": kept_data(evidence) if evidence else None,
        },
    )


def _beans_on(book: Logbook, grinder: Grinder) -> list[str]:
    """The beans that went through a grinder of one's own, the one used last first, a few at most."""
    own = (kept.pairing for kept in book.pairings() if kept.pairing.taster is None)
    beans = {known_as(it.bean.name): it.bean.name for it in own if known_as(it.grinder.name) == known_as(grinder.name)}
    return list(beans.values())[:MOST_BEANS_SAID]


def _as_kept(sets: list[BurrSet], burrs: str) -> str:
    """The burrs as they were first written, whatever their case here, so that they aren't taken for others."""
    return next((one.burrs for one in sets if known_as(one.burrs) == known_as(burrs)), burrs)


def _grinder_lines(grinder: Grinder, sets: list[BurrSet]) -> tuple[str, ...]:
    return (
        f"  Grinder  {words.grinder_words(grinder)}",
        *(
            f"  Burrs    {one.burrs}, {'in use' if one.burrs == grinder.burrs else 'closed'}: {one.tally}"
            for one in sets
        ),
    )


def _given(**values: Any) -> dict[str, Any]:
    return {field: value for field, value in values.items() if value is not None}


def _known(find: Callable[[str], T], name: str) -> T | None:
    """The newest version of the thing of that name, if any."""
    try:
        return find(name)
    except NotFound:
        return None
