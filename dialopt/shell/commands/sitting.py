"""sitting: suggestion, pull, entry, confirmation, next suggestion, until tests no longer pay or the person stops."""

from __future__ import annotations

import threading
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from dialopt.errors import NotFound, Refused
from dialopt.logbook.book import Logbook
from dialopt.logbook.records import SHOWN, PairingRecord
from dialopt.logbook.typed import read_number
from dialopt.shell.change import change_lines, change_to
from dialopt.shell.commands.care import caffeine_tally, tally_data
from dialopt.shell.context import Context, wake_model
from dialopt.shell.in_use import carried_lines, current, last_pull, looked_at, mind_lines, taken_settings
from dialopt.shell.prompts import Stopped, ask, ask_shot, ask_value, yes
from dialopt.shell.render import Answer, advice_data, answered
from dialopt.text import log, questions
from dialopt.text import sitting as words
from dialopt.text.caffeine import past_lines, tally_lines
from dialopt.trade.plausibility import Question
from dialopt.trade.shot import Shot

if TYPE_CHECKING:
    from dialopt.engine.advice import Advice

CAFFEINE_EVERY = 3


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
        self._wake()
        self.context.say(*words.begin_lines(self.record.pairing.title), *mind_lines(self.book, self.record))
        self.context.say(*past_lines(caffeine_tally(self.book, self.context.now())))
        with suppress(Stopped):
            advice, last = self._suggested()
            if advice.settled and not yes(self.context, words.GO_ON):
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
        change = change_lines(change_to(advice.pairing, advice.next_recipe, last_pull(self.book, self.record)))
        self.context.say(*words.suggestion_lines(advice, change), *carried_lines(evidence))
        return advice, evidence.shots[-1] if evidence.shots else None

    def _pull(self, advice: Advice, last: Shot | None) -> None:
        """One shot pulled, entered and saved, or the last entry taken back."""
        self._wake()
        while answer := ask(self.context, words.pull_question(may_undo=bool(self.numbers))).lower():
            if answer != words.UNDO:
                self.context.say(words.ENTER_ALONE)
            elif self._took_back():
                return
        strength = taken_settings(self.book, self.record).with_strength
        made = ask_shot(
            self.context, self.record.pairing, suggested=advice.next_recipe, last=last, with_strength=strength
        )
        number = self.book.log(self.record.id, made)
        self.context.say(log.saved_sentence(number, made))
        self.numbers.append(number)
        self._ask_about(number, made)
        # Whoever is pregnant is told with each shot, not with every third.
        if len(self.numbers) % (1 if self.book.pregnant() else CAFFEINE_EVERY) == 0:
            self.context.say(*tally_lines(caffeine_tally(self.book, self.context.now())))

    def _ask_about(self, number: int, shot: Shot) -> None:
        """Asks about a shot that is saved already, and amends it by the answers. Raises Stopped."""
        asked: set[str] = set()
        # Looked at anew after each answer: what was mended raises no further question.
        while left := [it for _, it in looked_at(self.book, self.record, [number]) if it.about not in asked]:
            asked.add(left[0].about)
            self.context.say(questions.question_sentence(left[0]))
            changed = self._answered(shot, left[0])
            if changed != shot:
                shot = self.book.amend(self.record.id, number, changed).shot
                self.context.say(log.amended_sentence(number, shot))

    def _answered(self, shot: Shot, question: Question) -> Shot:
        """The shot as the answers make it."""
        if question.about == "swapped" and shot.yield_g is not None and yes(self.context, questions.HAVE_THEY):
            return replace(shot, recipe=replace(shot.recipe, dose_g=shot.yield_g), yield_g=shot.recipe.dose_g)
        if not question.slip or not set(question.slip) <= set(questions.ASKED):
            return shot  # whoever typed a setting or a fault in was asked then, and the clock told the day
        if question.fault is not None and yes(self.context, questions.fault_question(question.fault)):
            return replace(shot, fault=question.fault)
        for name in question.slip if yes(self.context, questions.WAS_IT_A_SLIP) else ():
            old = getattr(shot, name)

            def read(text: str, shot: Shot = shot, name: str = name) -> Shot:
                return replace(shot, **{name: read_number(name, text)})  # type: ignore[arg-type]  # a number field

            shot = ask_value(self.context, questions.right_question(name, old), read, shot)
        return shot

    def _took_back(self) -> bool:
        """Whether the last act was on a shot of this sitting, and is undone now. Any other stays, and is told."""
        stand = [operation for operation in self.book.history(self.record.id) if operation.undone_at is None]
        if not stand:
            self.context.say(words.NOTHING_TO_UNDO)
            return False
        last, number = stand[-1], stand[-1].entries[0].number
        if last.kind == "import" or number not in self.numbers:
            self.context.say(words.not_of_this_sitting(last))
            return False
        try:
            self.book.undo(self.record.id, last.id)
        except (NotFound, Refused) as error:  # another process was quicker
            self.context.say(str(error))
            return False
        self.context.say(log.undone_sentence(last))
        if last.kind == "log":
            self.numbers.remove(number)
        return True

    def _ended(self) -> Answer:
        record, advice = self.book.pairing(self.record.id), self.advice
        tally = caffeine_tally(self.book, self.context.now())
        return answered(
            words.over_said(record, len(self.numbers), advice, past_lines(tally)),
            pairing=record.id,
            numbers=self.numbers,
            caffeine=tally_data(tally),
            advice=advice and advice_data(record, advice, self.book.last_pull(record.id)),
        )
