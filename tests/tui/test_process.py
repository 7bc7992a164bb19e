"""`halfsplit walk` as a process: killed, started twice, in a terminal."""

import os
import subprocess
import sys

import pytest

from tests.tui.driver import ROOT, RUNNER, command, cure, told
from tests.tui.typed import callouts, events_of, lines, run


def start(*answers: str) -> subprocess.Popen[str]:
    """A process in the middle of a callout: it has asked the question after these answers."""
    process = subprocess.Popen(
        command("--plain", "--new"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )
    assert process.stdin
    assert process.stdout
    process.stdin.write(lines(*answers))
    process.stdin.flush()
    heard(process, f"Question {len(answers) + 1}.")
    return process


def stop(process: subprocess.Popen[str]) -> None:
    """Kill it as the power does."""
    process.kill()
    process.wait()
    assert process.stdin
    assert process.stdout
    process.stdin.close()
    process.stdout.close()


def test_a_kill_in_the_middle_loses_nothing_and_the_walk_goes_on():
    """SIGKILL after three answers; --resume asks the fourth, and the end is the same as without the kill."""
    stop(start(*cure()[:3]))
    done = run("--plain", "--resume", typed=lines(*cure()[3:]))
    assert done.returncode == 0
    assert "Question 4." in done.stdout
    assert "CURED" in done.stdout
    (item,) = callouts()
    killed = told(events_of(item))
    run("--plain", "--new", "--no-history", typed=lines(*cure()))
    whole = next(entry for entry in callouts() if entry != item)
    assert killed == told(events_of(whole))


def test_a_second_process_goes_on_where_the_first_is_and_the_first_is_told():
    """Its answer is not taken, the second's answer is shown, and the next question is the one after that."""
    first = start("1")
    try:
        second = run("--plain", "--resume", "--by", "Kim", typed=lines("1"))
        assert (second.returncode, second.stderr) == (0, "")
        assert "Question 2." in second.stdout
        assert first.stdin
        first.stdin.write("2\n")
        first.stdin.flush()
        said = heard(first, "Question 3.")
    finally:
        stop(first)
    assert "Your answer was NOT taken. Somebody else has answered: Kim: what is wrong:" in said
    (item,) = callouts()
    assert [(event.kind, event.by) for event in events_of(item)][1:] == [("triage", ""), ("complaint", "Kim")]


def heard(process: subprocess.Popen[str], until: str) -> str:
    """What it says up to a line with those words."""
    assert process.stdout
    said = ""
    for line in process.stdout:
        said += line.replace("\n", " ")
        if until in line:
            return said
    raise AssertionError(said)


def loaded(code: str, *names: str) -> set[str]:
    """Which of these modules a process has loaded after running the code."""
    code += f"; import sys; print(*({set(names)} & sys.modules.keys()), file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", code], input="", capture_output=True, text=True, cwd=ROOT, check=True
    )
    return set(done.stderr.split())


def test_the_parser_alone_loads_no_arithmetic():
    """Other commands do not wait for what they do not use."""
    assert loaded("import tui.commands.walk", "numpy", "networkx", "pydantic", "textual") == set()


def test_line_commands_do_not_load_the_screen():
    """A whole `walk --plain` runs without it."""
    code = RUNNER.replace("sys.exit(args.run(args))", "args.run(args)")
    code = f"import sys; sys.argv[1:] = {command('--plain')[3:]}; {code}"
    assert loaded(code, "textual", "rich", "numpy") == {"numpy"}


BROKEN = """
import sys
from diagnose.walk import Walk
from tests.tui.driver import new_walk
from tui.screen.app import run_screen
def broken(self):
    raise RuntimeError("a bug of ours")
walk = new_walk()
walk._look = broken.__get__(walk)
sys.exit(run_screen(walk, "record"))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_a_crash_of_the_screen_exits_with_one():
    """On a real (pseudo) terminal, as a person has it."""
    code, seen = in_terminal([sys.executable, "-c", BROKEN], b"")
    assert code == 1
    assert b"a bug of ours" in seen


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_leaving_the_screen_exits_with_nought_and_keeps_the_callout():
    """q on a real (pseudo) terminal; the open callout is offered at the next start, and Esc leaves that."""
    code, _ = in_terminal(command("--new"), b"1q", b"near is it to trouble")
    assert code == 0
    assert len(callouts()) == 1
    code, seen = in_terminal(command(), b"\x1b", b"Start a new one")
    assert code == 0
    assert b"Start a new one" in seen
    assert len(callouts()) == 1


def in_terminal(args: list[str], keys: bytes, after: bytes = b"") -> tuple[int, bytes]:
    """Run in a terminal of 80x24; once ``after`` is seen, each key is typed after the screen is drawn."""
    import pty
    import select
    import termios

    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    process = subprocess.Popen(
        args, stdin=theirs, stdout=theirs, stderr=theirs, cwd=ROOT, start_new_session=True
    )
    os.close(theirs)
    seen, left = b"", list(keys)
    while process.poll() is None or select.select([ours], [], [], 0)[0]:
        if select.select([ours], [], [], 0.3)[0]:
            try:
                seen += os.read(ours, 65536)
            except OSError:
                break
        elif left and len(seen) > 1000 and after in seen:
            os.write(ours, bytes([left.pop(0)]))
    os.close(ours)
    return process.wait(), seen
