"""Whatever is written as HTML: one file each, without any outside address, everything in it escaped."""

from typing import Final

import jinja2
from markupsafe import Markup

from diagnose.own_words import said
from diagnose.words import SAFETY
from tui.text import clean

LONGEST: Final = 260
"""Letters of a text that a page keeps: a note could be as long as a book."""


def page_html(template: str, language: str = "en", **values: object) -> str:
    """A template of `tui/templates` filled in."""
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("tui"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"clean": clean, "short": short}
    return environment.get_template(template).render(
        language=language, safety=said(language, SAFETY), **values
    )


def short(text: str) -> str:
    """A text on one line, without control characters, its end left out where it is very long."""
    line = clean(text)
    return line if len(line) <= LONGEST else f"{line[: LONGEST - 4]} ..."


def drawn(svg: str) -> Markup:
    """A picture that is ours and holds only escaped texts, to stand in a page as it is."""
    return Markup(svg)
