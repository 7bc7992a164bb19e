"""The parts of the book's schema that are done step by step: the ways between holds, and procedures."""

from typing import Annotated

from pydantic import Field

from knowledge.schema_parts import Hold, Id, Minutes, Part, Skill, Text, When


class HoldStep(Part):
    """The way into a hold from the one below it, and back out again."""

    title: Text
    done: Text = Field(description="what the hand confirms when it is reached")
    minutes: Minutes
    back_minutes: Minutes
    cautions: Annotated[list[Id], Field(min_length=1)]
    steps: Annotated[list[Text], Field(min_length=1)]
    back: Annotated[list[Text], Field(min_length=1)]
    card: Id | None = Field(default=None, description="the help card of what it is done with")


class ProcedureStep(Part):
    """One action. Numbers in braces are fitted to the unit: `{supply_set}`, `{name|words if unknown}`."""

    do: Text
    when: When | None = Field(default=None, description="only for such units; facts of the sheet count too")
    hold: Hold | None = Field(default=None, description="the hold that the unit must be in from here on")
    cautions: list[Id] = []


class Procedure(Part):
    """A job that is done the same way whatever it is done for."""

    title: Text
    purpose: Text
    minutes: Minutes
    skill: Skill = "hand"
    tools: list[Text] = []
    cautions: list[Id] = []
    steps: Annotated[list[ProcedureStep], Field(min_length=2)]
    source: Text = "common practice, no source"
