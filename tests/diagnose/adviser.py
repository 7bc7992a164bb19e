"""What the tests of advice stand on."""

from hypothesis import settings

from diagnose.advice import Limits
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner

STEADY = settings(max_examples=60, deadline=None, derandomize=True)


SHUT = Evidence(("wont_open",))


def everything_asked(reasoner: Reasoner, hold: str = "running", **more) -> Limits:
    """Limits under which only repairs are left."""
    return Limits(hold, asked={*reasoner.book.checks, *reasoner.book.facts}, **more)
