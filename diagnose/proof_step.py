"""The proof of a repair, and the way back into service that comes before it."""

from diagnose.callout import State
from diagnose.events import COULD_NOT_TELL
from diagnose.own_words import own
from diagnose.steps import Step, card_of, cautions_of, choices, hold_step
from knowledge.book import Book
from knowledge.words import HOLDS, hold_rank


def prove_step(book: Book, cause: str) -> Step:
    """The proof of a repair: its own check, then two full cycles without a hand on it."""
    proof = book.checks[book.causes[cause].repair.prove]
    return Step(
        "prove",
        cause,
        own(book, "Prove it: {title}", title=book.causes[cause].title),
        own(book, "Did it fill, dump and shut off twice by itself?"),
        choices(
            {
                "cured": own(book, "Yes: cured"),
                "not_cured": own(book, "No: not cured"),
                COULD_NOT_TELL: own(book, "Cannot watch it now"),
            }
        ),
        own(book, "A repair counts when the unit has shown it."),
        "running",
        proof.minutes + book.prices.proof,
        cautions=cautions_of(book, proof.cautions),
        steps=(
            *(proof.steps or [proof.say]),
            own(book, "See that it is right: {right}", right=f"{proof.ask} {proof.right}"),
            own(book, "Then keep your hands off. Watch it fill, dump and shut off twice by itself."),
        ),
        card=card_of(book, proof.card),
    )


def back_step(book: Book, state: State) -> Step:
    """One hold back towards service, so that a repair can be proved."""
    target = HOLDS[hold_rank(state.hold) - 1]
    return hold_step(
        book, state.hold, target, (), own(book, "The proof is made with the unit back in service.")
    )
