"""What each question of one unit looks at, and what its answers tell of that."""

import hashlib
from collections.abc import Mapping, Sequence

import numpy as np

from diagnose.boxes import Box, boxes
from diagnose.compile import Compiler
from diagnose.network import Factor
from knowledge.kept import Kept, keep_text, kept_text, parsed, written


class Looks:
    """The questions of one book and one set of known facts: its checks, and the facts that are unknown."""

    def __init__(self, compiler: Compiler, kept: Kept) -> None:
        """``kept``: where boxes are kept for the next time."""
        self._compiler, self._book, self._kept = compiler, compiler.book, kept
        self._likelihoods: dict[str, Factor] = {}
        self._boxes: dict[str, list[Box]] = {}

    def likelihood(self, question: str) -> Factor:
        """P(answer | what is looked at) of a check or an unknown fact; axes (answer, *scope)."""
        if question not in self._likelihoods:
            if question in self._book.checks:
                self._likelihoods[question] = self._compiler.likelihoods(question)
            else:
                fact = self._book.facts[question]
                size = len(fact.values)
                table = (1 - fact.slip) * np.eye(size) + fact.slip / size
                self._likelihoods[question] = Factor((question, question), table)
        return self._likelihoods[question]

    def answers(self, question: str) -> tuple[str, ...]:
        """The answers that a check or a fact can have, in the book's order."""
        if question in self._book.checks:
            return tuple(self._book.checks[question].outcomes)
        return tuple(self._book.facts[question].values)

    def seen(self, question: str, weights: Mapping[str, float]) -> Factor:
        """What an answer says, or several that may have been given, each with its weight."""
        whole = self.likelihood(question)
        by_answer = np.array([weights.get(answer, 0.0) for answer in self.answers(question)])
        return Factor(whole.variables[1:], np.tensordot(by_answer, whole.table, axes=1))

    def boxes(self, question: str) -> list[Box]:
        """Boxes that share out all states that a question looks at."""
        if question not in self._boxes:
            self._boxes[question] = boxes(self.likelihood(question))
        return self._boxes[question]

    def recall_boxes(self, questions: Sequence[str]) -> None:
        """Have the boxes of these questions ready: those that were kept for the same likelihoods, or new."""
        left = [name for name in questions if name not in self._boxes]
        if not left:
            return
        key = _key([self.likelihood(name) for name in left])
        found = _read(kept_text(self._kept, key), len(left))
        if found is None:
            found = [self.boxes(name) for name in left]
            plain = [[(box.given, box.chance.tolist()) for box in some] for some in found]
            keep_text(self._kept, key, written(plain))
        self._boxes |= zip(left, found, strict=True)


def _key(likelihoods: Sequence[Factor]) -> str:
    """A digest of all that the boxes hang on."""
    digest = hashlib.sha256(b"boxes 1")
    for factor in likelihoods:
        digest.update(f"{factor.variables!r} {factor.table.shape}".encode())
        digest.update(np.ascontiguousarray(factor.table).tobytes())
    return digest.hexdigest()


def _read(text: bytes | None, count: int) -> list[list[Box]] | None:
    """The boxes of so many questions; None when they were not kept, or not so."""
    try:
        found = [
            [Box(tuple((name, state) for name, state in given), np.array(chance)) for given, chance in some]
            for some in parsed(text or b"null")
        ]
    except (TypeError, ValueError):
        return None
    return found if len(found) == count else None
