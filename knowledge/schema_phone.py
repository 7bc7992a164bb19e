"""The schema of what helps somebody who asks by phone: beside the question, and in each language."""

from pydantic import Field

from knowledge.schema_parts import Id, Part, Text


class PhoneHelp(Part):
    """For one question in one language; whatever is left out is built from the question itself."""

    hesitates: Text | None = Field(
        default=None, description="what to say when the caller hesitates: smaller steps, where to look"
    )
    sounds_like: dict[Id, Text] = Field(
        default={}, description="what an answer may sound like in the caller's words, as answer: words"
    )
