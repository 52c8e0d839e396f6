"""sitting: suggestion, pull, entry, confirmation, next suggestion, until tests no longer pay or the person stops."""

from __future__ import annotations

import threading
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from dialopt.errors import NotFound, Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import SHOWN, PairingRecord
from dialopt.shell.change import change_lines, change_to
from dialopt.shell.commands.advice import ENJOY
from dialopt.shell.commands.care import caffeine_tally, past_lines, tally_data, tally_lines
from dialopt.shell.commands.shots import operation_words
from dialopt.shell.context import Context, wake_model
from dialopt.shell.data import advice_data
from dialopt.shell.defaults import defaults
from dialopt.shell.in_use import carried_lines, current, last_pull, mind_lines
from dialopt.shell.plausibility import ask_about
from dialopt.shell.prompts import Stopped, ask, ask_shot, yes
from dialopt.shell.render import Answer
from dialopt.text import terminal as words
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

SAFETY = (
    "Water, steam, group and wand are hot and under pressure: follow the maker's manual, and never loosen the "
    "portafilter while the pump runs."
)
CAFFEINE_EVERY = 3
UNDO = "undo"
PULL_IT = "Pull this now:"
ENJOY_IT = "More test shots won't help much. To drink, the sweet spot:"


def sitting(context: Context) -> Answer:
    """Lead through one shot after the other.

    It says what to pull, asks what came of it, and says what to pull next, until more testing no longer pays.
    "stop" ends it at any question, and what was saved by then stays saved.
    """
    with context.book() as book:
        return Sitting(context=context, book=book, record=current(book)).led()


@dataclass(slots=True, kw_only=True)
class Sitting:
    """One sitting with a pairing. numbers: the shots that were logged in it. advice: what was shown last."""

    context: Context
    book: Logbook
    record: PairingRecord
    numbers: list[int] = field(default_factory=list)
    advice: Advice | None = None

    def led(self) -> Answer:
        """The whole of it, from the word on safety to what there is to do afterwards."""
        title = self.record.pairing.title
        self._wake()
        self.context.say(SAFETY, f"{title}. `stop` ends the sitting at any question.")
        self.context.say(
            *mind_lines(self.book, self.record), *past_lines(caffeine_tally(self.book, self.context.now()))
        )
        with suppress(Stopped):
            advice, last = self._suggested()
            if advice.settled and not yes(self.context, "More test shots won't help much. Go on all the same?"):
                raise Stopped
            carry_on = advice.settled
            while carry_on or not advice.settled:
                self._pull(advice, last)
                advice, last = self._suggested()
        return self._ended()

    def _wake(self) -> None:
        """Imports the model beside the conversation. What goes wrong there comes up when advice is asked for."""
        tastings = sum(shot.tasted for shot in self.book.shots(self.record.id)) + 1

        def wake() -> None:
            with suppress(Exception):
                wake_model(tastings)

        threading.Thread(target=wake, daemon=True).start()

    def _suggested(self) -> tuple[Advice, Shot | None]:
        """The advice that was shown, and the shot of this pairing that was pulled last."""
        evidence, advice = self.context.advised(self.book, self.record.id, shown=SHOWN)
        self.advice = advice
        lines = words.advice_lines(
            advice, change_lines(change_to(advice.pairing, advice.next_recipe, last_pull(self.book, self.record)))
        )
        self.context.say("", ENJOY_IT if advice.settled else PULL_IT, *lines, *carried_lines(evidence))
        return advice, evidence.shots[-1] if evidence.shots else None

    def _pull(self, advice: Advice, last: Shot | None) -> None:
        """One shot pulled, entered and saved, or the last entry taken back."""
        self._wake()
        way_back = f" (`{UNDO}` takes back the last entry)" if self.numbers else ""
        while (answer := ask(self.context, f"Pull it, then press Enter{way_back}:").lower()) != "":
            if answer != UNDO:
                self.context.say("  Enter alone says that it is pulled; the questions about it follow.")
            elif self._took_back():
                return
        strength = defaults(self.book, self.record).with_strength
        made = ask_shot(
            self.context, self.record.pairing, suggested=advice.next_recipe, last=last, with_strength=strength
        )
        number = self.book.log(self.record.id, made)
        self.context.say(f"Saved as shot {number}: {words.shot_words(made)}.")
        self.numbers.append(number)
        ask_about(self.context, self.book, self.record, number, made)
        # Whoever is pregnant is told with each shot, not with every third.
        if len(self.numbers) % (1 if self.book.pregnant() else CAFFEINE_EVERY) == 0:
            self.context.say(*tally_lines(caffeine_tally(self.book, self.context.now())))

    def _took_back(self) -> bool:
        """Whether the last act was on a shot of this sitting, and is undone now. Any other stays, and is told."""
        last = next(
            (operation for operation in reversed(self.book.history(self.record.id)) if operation.undone_at is None),
            None,
        )
        if last is None:
            self.context.say("There is nothing to take back.")
            return False
        number = last.entries[0].number
        if last.kind == "import" or number not in self.numbers:
            self.context.say(
                f"The last act was {operation_words(last)}, not of this sitting; `dialopt undo` would take it back."
            )
            return False
        try:
            self.book.undo(self.record.id, last.id)
        except (NotFound, Refused) as error:  # another process was quicker
            self.context.say(str(error))
            return False
        self.context.say(f"Took back {operation_words(last)}.")
        if last.kind == "log":
            self.numbers.remove(number)
        return True

    def _ended(self) -> Answer:
        record, advice, logged = self.book.pairing(self.record.id), self.advice, len(self.numbers)
        tally = caffeine_tally(self.book, self.context.now())
        return Answer(
            did=f"Sitting over. {logged or 'No'} shot{'s' * (logged != 1)} logged, {record.shots} with this pairing.",
            lines=past_lines(tally),
            next_step=ENJOY if advice is not None and advice.settled else "`dialopt sitting` goes on from here.",
            data={
                "pairing": record.id,
                "numbers": self.numbers,
                "caffeine": tally_data(tally),
                "advice": advice and advice_data(record, advice, self.book.last_pull(record.id)),
            },
        )
