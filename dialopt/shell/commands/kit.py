"""grinder, machine, basket, bean, kit: what is on the bench and in the bag."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from shlex import quote
from typing import Annotated, Any

from dialopt.errors import WrongUse
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import BurrSet
from dialopt.logbook.typed import read_number
from dialopt.shell import parsers
from dialopt.shell.context import Context, best_effort, if_known
from dialopt.shell.in_use import after_saving, carried_data, carried_lines, in_use, next_to_set_up
from dialopt.shell.options import BeanOptions, Everything, GrinderOptions, argument, first_few, of_field
from dialopt.shell.render import Answer, burr_set_data, freshness_data, pairing_data
from dialopt.text import terminal as words
from dialopt.text.terminal import in_use_line
from dialopt.trade.bean import Bean
from dialopt.trade.kit import DIAL, Basket, Grinder, Machine
from dialopt.trade.names import name_key, same_name

Name = Annotated[str, argument("NAME", "What you call it.")]
MOST_BEANS_SAID = 4
MOST_COMPARED = 50
"""Names, the latest first, that a new one is held against."""


def grinder(
    context: Context,
    *,
    name: Name,
    typed: GrinderOptions,
) -> Answer:
    """Set up a grinder, or change what is given of a known one. Unplug it before you touch its burrs.

    Other --burrs close the old burr set and open a new one, with a pairing of the bag in use.
    """
    values = _read(Grinder, asdict(typed), context)
    with context.book() as book:
        known = if_known(book.grinder, name)
        if known is None and not {"grind", "finer"} <= values.keys():
            unknown = WrongUse(f"A new grinder takes --grind {DIAL} and --finer down|up.")
            if there := _meant(name, book.grinders):
                unknown.add_note(f"if {there} was meant: `dialopt grinder {quote(there)}` with what is new of it.")
            raise unknown
        made = replace(known, name=name, **values) if known else Grinder(name=name, **values)
        if known is not None:
            sets = book.burr_sets(made.name)
            # As they were first written, whatever their case here, so that they aren't taken for others.
            made = replace(made, burrs=next((it.burrs for it in sets if same_name(it.burrs, made.burrs)), made.burrs))
            if known.burrs != made.burrs:
                return _burrs_changed(book, known, made, sets)
        return _saved(book, "grinder", made, words.grinder_words(made), lines=(words.BURRS_CAUTION,))


def machine(
    context: Context,
    *,
    name: Name,
    temp: Annotated[str, of_field(Machine, "temp_c")],
) -> Answer:
    """Set up an espresso machine, or change it."""
    made = Machine(name=name, temp_c=parsers.read_temp_dial(temp))
    with context.book() as book:
        return _saved(book, "machine", made, words.machine_words(made))


def basket(
    context: Context,
    *,
    name: Name,
    dose: Annotated[str, of_field(Basket, "dose_g")],
) -> Answer:
    """Set up a filter basket, or change it."""
    made = Basket(name=name, dose_g=parsers.read_dial("dose_g", dose))
    with context.book() as book:
        return _saved(book, "basket", made, words.basket_words(made))


def bean(
    context: Context,
    *,
    name: Name,
    typed: BeanOptions,
) -> Answer:
    """Set up a bean, or change it.

    Of a bean that is known already, what is not given stays as it was.
    """
    today = context.now().date()
    values = _read(Bean, asdict(typed), context)
    with context.book() as book:
        known = if_known(book.bean, name)
        made = replace(known, name=name, **values) if known else Bean(name=name, **values)
        if "opened_on" not in values and made.opened_on and made.roasted_on and made.opened_on < made.roasted_on:
            made = replace(made, opened_on=None)  # that was an earlier bag
        today = context.now().date()
        lines, fresh = words.freshness_lines(made, today), freshness_data(made, today)
        return _saved(book, "bean", made, words.bean_words(made), lines=lines, freshness=fresh)


def kit(context: Context, *, everything: Everything = False) -> Answer:
    """Show what is set up, the latest of each kind."""
    with context.book() as book:
        record, today = in_use(book), context.now().date()
        grinders, more_grinders = first_few(book.grinders, everything)
        machines, more_machines = first_few(book.machines, everything)
        baskets, more_baskets = first_few(book.baskets, everything)
        beans, more_beans = first_few(book.beans, everything)
        more = more_grinders or more_machines or more_baskets or more_beans
        sets = {it.name: book.burr_sets(it.name) for it in grinders}
        lines = (
            *(line for it in grinders for line in _grinder_lines(it, sets[it.name])),
            *(f"  Machine  {words.machine_words(it)}" for it in machines),
            *(f"  Basket   {words.basket_words(it)}" for it in baskets),
            *(f"  Bean     {words.aged_bean_words(it, today)}" for it in beans),
            *(["  Older    left out; `--all` lists them too"] if more else []),
            *([in_use_line(record)] if record else []),
        )
        return Answer(
            did=f"The logbook is {book.path}." + ("" if lines else " Nothing is set up yet."),
            lines=lines,
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
                "pairing": record and pairing_data(record),
            },
        )


def _read(kind: type[Bean | Grinder], typed: dict[str, str | None], context: Context) -> dict[str, Any]:
    """What was typed of a thing's fields. Raises BadValue."""
    today = context.now().date()
    fields = {field.name: field for field in kind.FIELDS}

    def value(name: str, text: str) -> Any:
        if name == "roasted_on":
            return parsers.read_roast_day(text, today)
        if name == "suggested":
            return parsers.read_bag_recipe(text)
        if fields[name].kind == "day":
            return parsers.read_past_day(name, text, today)
        if fields[name].kind == "dial":
            return parsers.read_dial(name, text)
        return read_number(name, text) if fields[name].kind == "number" else text

    return {name: value(name, text) for name, text in parsers.given(**typed).items()}


def _saved(
    book: Logbook,
    kind: str,
    made: Grinder | Machine | Basket | Bean,
    said: str,
    *,
    lines: tuple[str, ...] = (),
    **data: Any,
) -> Answer:
    """Saves a thing, with a word where it is new and almost called as a known one."""
    there = _meant(made.name, getattr(book, f"{kind}s"))
    if there is not None:
        mend = f"`dialopt pairing --{kind} {quote(there)}` takes that one"
        lines += (f"  Mind     it is new, and almost called as the {kind} {there}; if that was meant, {mend}",)
    getattr(book, f"save_{kind}")(made)
    return Answer(
        did=f"Set up the {kind} {said}.",
        lines=lines,
        next_step=after_saving(book, kind, made.name),
        data={kind: asdict(made), **data},
    )


def _burrs_changed(book: Logbook, before: Grinder, made: Grinder, sets: list[BurrSet]) -> Answer:
    """Closes one burr set and opens another, with a pairing of the bag in use if it is on this grinder.

    sets: those of the grinder up to now.
    """
    again = " again" * (made.burrs in {one.burrs for one in sets})
    closed = next(one for one in sets if one.burrs == before.burrs)
    opened = book.change_burrs(made)
    sets = best_effort(sets, book.burr_sets, made.name)
    evidence = None if opened is None else best_effort(None, book.evidence, opened.id)
    ground = [] if opened else best_effort([], _beans_on, book, made)
    goes_on = [f"`dialopt pairing --bean {quote(it)} --grinder {quote(made.name)}`" for it in ground]
    after = f"after {closed.tally}" if closed.shots else "before any shot was logged"
    back = f"`dialopt grinder {quote(made.name)} --burrs {quote(before.burrs)}` goes back to the old burrs."
    first = "`dialopt next` says where to start with them" if opened else after_saving(book, "grinder", made.name)[:-1]
    if goes_on:
        first = f"{goes_on[0]} goes on with them"
    return Answer(
        did=f"Closed the burrs {before.burrs} of {made.name} {after}, and {'took up' if again else 'opened'} "
        f"{made.burrs}{again}.",
        lines=(
            words.BURRS_CAUTION,
            f"  Grinder  {words.grinder_words(made)}",
            *([in_use_line(opened)] if opened else []),
            *(f"  Then     {it} goes on with them, one bag of several" for it in goes_on[1:]),
            *carried_lines(evidence),
        ),
        next_step=f"{first}; {back}",
        data={
            "grinder": asdict(made),
            "burr_sets": [burr_set_data(one) for one in sets],
            "pairing": opened and pairing_data(opened),
            "carried": carried_data(evidence),
        },
    )


def _beans_on(book: Logbook, grinder: Grinder) -> list[str]:
    """The beans that went through a grinder of one's own, the one used last first, a few at most."""
    own = (record.pairing for record in book.pairings() if record.pairing.taster is None)
    beans = {name_key(it.bean.name): it.bean.name for it in own if same_name(it.grinder.name, grinder.name)}
    return list(beans.values())[:MOST_BEANS_SAID]


def _grinder_lines(grinder: Grinder, sets: list[BurrSet]) -> list[str]:
    state = {grinder.burrs: "in use"}
    burrs = [f"  Burrs    {one.burrs}, {state.get(one.burrs, 'closed')}: {one.tally}" for one in sets]
    return [f"  Grinder  {words.grinder_words(grinder)}", *burrs]


def _meant(name: str, known: Callable[[int], Sequence[Any]]) -> str | None:
    return parsers.did_you_mean(name, [thing.name for thing in known(MOST_COMPARED)])
