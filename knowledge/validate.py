"""From plain data to a pydantic model, with each error put back at its place in the file."""

from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from knowledge.door import Document, Trail
from knowledge.problems import InputProblems, Problem, nearest

Model = TypeVar("Model", bound=BaseModel)

_PLAIN: dict[str, str] = {
    "missing": "is missing",
    "string_type": "must be text",
    "string_too_short": "must not be empty",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "int_type": "must be a whole number",
    "bool_type": "must be true or false",
    "dict_type": "must be a mapping of names to values",
    "list_type": "must be a list",
    "model_type": "must be a mapping of names to values",
    "string_pattern_mismatch": "is not a name | Use small letters, digits and _, a letter first.",
}


def validate(model: type[Model], document: Document) -> Model:
    """The model made from the document's data; `InputProblems` with every mistake at once."""
    try:
        return model.model_validate(document.data)
    except ValidationError as error:
        raise InputProblems(sorted({_problem(model, document, item) for item in error.errors()})) from error


def _problem(model: type[BaseModel], document: Document, error: Any) -> Problem:
    kind = error["type"]
    trail = _trail(document.data, error["loc"], missing=kind == "missing")
    field = ".".join(map(str, trail))
    if kind == "extra_forbidden":
        return Problem(
            document.place(trail),
            field,
            "is not a known field",
            nearest(str(trail[-1]), _siblings(error, model)),
        )
    if kind == "value_error":
        what, _, mend = str(error["ctx"]["error"]).partition(" | ")
        return Problem(document.place(trail), field, what, mend)
    if kind == "literal_error":
        known = [word.strip(" '") for word in error["ctx"]["expected"].replace(" or ", ",").split(",")]
        return Problem(
            document.place(trail),
            field,
            f"{error['input']!r} is not a known word",
            nearest(str(error["input"]), known),
        )
    if kind == "too_short":
        what, mend = _too_short(error["ctx"]["min_length"])
    else:
        said = error["msg"].replace("Input should be", "must be")
        what, _, mend = _PLAIN.get(kind, said[0].lower() + said[1:]).partition(" | ")
    if kind == "missing":
        mend = f"Add `{trail[-1]}:` here."
    return Problem(document.place(trail), field, what, mend)


def _too_short(least: int) -> tuple[str, str]:
    return (
        ("must not be empty", "")
        if least == 1
        else (f"must have at least {least} entries", "Add what is missing.")
    )


def _trail(data: Any, loc: tuple[str | int, ...], *, missing: bool) -> Trail:
    """The part of pydantic's location that the author wrote; a missing field is kept as the last step."""
    trail: list[str | int] = []
    here = data
    for step in loc:
        if isinstance(here, dict):
            known = step in here
        else:
            known = isinstance(here, list) and isinstance(step, int) and step < len(here)
        if known:
            here = here[step]
            trail.append(step)
    if missing and loc and (not trail or trail[-1] != loc[-1]):
        trail.append(loc[-1])
    return tuple(trail)


def _siblings(error: Any, model: type[BaseModel]) -> list[str]:
    """Names of the fields that the model at the error's place knows."""
    here: Any = model
    for step in error["loc"][:-1]:
        here = _inner(here, step)
    if isinstance(here, type) and issubclass(here, BaseModel):
        return [field.alias or name for name, field in here.model_fields.items()]
    return []


def _inner(annotation: Any, step: str | int) -> Any:
    """The annotation one step further in, through mappings, lists, optionals and annotated types."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        for name, field in annotation.model_fields.items():
            if step in (name, field.alias):
                return _unwrap(field.annotation)
        return None
    arguments = getattr(annotation, "__args__", ())
    return _unwrap(arguments[-1]) if arguments else None


def _unwrap(annotation: Any) -> Any:
    origin_arguments = [a for a in getattr(annotation, "__args__", ()) if a is not type(None)]
    if hasattr(annotation, "__metadata__"):
        return _unwrap(origin_arguments[0])
    if type(None) in getattr(annotation, "__args__", ()) and len(origin_arguments) == 1:
        return _unwrap(origin_arguments[0])
    return annotation
