"""The book's schema: one file of it, as pydantic models, read top to bottom as its documentation.

A book is a folder of YAML files; each file holds any of the mappings of `BookFile`, and together
they make one `Book`. Base rates, strengths and minutes are common practice with no source, unless a
`source:` says otherwise.
"""

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from knowledge.schema_card import Card
from knowledge.schema_parts import (
    FailureMode,
    Hold,
    Id,
    Language,
    Level,
    Likelier,
    Link,
    Mechanism,
    Minutes,
    Part,
    Section,
    Skill,
    Strength,
    Text,
    When,
)
from knowledge.schema_phone import PhoneHelp
from knowledge.schema_steps import HoldStep, Procedure
from knowledge.words import SECTIONS


class Repair(Part):
    """How a cause is put right, and the check that proves it."""

    do: Annotated[list[Text], Field(min_length=1)]
    procedure: Id | None = Field(
        default=None, description="the procedure that does it, or ends it, step by step"
    )
    skill: Skill = Field(default="hand", description="who can do it")
    minutes: Minutes
    hold: Hold
    prove: Id = Field(description="the check that shows the repair took")
    card: Id | None = Field(default=None, description="the help card of what it is done to")
    parts: list[Text] = []
    tools: list[Text] = []
    cautions: list[Id] = []
    takes: Strength = Field(
        default="nearly always", description="how surely the repair does away with the cause"
    )


class Cause(Part):
    """A fault that somebody can put right."""

    title: Text
    plain: Text = Field(description="for the field hand: short and without jargon")
    why: Text = Field(description="one sentence: why it happens")
    base: Annotated[float, Field(gt=0, lt=1000, description="how often it is met, per 1000 callouts")]
    source: Text = "common practice, no source"
    failure_mode: FailureMode = Field(default="UNK", description="of ISO 14224")
    mechanism: Mechanism = Field(default="miscellaneous", description="of ISO 14224, its first level")
    nothing_wrong: bool = Field(default=False, description="it looked odd, and nothing was wrong")
    same_repair_as: Id | None = Field(default=None, description="a cause that the same work puts right")
    told_when_open: Text | None = Field(
        default=None, description="why only taking it apart tells it from its like"
    )
    more_likely: list[Likelier] = []
    leads_to: Annotated[dict[Id, Link], Field(min_length=1)]
    repair: Repair


class Condition(Part):
    """A state that cannot be seen directly, brought about by causes or other conditions."""

    title: Text
    leads_to: dict[Id, Link] = {}


class Bin(Part):
    """One stretch of a reading; the first bin that the number is below is the outcome."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    outcome: Id = Field(alias="is")
    below: Annotated[float, Field(allow_inf_nan=False)] | None = None
    of: Id | None = Field(default=None, description="`below` is a share of this quantity of the unit")


class GaugeScale(Part):
    """The gauge that a reading is taken from."""

    span: Id = Field(description="the quantity of the unit that is its full scale")
    grade: Literal["A", "B", "C", "D"] = Field(description="its accuracy grade, ASME B40.100")


class Reading(Part):
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


class Show(Part):
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


class _Asked(Part):
    """What every question to a person carries."""

    ask: Text = Field(description="the question, in the trade's words")
    say: Text = Field(description="the words to say on the phone: one action, no jargon")
    say_in: dict[Language, Text] = Field(default={}, description="`say` in other languages, as `es: …`")
    why_it_splits: Text
    minutes: Minutes
    hold: Hold = "running"
    up_to: Hold = Field(default="open", description="the last hold in which it can still be made")
    steps: list[Text] = []
    tools: list[Text] = []
    cautions: list[Id] = []
    card: Id | None = Field(
        default=None, description="the help card of what must be found; `none` where there is no such thing"
    )
    slip: Annotated[float, Field(gt=0, lt=0.5, description="chance that the look itself is wrong")] = 0.02


class Check(_Asked):
    """Something to look at, read or try."""

    right: Text = Field(description="what a right one looks like")
    outcomes: Annotated[dict[Id, Text], Field(min_length=2, max_length=9)]
    level: Level | None = Field(default=None, description="it can be made only while the level is there")
    moves_valve: bool = Field(default=False, description="making it can move the dump valve of a live vessel")
    reading: Reading | None = None
    shows: Annotated[list[Show], Field(min_length=2)]


class Share(Part):
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


class Computed(Part):
    """A fact that a calculation on the unit sheet gives; `unknown` when the sheet does not say enough."""

    title: Text
    values: Annotated[dict[Id, Text], Field(min_length=2, max_length=9)]


class Quantity(Part):
    """A number of the unit that readings are judged against."""

    title: Text
    unit: Text
    usual: float = Field(description="taken, and said so, when the sheet does not give it")
    sheet: Text


class Complaint(Part):
    """What the caller reports: a yes/no look at one condition."""

    title: Text
    say: Text
    say_in: dict[Language, Text] = {}
    of: Id = Field(description="the condition that the report speaks of")
    level: Level | None = Field(default=None, description="where the level is when this is reported")
    says: dict[Id, Id] = Field(
        default={},
        description="facts of the unit that somebody who reports this tells with it, as fact: value",
    )
    reported: Strength = Field(
        default="usually", description="how surely the condition is reported in this way"
    )
    false_report: Annotated[float, Field(gt=0, lt=0.5)] = 0.01
    unlisted: Annotated[float, Field(gt=0, lt=1000)] = Field(
        description="base rate of causes not in the book, per 1000"
    )


class TriageOutcome(Part):
    """One answer to a triage question, and what must be done before going on."""

    title: Text
    do: list[Text] = []


class Triage(Part):
    """A question about danger, asked before anything else."""

    ask: Text
    say: Text
    say_in: dict[Language, Text] = {}
    outcomes: Annotated[dict[Id, TriageOutcome], Field(min_length=2, max_length=8)]
    minutes: dict[Id, Annotated[float, Field(ge=0, allow_inf_nan=False)]] = Field(
        default={},
        description="for the question about the trip: the least minutes to it that an outcome leaves, one of "
        "them 0; the minutes or the level can then be typed",
    )

    @model_validator(mode="after")
    def _minutes_of_outcomes(self) -> Self:
        strange = sorted(set(self.minutes) - set(self.outcomes))
        if strange:
            raise ValueError(f"{strange[0]!r} is no outcome | Name one of: {', '.join(self.outcomes)}.")
        if self.minutes and min(self.minutes.values()) > 0:
            raise ValueError("no outcome begins at 0 minutes | Give the most urgent one `0`.")
        return self


class Prices(Part):
    """Minutes that stand in for what is neither a check nor a repair."""

    help: Minutes = Field(description="what it costs to call somebody who knows more and wait for them")
    proof: Minutes = Field(description="watching two full cycles after a repair")
    moving: Minutes = Field(
        default=0.0, description="the risk of a check that can move a live valve, as minutes"
    )
    talk: Minutes = Field(default=0.0, description="putting a question and telling the answer")
    visit: Minutes = Field(default=0.0, description="getting to another part of the unit for a look")


class BookFile(Part):
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
    procedures: dict[Id, Procedure] = {}
    cards: dict[Id, Card] = {}
    phone: dict[Id, dict[Language, PhoneHelp]] = Field(
        default={}, description="help on the phone, by check, fact or triage question, and language"
    )
    prices: Prices | None = None
    coincidence: Annotated[float, Field(gt=0, le=1)] | None = Field(
        default=None,
        description="how often a fault lies about on a unit at any one moment, as a share of its `base`",
    )

    @model_validator(mode="after")
    def _section_named(self) -> Self:
        if self.section is None and (self.causes or self.conditions or self.checks):
            raise ValueError(
                "causes, conditions and checks need a section | "
                f"Add `section:` at the top, one of: {', '.join(SECTIONS)}."
            )
        return self
