"""`halfsplit procedure`: jobs listed, shown fitted to a unit, and ticked off a line at a time."""

import io
import json
from dataclasses import asdict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.procedures import fitted
from diagnose.units import to_si
from diagnose.words import SAFETY
from knowledge.book import load_book
from tests.helpers import tiny_book, write_book
from tui.__main__ import main
from tui.procedure_lines import ENGLISH, head_lines, line_text, tick_off

JOBS = {
    "procedures": {
        "set_it": {
            "title": "Set it",
            "purpose": "It stands where it should.",
            "minutes": 95,
            "skill": "mechanic",
            "tools": ["wrench", "marker"],
            "cautions": ["shut_first"],
            "steps": [
                {"do": "Look at {supply_psi|the tag}."},
                {
                    "do": "Set {supply_set|what its tag says}.",
                    "hold": "on bypass",
                    "cautions": ["shut_first"],
                },
                {"do": "Turn it down.", "when": {"fails": "open"}},
                {"do": "Turn it up.", "when": {"fails": "closed"}},
            ],
        },
        "leave_it": {
            "title": "Leave it",
            "purpose": "Nothing is touched.",
            "minutes": 2,
            "steps": [{"do": "Look."}, {"do": "Go."}],
        },
    }
}
BOOK = tiny_book(JOBS)
UNIT = 'unit: "V-1"\ncontroller: {supply_set: 30 psi}\nvalve: {fails: closed}\n'


@pytest.fixture
def show(tmp_path, capsys, monkeypatch):
    """Runs `procedure` on the book of two jobs; what it printed on stdout and on stderr, and its code."""
    write_book(tmp_path, JOBS)
    (tmp_path / "unit.yml").write_text(UNIT, encoding="utf-8")

    def run(*words: str, typed: str = "", unit: bool = False) -> tuple[str, str, int]:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        more = ["--unit", str(tmp_path / "unit.yml")] if unit else []
        code = main(["procedure", *words, *more, "--book", str(tmp_path)])
        return (*capsys.readouterr(), code)

    return run


def ticked(typed: str, name: str = "set_it") -> list[str]:
    """What is printed when these keys are typed, in lines."""
    out = io.StringIO()
    tick_off(fitted(BOOK, name), io.StringIO(typed), out)
    return out.getvalue().splitlines()


def shown(name: str = "set_it") -> list[str]:
    """The lines of a procedure as they are ticked off."""
    lines = fitted(BOOK, name).lines
    return [f"[{k}/{len(lines)}] {line_text(line)} " for k, line in enumerate(lines, 1)]


def test_list_names_every_procedure(show):
    """A line each, or as JSON."""
    out, _, code = show("list")
    assert (out, code) == ("set_it\tSet it\nleave_it\tLeave it\n", 0)
    listed = json.loads(show("list", "--json")[0])
    assert listed["schema_version"] == 1
    assert [tuple(entry.values()) for entry in listed["procedures"]] == [
        ("set_it", "Set it"),
        ("leave_it", "Leave it"),
    ]


def test_show_prints_the_whole_job_with_what_is_read_first(show):
    """Title, purpose, safety, minutes and skill, tools, cautions; then every line."""
    out, err, code = show("show", "set_it")
    assert (err, code) == ("", 0)
    job = fitted(BOOK, "set_it")
    assert out.splitlines() == [*head_lines(job), *(line_text(line) for line in job.lines)]
    assert out.splitlines()[:6] == [
        "Set it",
        "It stands where it should.",
        SAFETY,
        "Takes about 1 h 35 min. Who: a mechanic who sets up controllers and valves.",
        "Bring: wrench, marker.",
        "Caution: Shut it first.",
    ]
    assert "If fails is open: Turn it down." in out
    assert "Set what its tag says." in out


def test_a_job_without_tools_and_cautions_has_no_line_for_them():
    """Nothing to bring is no line."""
    assert len(head_lines(fitted(BOOK, "leave_it"))) == 4


def test_show_fits_the_job_to_the_sheet(show):
    """Its numbers, and only the steps for such a unit."""
    out, _, code = show("show", "set_it", unit=True)
    assert code == 0
    assert "Set 30 psi." in out
    assert "Turn it up." in out
    assert "Turn it down." not in out
    assert "If " not in out


def test_show_as_json_is_the_fitted_job(show):
    """Every field of it, and of each line its kind, text, number and hold."""
    found = json.loads(show("show", "set_it", "--json", unit=True)[0])
    job = fitted(BOOK, "set_it", {"fails": "closed"}, {"controller.supply_set": to_si(30, "psi")})
    assert found == {"schema_version": 1, **json.loads(json.dumps(asdict(job)))}
    assert set(found["lines"][0]) == {"kind", "text", "number", "hold"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["show", "set_itt"], "there is no procedure 'set_itt'. Did you mean set_it?"),
        (["show", "zzz"], "there is no procedure 'zzz'. "),
        (["show", "set_it", "--unit", "no_such_unit"], "there is no unit sheet 'no_such_unit'"),
    ],
)
def test_a_mistake_is_told_with_code_2(show, words, said):
    """On stderr, and stdout is empty."""
    out, err, code = show(*words)
    assert (out, code) == ("", 2)
    assert said in err


def test_a_line_cannot_drive_the_terminal():
    """Control characters of the book are left out."""
    steps = [{"do": "Look\x1b[2J."}, {"do": "Go."}]
    job = fitted(tiny_book({"procedures": {"j": {**JOBS["procedures"]["leave_it"], "steps": steps}}}), "j")
    assert line_text(job.lines[0]) == "1. Look[2J."


def test_enter_ticks_off_line_after_line_to_the_end(show):
    """Each line is shown once, with its number and how many there are; then it is all done."""
    head = [*head_lines(fitted(BOOK, "set_it")), ENGLISH.ticks]
    lines = shown()
    out = ticked("\n" * len(lines))
    assert out == [*head, "".join(lines) + "All done."]
    by_command, _, code = show("show", "set_it", "--steps", typed="\n" * len(lines))
    assert (by_command.splitlines(), code) == (out, 0)


def test_b_goes_back_one_line_and_no_further_than_the_first():
    """The line before is shown again."""
    one, two, *_ = shown()
    text = "\n".join(ticked("b\n\nb\n\n\nq\n"))
    assert one + one + two + one + two in text


def test_q_leaves_and_says_where_the_unit_is():
    """The hold that it is in once it is reached, cautions before a step included; on the way both ends."""
    found = []
    for at, line in enumerate(fitted(BOOK, "set_it").lines):
        (end,) = ticked("\n" * at + "q\n")[-1:]
        assert end.startswith(f"Left at line {at + 1}. The unit is ")
        found.append((line.kind, end.split("The unit is ")[1]))
    on_the_way = [("hold", "between running and on bypass."), ("caution", "between running and on bypass.")]
    assert found == [
        ("step", "running."),
        *on_the_way,
        ("way", "between running and on bypass."),
        ("caution", "on bypass."),
        *[("step", "on bypass.")] * 3,
        ("hold", "between on bypass and running."),
        ("way", "between on bypass and running."),
    ]


def test_the_end_of_the_input_leaves_as_q_does():
    """Nothing is taken as done that was not ticked off."""
    assert ticked("\n\n") == ticked("\n\nq\n")
    assert "All done." not in ticked("")


def test_any_other_key_says_what_the_keys_are():
    """And the same line is asked again."""
    first = shown()[0]
    text = "\n".join(ticked("x\n"))
    assert f"{first}{ENGLISH.ticks}\n{first}" in text


@given(st.lists(st.sampled_from(["", "b", "x", " "]), max_size=25))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_all_is_done_just_when_every_line_was_ticked_off(keys):
    """Whatever was gone back over in between."""
    count = len(fitted(BOOK, "leave_it").lines)
    at, done = 0, False
    for key in keys:
        if not done:
            at = max(0, at - 1) if key == "b" else at + (key.strip() == "")
            done = at == count
    out = "\n".join(ticked("".join(f"{key}\n" for key in keys), "leave_it"))
    assert ("All done." in out) == done
    assert (f"Left at line {at + 1}." in out) == (not done)


def test_every_procedure_of_the_shipped_book_can_be_shown(capsys):
    """On a unit of which nothing is known."""
    for name in load_book().procedures:
        assert main(["procedure", "show", name]) == 0
        assert "\n1. " in capsys.readouterr().out


def test_a_procedure_in_spanish_has_no_label_in_english(capsys):
    """Its safety line, who does it, its cautions, and where it was left."""
    assert main(["procedure", "show", "set_point", "--lang", "es"]) == 0
    out = capsys.readouterr().out
    assert "Nunca anule un paro." in out
    assert "Tarda unos 30 min. Quién: cualquier operador." in out
    assert "   Cuidado: " in out
    assert [word for word in ("Caution", "Takes", "Bring", "If ") if word in out] == []
