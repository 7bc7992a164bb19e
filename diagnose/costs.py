"""Minutes: what it costs to move between holds, to make a check, to put a cause right and prove it."""

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
import numpy.typing as npt

from diagnose.network import Table
from knowledge.book import Book
from knowledge.words import HOLDS, UNLISTED, hold_rank

LEAST = 0.1
"""Minutes that the least repair with its proof takes: probability over cost divides by it."""


@dataclass(frozen=True)
class Costs:
    """Prices of one book. All costs are minutes of a hand at the unit."""

    book: Book

    def move(self, start: str, end: str) -> float:
        """Minutes from one hold to another, through every hold between them."""
        return self._moves[start, end]

    @cached_property
    def _moves(self) -> dict[tuple[str, str], float]:
        moves = {(hold, hold): 0.0 for hold in HOLDS}
        for low, high in combinations(range(len(HOLDS)), 2):
            between = [self.book.holds[hold] for hold in HOLDS[low + 1 : high + 1]]
            moves[HOLDS[low], HOLDS[high]] = sum(hold.minutes for hold in between)
            moves[HOLDS[high], HOLDS[low]] = sum(hold.back_minutes for hold in between)
        return moves

    def place_for(self, question: str, hold: str) -> str:
        """The hold nearest to the present one in which a check or a fact can be looked at."""
        asked = self.book.question(question)
        rank = min(max(hold_rank(hold), hold_rank(asked.hold)), hold_rank(asked.up_to))
        return HOLDS[rank]

    def question(self, question: str, hold: str) -> float:
        """Minutes to put a check (or a fact) to a hand and have it made, from a hold."""
        asked = self.book.question(question)
        return self.move(hold, self.place_for(question, hold)) + asked.minutes + self.book.prices.talk

    def risk(self, question: str) -> float:
        """Minutes that the risk of a check stands for: those that can move a live valve have one."""
        check = self.book.checks.get(question)
        return self.book.prices.moving if check and check.moves_valve else 0.0

    def question_with_risk(self, question: str, hold: str) -> float:
        """Minutes of a question and of its risk."""
        return self.question(question, hold) + self.risk(question)

    def place_for_repair(self, cause: str, hold: str) -> str:
        """The hold in which a cause is put right, coming from the present one."""
        return HOLDS[max(hold_rank(hold), hold_rank(self.book.causes[cause].repair.hold))]

    def repair(self, cause: str, hold: str) -> float:
        """Minutes to put a cause right from a hold, put the unit back in service and prove it."""
        if cause.startswith(UNLISTED):
            return self.book.prices.help
        place = self.place_for_repair(cause, hold)
        work = self.book.causes[cause].repair.minutes
        return max(
            LEAST, self.move(hold, place) + work + self.move(place, "running") + self.book.prices.proof
        )

    @cached_property
    def asking(self) -> dict[str, tuple[Table, npt.NDArray[np.intp]]]:
        """For each check and fact: its minutes with risk, and the hold it leaves, from each hold in order."""
        return {
            name: (
                np.array([self.question_with_risk(name, hold) for hold in HOLDS]),
                np.array([hold_rank(self.place_for(name, hold)) for hold in HOLDS]),
            )
            for name in [*self.book.checks, *self.book.facts]
        }

    @cached_property
    def repairing(self) -> dict[str, Table]:
        """For each cause: minutes to put it right and prove it, from each hold in order."""
        names = [*self.book.causes, *(UNLISTED + name for name in self.book.complaints)]
        return {name: np.array([self.repair(name, hold) for hold in HOLDS]) for name in names}
