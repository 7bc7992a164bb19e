"""Names under `phone:` that point nowhere."""

from collections.abc import Collection, Iterator, Sequence

from knowledge.door import Document
from knowledge.problems import Problem, nearest
from knowledge.schema import BookFile


def phone_problems(parts: Sequence[tuple[Document, BookFile]]) -> Iterator[Problem]:
    """Help on the phone for a question that is not there, or there twice, or for no answer of it."""
    answers: dict[str, Collection[str]] = {}
    for _, part in parts:
        answers |= {name: check.outcomes for name, check in part.checks.items()}
        answers |= {name: fact.values for name, fact in part.facts.items()}
        answers |= {name: asked.outcomes for name, asked in part.triage.items()}
    seen: dict[str, str] = {}
    for document, part in parts:
        for name, by_language in part.phone.items():
            place, field = document.place(("phone", name)), f"phone.{name}"
            if name not in answers:
                what = f"there is no check, fact or triage question named {name!r}"
                yield Problem(place, field, what, nearest(name, answers))
            elif name in seen:
                yield Problem(place, field, f"it is there already (see {seen[name]})", "Join the two.")
            for language, entry in by_language.items():
                for answer in entry.sounds_like if name in answers else ():
                    if answer not in answers[name]:
                        trail = ("phone", name, language, "sounds_like", answer)
                        what = f"{answer!r} is not an answer of {name}"
                        mend = nearest(answer, answers[name])
                        yield Problem(document.place(trail), ".".join(trail), what, mend)
            seen.setdefault(name, place)
