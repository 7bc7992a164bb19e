"""What a person wrote into the settings file: a TOML file in the platform's folder for settings."""

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from knowledge.problems import InputProblems, Problem, nearest

ENVIRONMENT: Final = "HALFSPLIT_CONFIG"
"""Names another settings file."""
KNOWN: Final = {
    "db": "the database where callouts are kept",
    "by": "your name, kept with your answers",
    "theme": "colours of the screen: sun, night or terminal",
    "ascii": "yes: draw with plain letters and signs alone",
}
"""The settings that there are."""


def settings_file(environment: Mapping[str, str] = os.environ) -> Path:
    """The settings file, whether it is there or not."""
    named = environment.get(ENVIRONMENT)
    if named:
        return Path(named)
    from platformdirs import user_config_dir

    return Path(user_config_dir("halfsplit", appauthor=False)) / "settings.toml"


def setting(name: str) -> str:
    """One setting, empty when it is not set. Raises `InputProblems` for a file that cannot be read."""
    path = settings_file()
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as error:
        raise InputProblems([Problem(str(path), "", f"cannot be read ({error})", "")]) from error
    except tomllib.TOMLDecodeError as error:
        raise InputProblems([Problem(str(path), "", f"is not TOML: {error}", 'Write: db = "…"')]) from error
    problems = [
        Problem(str(path), key, "is no setting", nearest(key, KNOWN))
        if key not in KNOWN
        else Problem(str(path), key, "is not a text", f'Write: {key} = "…"')
        for key, value in found.items()
        if key not in KNOWN or not isinstance(value, str)
    ]
    if problems:
        raise InputProblems(problems)
    return str(found.get(name, ""))
