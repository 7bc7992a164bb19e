"""The book's schema: one file of it, as pydantic models, read top to bottom as its documentation.

A book is a folder of YAML files; each file holds any of the mappings of `BookFile`, and together
they make one `Book`. Base rates, strengths and minutes are common practice with no source, unless a
`source:` says otherwise.
"""

from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from knowledge.words import SECTIONS, STRENGTHS

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


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=False)


class LinkRow(_Part):
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


class Likelier(_Part):
    """What raises or lowers a cause's base rate: a factor, or a base rate of its own."""

    when: When
    times: Annotated[float, Field(gt=0, le=1000)] | None = None
    base: Annotated[float, Field(gt=0, lt=1000)] | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.times is None) == (self.base is None):
            raise ValueError("needs either `times` or `base` | Give one of the two.")
        return self

    @property
    def raises(self) -> bool:
        """Whether it speaks for the cause: a base rate of its own is there for that."""
        return self.base is not None or (self.times or 0) > 1


class Repair(_Part):
    """How a cause is put right, and the check that proves it."""

    do: Annotated[list[Text], Field(min_length=1)]
    minutes: Minutes
    hold: Hold
    prove: Id = Field(description="the check that shows the repair took")
    parts: list[Text] = []
    tools: list[Text] = []
    cautions: list[Id] = []
    takes: Strength = Field(
        default="nearly always", description="how surely the repair does away with the cause"
    )


class Cause(_Part):
    """A fault that somebody can put right."""

    title: Text
    plain: Text = Field(description="for the field hand: short and without jargon")
    why: Text = Field(description="one sentence: why it happens")
    base: Annotated[float, Field(gt=0, lt=1000, description="how often it is met, per 1000 callouts")]
    source: Text = "common practice, no source"
    more_likely: list[Likelier] = []
    leads_to: Annotated[dict[Id, Link], Field(min_length=1)]
    repair: Repair


class Condition(_Part):
    """A state that cannot be seen directly, brought about by causes or other conditions."""

    title: Text
    leads_to: dict[Id, Link] = {}


class Bin(_Part):
    """One stretch of a reading; the first bin that the number is below is the outcome."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    outcome: Id = Field(alias="is")
    below: Annotated[float, Field(allow_inf_nan=False)] | None = None
    of: Id | None = Field(default=None, description="`below` is a share of this quantity of the unit")


class GaugeScale(_Part):
    """The gauge that a reading is taken from."""

    span: Id = Field(description="the quantity of the unit that is its full scale")
    grade: Literal["A", "B", "C", "D"] = Field(description="its accuracy grade, ASME B40.100")


class Reading(_Part):
    """How a number turns into an outcome."""

    unit: Text
    gauge: GaugeScale | None = Field(
        default=None, description="near the edge of a bin its error makes the outcome soft"
    )
    bins: Annotated[list[Bin], Field(min_length=2)]


def _share(value: Any) -> Any:
    return {value: "always"} if isinstance(value, str) else value


def _names(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


class Show(_Part):
    """What a check shows when all of `given` hold; the first row that holds counts."""

    given: Annotated[list[Id], BeforeValidator(_names, json_schema_input_type=str | list[str])] = []
    when: When | None = None
    then: Annotated[
        dict[Id, Strength],
        BeforeValidator(_share, json_schema_input_type=str | dict[str, str | float]),
        Field(
            min_length=1, description="outcome, or outcome: strength; what is left is spread over the others"
        ),
    ]


class _Asked(_Part):
    """What every question to a person carries."""

    ask: Text = Field(description="the question, in the trade's words")
    say: Text = Field(description="the words to say on the phone: one action, no jargon")
    why_it_splits: Text
    minutes: Minutes
    hold: Hold = "running"
    up_to: Hold = Field(default="open", description="the last hold in which it can still be made")
    steps: list[Text] = []
    tools: list[Text] = []
    cautions: list[Id] = []
    slip: Annotated[float, Field(gt=0, lt=0.5, description="chance that the look itself is wrong")] = 0.02


class Check(_Asked):
    """Something to look at, read or try."""

    right: Text = Field(description="what a right one looks like")
    outcomes: Annotated[dict[Id, Text], Field(min_length=2, max_length=9)]
    level: Level | None = Field(default=None, description="it can be made only while the level is there")
    reading: Reading | None = None
    shows: Annotated[list[Show], Field(min_length=2)]


class Share(_Part):
    """Shares of a fact's values among units, perhaps only when another fact has a value."""

    when: When | None = None
    share: dict[Id, Annotated[float, Field(gt=0, le=1)]]


class Fact(_Asked):
    """One thing of the unit sheet that the graph depends on; asked like a check when unknown."""

    title: Text
    sheet: Text | None = Field(
        default=None, description="the field of the unit sheet that gives it, as `controller.action`"
    )
    values: Annotated[dict[Id, Text], Field(min_length=2, max_length=9)]
    prior: Annotated[list[Share], Field(min_length=1)]


class Computed(_Part):
    """A fact that a calculation on the unit sheet gives; `unknown` when the sheet does not say enough."""

    title: Text
    values: Annotated[dict[Id, Text], Field(min_length=2, max_length=9)]


class Quantity(_Part):
    """A number of the unit that readings are judged against."""

    title: Text
    unit: Text
    usual: float = Field(description="taken, and said so, when the sheet does not give it")
    sheet: Text


class Complaint(_Part):
    """What the caller reports: a yes/no look at one condition."""

    title: Text
    say: Text
    of: Id = Field(description="the condition that the report speaks of")
    level: Level | None = Field(default=None, description="where the level is when this is reported")
    reported: Strength = Field(
        default="usually", description="how surely the condition is reported in this way"
    )
    false_report: Annotated[float, Field(gt=0, lt=0.5)] = 0.01
    unlisted: Annotated[float, Field(gt=0, lt=1000)] = Field(
        description="base rate of causes not in the book, per 1000"
    )


class TriageOutcome(_Part):
    """One answer to a triage question, and what must be done before going on."""

    title: Text
    do: list[Text] = []


class Triage(_Part):
    """A question about danger, asked before anything else."""

    ask: Text
    say: Text
    outcomes: Annotated[dict[Id, TriageOutcome], Field(min_length=2, max_length=8)]


class HoldStep(_Part):
    """The way into a hold from the one below it, and back out again."""

    title: Text
    done: Text = Field(description="what the hand confirms when it is reached")
    minutes: Minutes
    back_minutes: Minutes
    cautions: Annotated[list[Id], Field(min_length=1)]
    steps: Annotated[list[Text], Field(min_length=1)]
    back: Annotated[list[Text], Field(min_length=1)]


class Prices(_Part):
    """Minutes that stand in for what is neither a check nor a repair."""

    help: Minutes = Field(description="what it costs to call somebody who knows more and wait for them")
    proof: Minutes = Field(description="watching two full cycles after a repair")
    talk: Minutes = Field(default=0.0, description="putting a question, walking there and telling the answer")


class BookFile(_Part):
    """One file of a book."""

    section: Section | None = None
    causes: dict[Id, Cause] = {}
    conditions: dict[Id, Condition] = {}
    checks: dict[Id, Check] = {}
    facts: dict[Id, Fact] = {}
    computed: dict[Id, Computed] = {}
    quantities: dict[Id, Quantity] = {}
    complaints: dict[Id, Complaint] = {}
    triage: dict[Id, Triage] = {}
    holds: dict[Hold, HoldStep] = {}
    cautions: dict[Id, Text] = {}
    prices: Prices | None = None

    @model_validator(mode="after")
    def _section_named(self) -> Self:
        if self.section is None and (self.causes or self.conditions or self.checks):
            raise ValueError(
                "causes, conditions and checks need a section | "
                f"Add `section:` at the top, one of: {', '.join(SECTIONS)}."
            )
        return self
