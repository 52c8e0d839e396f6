"""pairing, pairings, use: which bean on which kit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Annotated, TypeVar

from dialopt.errors import NotFound
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import PairingRecord
from dialopt.shell import in_use
from dialopt.shell.context import Context
from dialopt.shell.options import Counts, Everything, Text, argument, first_few, flag, of_field
from dialopt.shell.parsers import read_ratio_dial
from dialopt.shell.render import Answer, freshness_data, pairing_data
from dialopt.text import terminal as words
from dialopt.text.formats import ratio_words
from dialopt.trade.bean import Bean
from dialopt.trade.kit import Basket, Grinder, Machine
from dialopt.trade.names import name_key, same_name
from dialopt.trade.pairing import COUNTS, DRINKS, Pairing

T = TypeVar("T", Bean, Grinder, Machine, Basket)
SWITCH = "`dialopt use NUMBER` switches to another."
_AMENDED = "`dialopt next` takes it into account; the shots are kept."
_AMEND = (
    "Change the pairing in use, its shots and burrs kept: it takes the newest version of its own bean and kit, and "
    "whatever else is given."
)


def pairing(
    context: Context,
    *,
    bean: Annotated[Text, of_field(Pairing, "bean")] = None,
    grinder: Annotated[Text, of_field(Pairing, "grinder")] = None,
    machine: Annotated[Text, of_field(Pairing, "machine")] = None,
    basket: Annotated[Text, of_field(Pairing, "basket")] = None,
    ratio: Annotated[Text, of_field(Pairing, "ratio")] = None,
    drink: Annotated[Text, of_field(Pairing, "drink")] = None,
    water: Annotated[Text, of_field(Pairing, "water")] = None,
    counts: Counts = None,
    bags_to_come: Annotated[int | None, of_field(Pairing, "bags_to_come")] = None,
    amend: Annotated[bool, flag("--amend", _AMEND)] = False,
) -> Answer:
    """Put a bean and kit together and use that."""
    with context.book() as book:
        before = in_use.current(book) if amend else None
        used = before or in_use.in_use(book)
        # What somebody else sent may be amended; to a pairing of one's own it lends nothing.
        basis = used.pairing if used and (amend or used.pairing.taster is None) else None
        was = basis if amend or water is not None else None

        def part(kind: str, find: Callable[[str], T], listed: Callable[[int], list[T]], name: str | None) -> T:
            if name:
                return find(name)
            if was is not None:
                return find(getattr(was, kind).name)
            newest = _newest(kind, listed, book)
            return newest if basis is None or book.is_unused(newest) else find(getattr(basis, kind).name)

        coffee = part("bean", book.bean, book.beans, bean)
        mill = part("grinder", book.grinder, book.grinders, grinder)
        if before is not None and not grinder and not same_name(mill.burrs, before.pairing.grinder.burrs):
            mill = before.pairing.grinder  # its shots were ground with the burrs that were in it then
        made = Pairing(
            bean=coffee,
            grinder=mill,
            machine=part("machine", book.machine, book.machines, machine),
            basket=part("basket", book.basket, book.baskets, basket),
            ratio=read_ratio_dial(ratio) if ratio is not None else (was.ratio if was else _usual_ratio(coffee)),
            drink=drink if drink is not None else (basis.drink if basis else DRINKS[0]),
            water=water if water is not None else (basis.water if basis else None),
            taster=before.pairing.taster if before else None,
            counts=counts if counts is not None else (basis.counts if basis else COUNTS[0]),
            bags_to_come=bags_to_come if bags_to_come is not None else (was.bags_to_come if was else 0),
        )
        if before is not None:
            book.amend_pairing(before.id, made)
        else:
            book.make_current(book.save_pairing(made))
        record = book.current()
        evidence = book.evidence(record.id)
        did, today = "Amended" if before else "In use now:", context.now().date()
        return Answer(
            did=f"{did} pairing {record.id}, {words.pairing_words(made)}.",
            lines=(
                *(words.changed_lines(before.pairing, made) if before else ()),
                *_other_ratio_lines(made, stated=ratio is not None),
                *_other_burrs_lines(made, used),
                *words.freshness_lines(made.bean, today),
                *in_use.carried_lines(evidence),
            ),
            next_step=_AMENDED if before else in_use.FIRST_SHOT,
            data={
                "pairing": pairing_data(record),
                "carried": in_use.carried_data(evidence),
                "freshness": freshness_data(made.bean, today),
            },
        )


def pairings(context: Context, *, everything: Everything = False) -> Answer:
    """List the pairings, the one with the latest entry first."""
    with context.book() as book:
        listed, more = first_few(book.pairings, everything)
        now = in_use.in_use(book)
        current = None if now is None else now.id
        many = f"{len(listed)} pairing{'s' * (len(listed) != 1)}"
        labelled = zip(listed, disambiguated([record.pairing for record in listed]), strict=True)
        mark = {current: "  (in use)"}
        return Answer(
            did=f"The {many} used last; `--all` lists the others too." if more else f"{many} in the logbook.",
            lines=tuple(
                f"  {record.id:>3}  {said}, {record.shots} shot{'s' * (record.shots != 1)}{mark.get(record.id, '')}"
                for record, said in labelled
            ),
            next_step=SWITCH if len(listed) > 1 else in_use.next_to_set_up(book),
            data={"pairings": [pairing_data(record) for record in listed], "more": more, "in_use": current},
        )


def use(context: Context, *, key: Annotated[str, argument("KEY", "A number or bean of `dialopt pairings`.")]) -> Answer:
    """Switch to another pairing."""
    with context.book() as book:
        record = book.pairing(key)
        book.make_current(record.id)
        bean, today = record.pairing.bean, context.now().date()
        return Answer(
            did=f"In use now: pairing {record.id}, {words.pairing_words(record.pairing)}.",
            lines=(*words.freshness_lines(bean, today), *in_use.mind_lines(book, record)),
            next_step="`dialopt next` says what to pull now.",
            data={"pairing": pairing_data(record), "freshness": freshness_data(bean, today)},
        )


def disambiguated(pairings: Sequence[Pairing]) -> list[str]:
    """Pairings in a line each, no two alike that burrs or bags set apart, and no more said than it takes."""
    burrs: dict[str, set[str]] = {}
    for it in pairings:
        burrs.setdefault(name_key(it.grinder.name), set()).add(name_key(it.grinder.burrs))
    # Of a grinder that has had other burrs every line says which: shots on others tell of another clock.
    labels = [
        words.pairing_words(it) + f", {it.grinder.burrs}" * (len(burrs[name_key(it.grinder.name)]) > 1)
        for it in pairings
    ]
    for said in (
        [_dated(it.bean, "roasted_on", "roasted") for it in pairings],
        [_dated(it.bean, "opened_on", "opened") for it in pairings],
        [f"{it.bag_g:g} g bag" for it in pairings],
    ):
        kinds = {line: {more for other, more in zip(labels, said, strict=True) if other == line} for line in labels}
        labels = [f"{line}, {more}" if len(kinds[line]) > 1 else line for line, more in zip(labels, said, strict=True)]
    return labels


def _dated(bean: Bean, field: str, word: str) -> str:
    day = getattr(bean, field)
    return f"not known when {word}" if day is None else f"{word} {day}"


def _usual_ratio(bean: Bean) -> float:
    """The ratio that the roaster suggests, else 1:2 (common practice)."""
    suggested = bean.suggested.ratio if bean.suggested else None
    return 2.0 if suggested is None else suggested


def _other_ratio_lines(made: Pairing, *, stated: bool) -> tuple[str, ...]:
    """A word where a pairing keeps a ratio that isn't the roaster's. stated: whether that is as the person said."""
    suggested = _usual_ratio(made.bean)
    if stated or made.bean.suggested is None or made.bean.suggested.ratio is None or made.ratio == suggested:
        return ()
    return (
        f"  Mind     it stays at {ratio_words(made.ratio)}, while the roaster suggests 1:{suggested:g}",
        f"           `dialopt pairing --amend --ratio {suggested:g}` takes that over",
    )


def _other_burrs_lines(made: Pairing, used: PairingRecord | None) -> tuple[str, ...]:
    """A word where it goes on with other burrs than the pairing in use had, as they have been changed since."""
    if used is None or not same_name(used.pairing.grinder.name, made.grinder.name):
        return ()
    if same_name(used.pairing.grinder.burrs, made.grinder.burrs):
        return ()
    return (
        f"  Mind     it goes by the burrs that are in {made.grinder.name} now, {made.grinder.burrs}; pairing {used.id} "
        f"was on {used.pairing.grinder.burrs}",
    )


def _newest(kind: str, listed: Callable[[int], list[T]], book: Logbook) -> T:
    """The thing of that kind that was set up last. Raises NotFound."""
    things = listed(1)
    if not things:
        missing = NotFound(f"A pairing takes a bean, a grinder, a machine and a basket; there is no {kind} yet.")
        missing.add_note(in_use.next_to_set_up(book))
        raise missing
    return things[0]
