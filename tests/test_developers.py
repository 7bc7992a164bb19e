"""DEVELOPERS.md tells the truth: its map is that of the files, and its commands can be typed."""

import re
import tomllib
from fnmatch import fnmatch
from importlib.util import find_spec
from pathlib import Path, PurePosixPath
from typing import Final

import pytest

from tests.commands_in import own_commands, python_modules, strange_words

ROOT: Final = Path(__file__).parents[1]
TEXT: Final = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FLOORS: Final = ("knowledge", "diagnose", "tui")
MODULES: Final = sorted(
    path.relative_to(ROOT).as_posix()
    for floor in FLOORS
    for path in (ROOT / floor).rglob("*.py")
    if path.name not in ("__init__.py", "__main__.py")
)
NAMED: Final = re.compile(r"`((?:[\w*]+/)*(?:[\w*]+\.py|))`")


def mapped() -> list[str]:
    """What the map names, as paths and patterns: a bare file stands in the folder named before it."""
    rows = [
        row for row in TEXT.partition("## The data's way")[2].partition("\n## ")[0].split("\n") if "|" in row
    ]
    found, folder = [], PurePosixPath()
    for row in rows:
        for name in filter(None, NAMED.findall(row)):
            path = PurePosixPath(name)
            if "/" in name:
                folder = path if name.endswith("/") else path.parent
            found.append(f"{path}/*" if name.endswith("/") else str(path if "/" in name else folder / path))
    return found


MAPPED: Final = mapped()


@pytest.mark.parametrize("name", MAPPED)
def test_what_the_map_names_is_there(name):
    """Every file and folder, and every pattern has a file."""
    assert list(ROOT.glob(name))


@pytest.mark.parametrize("module", MODULES)
def test_every_module_has_its_place_in_the_map(module):
    """By its name, by a pattern or by its folder."""
    assert [name for name in MAPPED if fnmatch(module, name)]


@pytest.mark.parametrize("words", own_commands("DEVELOPERS.md"), ids=" ".join)
def test_a_command_in_it_is_one_that_the_parser_knows(words):
    """Its subcommands and options; the README's are run besides."""
    assert list(strange_words(words)) == []


@pytest.mark.parametrize("module", python_modules("DEVELOPERS.md"))
def test_what_is_run_as_a_module_is_there(module):
    """By its name; the benches take minutes and are not run."""
    assert find_spec(module)


def test_the_tests_that_are_named_are_there():
    """As arguments of pytest."""
    named = re.findall(r"pytest (tests/[\w/]+\.py)", TEXT)
    assert named
    assert [name for name in named if not (ROOT / name).is_file()] == []


def test_every_dependency_has_its_reason():
    """A row of the table for each that pyproject.toml names, those of the extras too."""
    table = TEXT.partition("## Dependencies")[2].partition("\n## ")[0]
    packages = " ".join(row.split("|")[1] for row in table.split("\n") if row.startswith("|"))
    reasons = set(re.findall(r"[\w-]+", packages.lower()))
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [
        *project["dependencies"],
        *(one for extra in project["optional-dependencies"].values() for one in extra),
    ]
    names = {re.match(r"[\w-]+", one).group().lower() for one in wanted}
    assert names - reasons == set()
