"""How the rows of a window are shared out. Answers come first: they are never cut off."""

from dataclasses import dataclass

LEAST_WIDTH = 24
"""Below this an answer is broken into so many lines that it cannot be read at a glance."""
BARE = (40, 12)
"""A smaller window shows the question and its answers only."""
LEAST_QUESTION = 3
BESIDE = (72, 20)
"""From this size on the likely faults stand beside the answers and not below them."""
MOST_LEADERS = 5


@dataclass(frozen=True)
class Wanted:
    """Rows that everything would take at this width."""

    question: int
    must: int
    """Rows of the question down to its last caution: seen before anything below it may be done."""
    answers: int
    strip: int = 0
    fit: int = 0
    leaders: int = 0


@dataclass(frozen=True)
class Room:
    """Rows that everything gets."""

    question: int
    answers: int
    strip: int = 0
    fit: int = 0
    leaders: int = 0
    """Faults that are shown; their heading takes one row more."""
    frame: bool = True
    """Whether the head, the rule and the foot are shown."""
    too_small: bool = False


def share_out(width: int, height: int, wanted: Wanted) -> Room:
    """Rows for each part of the screen.

    >>> share_out(80, 24, Wanted(question=12, must=6, answers=4, strip=2, leaders=5))
    Room(question=9, answers=4, strip=2, fit=0, leaders=5, frame=True, too_small=False)
    """
    if width < BARE[0] or height < BARE[1]:
        question = height - wanted.answers
        small = width < LEAST_WIDTH or question < min(LEAST_QUESTION, wanted.question)
        return Room(max(0, question), wanted.answers, frame=False, too_small=small)
    free = height - 3  # head, rule and foot
    answers = min(wanted.answers, free - LEAST_QUESTION)
    free -= answers
    fit = min(wanted.fit, max(0, free - LEAST_QUESTION))
    free -= fit
    question = min(free, max(LEAST_QUESTION, min(wanted.must, wanted.question)))
    free -= question
    strip = wanted.strip if free >= wanted.strip else 0
    free -= strip
    leaders = min(MOST_LEADERS, wanted.leaders, max(0, free - 1))
    free -= leaders + 1 if leaders else 0
    return Room(question + free, answers, strip, fit, leaders)
