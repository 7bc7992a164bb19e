"""The small parts of the book's schema: names, strengths, links, rows that hold when facts have values."""

from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from knowledge.words import STRENGTHS

Section = Literal[
    "vessel and liquid",
    "displacer and arm",
    "spring and lever",
    "supply",
    "pilot and ports",
    "output line",
    "actuator",
    "valve",
    "discharge piping",
]
Hold = Literal["running", "on bypass", "supply off", "isolated", "depressured", "open"]
Level = Literal["high", "low"]
Text = Annotated[str, Field(min_length=1)]
Minutes = Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]
Skill = Literal["hand", "mechanic", "specialist"]
"""Who can do a job: any field hand; one who sets up controllers and valves; one who is licensed or called."""
Mechanism = Literal[
    "mechanical", "material", "instrument", "electrical", "external influence", "miscellaneous"
]
FailureMode = Literal[
    "FTO", "FTC", "FTR", "DOP", "SPO", "HIO", "LOO", "LCP", "INL", "ELP", "ELU", "PLU", "STD", "AIR", "ERO",
    "NOO", "FTF", "PDE", "SER", "VIB", "NOI", "OHE", "OTH", "UNK",
]  # fmt: skip
"""Codes of ISO 14224, as open transcriptions give them; verify before claiming conformity.

FTO fails to open, FTC fails to close, FTR fails to regulate, DOP delayed operation, SPO spurious operation,
HIO high output, LOO low output, LCP leaks when closed, INL internal leak, ELP external leak of the process
medium, ELU external leak of a utility medium, PLU plugged, STD structural deficiency, AIR abnormal reading,
ERO erratic output, NOO no output, FTF fails to function, PDE parameter deviation, SER minor in-service
problem, VIB vibration, NOI noise, OHE overheating, OTH other, UNK unknown."""
Language = Annotated[str, Field(pattern=r"^[a-z]{2}$", description="ISO 639-1, as es")]
Id = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]


def _known_strength(value: Any) -> Any:
    if isinstance(value, str) and value not in STRENGTHS:
        raise ValueError(f"{value!r} is not a strength | Use one of: {', '.join(STRENGTHS)}; or a number.")
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("a strength is a word or a number | " + f"Use one of: {', '.join(STRENGTHS)}.")
    if not isinstance(value, str) and not 0 < value < 1:
        raise ValueError(f"a strength of {value} is out of range | Use a number above 0 and below 1.")
    return value


Strength = Annotated[
    str | float,
    BeforeValidator(_known_strength),
    Field(json_schema_extra={"enum": list(STRENGTHS)}, title="strength: a word, or a number between 0 and 1"),
]
When = Annotated[
    dict[
        str,
        Annotated[
            list[str],
            BeforeValidator(
                lambda v: v if isinstance(v, list) else [v], json_schema_input_type=str | list[str]
            ),
        ],
    ],
    Field(min_length=1, description="fact: value, or a list of values; all facts must hold"),
]


class Part(BaseModel):
    """A frozen entry in which an unknown field is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=False, defer_build=True)


class LinkRow(Part):
    """One strength of a link, perhaps only when facts have certain values."""

    strength: Strength
    when: When | None = None


def _link_rows(value: Any) -> Any:
    if isinstance(value, list):
        return value
    return [value if isinstance(value, dict) else {"strength": value}]


Link = Annotated[
    list[LinkRow],
    BeforeValidator(_link_rows, json_schema_input_type=str | float | LinkRow | list[LinkRow]),
    Field(
        min_length=1,
        description="the first row that holds gives the strength; when none holds there is no link",
    ),
]


class Likelier(Part):
    """What raises or lowers a cause's base rate: a factor, a rate of its own, or how likely it is then."""

    when: When
    times: Annotated[float, Field(gt=0, le=1000)] | None = None
    base: Annotated[float, Field(gt=0, lt=1000)] | None = None
    chance: Annotated[float, Field(gt=0, lt=1)] | None = Field(
        default=None, description="how likely it is on such a unit, whatever the callout is about"
    )

    @model_validator(mode="after")
    def _one_of_three(self) -> Self:
        if sum(number is not None for number in (self.times, self.base, self.chance)) != 1:
            raise ValueError("needs one of `times`, `base` and `chance` | Give just one of the three.")
        return self

    @property
    def raises(self) -> bool:
        """Whether it speaks for the cause: a rate or a chance of its own is there for that."""
        return self.times is None or self.times > 1
