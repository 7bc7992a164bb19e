"""Several processes that write to one store at once, and what must be true when they are done."""

import os
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from diagnose.history.record import Behind, Record
from diagnose.history.saver import Saver
from diagnose.history.store import History
from diagnose.history.travel import merge
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.kills import assert_sound
from tests.diagnose.history.records import event, opening
from tests.diagnose.history.test_merge import file_of

SHARED = "shared"
"""The callout that all of them answer."""
IN_FILE = 12
"""Callouts in the file that all of them merge."""
TURN = 8
"""Answers of its own that a writer gives before it opens another callout."""


@dataclass(frozen=True)
class Written:
    """What so many writers came to."""

    shared: int
    """Answers of the callout that all of them answered."""
    own: int
    """Answers of callouts that one of them had to itself."""
    refused: int
    """Answers that were refused because somebody else was quicker, and were given again."""
    merges: int


def write(name: str, file: Path, worker: int, seconds: float, writes: int) -> None:
    """Answer the shared callout and one of its own in turn until the time is up; write down what is saved."""
    ends = time.monotonic() + seconds
    with History.open(name, lambda: NOW) as history:
        shared = Saver(history, history.find(SHARED).key)
        turn = 0
        while time.monotonic() < ends or not turn:
            own = opening(f"{worker}-{turn}", f"V-{worker}")
            mine = Saver(history, history.begin(own))
            for number in range(TURN):
                mine.save(event(number, answer=f"{worker}-{turn}-{number}"))
                os.write(writes, f"own {worker}-{turn} {worker}-{turn}-{number}\n".encode())
            _answer_shared(shared, f"{worker}-{turn}", writes)
            history.remark(shared.key, event(turn, "note", text=f"{worker}-{turn}"))
            os.write(writes, f"note {SHARED} {worker}-{turn}\n".encode())
            if turn % 4 == 0:
                assert not merge(history, [file]).problems
                os.write(writes, b"merge - -\n")
            turn += 1


def _answer_shared(shared: Saver, answer: str, writes: int) -> None:
    """Answer as somebody does who was overtaken: look at what the other one said, and answer again."""
    while True:
        try:
            shared.save(event(1, answer=answer))
        except Behind as behind:
            shared.accept(behind.seen)
            os.write(writes, b"refused - -\n")
        else:
            os.write(writes, f"shared {SHARED} {answer}\n".encode())
            return


def at_once(works: list[partial[None]], folder: Path) -> list[list[str]]:
    """Run each in a process of its own, all at the same time; the lines that each has written."""
    files = [folder / f"{number}.told" for number in range(len(works))]
    processes = []
    for work, file in zip(works, files, strict=True):
        process = os.fork()
        if not process:
            code = 1
            try:
                work(writes=os.open(file, os.O_CREAT | os.O_WRONLY))
                code = 0
            except BaseException as error:
                os.write(2, f"a writer: {error!r}\n".encode())
            finally:
                os._exit(code)
        processes.append(process)
    codes = [os.waitpid(process, 0)[1] for process in processes]
    assert codes == [0] * len(works), "a writer failed"
    return [file.read_text(encoding="utf-8").splitlines() for file in files]


def write_at_once(name: str, folder: Path, workers: int, seconds: float) -> Written:
    """So many writers for so many seconds; then every answer that one was told is saved is there, once.

    And nothing else is there, each one's answers are in the order in which it gave them, the shared callout
    has not forked, and the file that all of them merged is there once.
    """
    records = [Record.in_a_row([opening(f"file{n}"), event(1), event(2, "help")]) for n in range(IN_FILE)]
    file = file_of(folder, *records, name="writers.jsonl")
    with History.open(name, lambda: NOW) as history:
        history.begin(opening(SHARED))
    works = [partial(write, name, file, worker, seconds) for worker in range(workers)]
    told = [[line.split(" ") for line in one] for one in at_once(works, folder)]
    with History.open(name, lambda: NOW) as history:
        assert_sound(history)
        found = {item.name: history.record(item.key) for item in history.callouts()}
    shared = found.pop(SHARED)
    assert not shared.forked
    answers = [said.answer for said in shared.events[1:]]
    notes = [said.text for said in shared.remarks]
    for where, kind in ((answers, "shared"), (notes, "note")):
        acknowledged = [[answer for what, _, answer in one if what == kind] for one in told]
        assert sorted(where) == sorted(answer for one in acknowledged for answer in one)
    for one in told:
        mine = [answer for what, _, answer in one if what == "shared"]
        assert [answer for answer in answers if answer in set(mine)] == mine
    for record in records:
        assert found.pop(record.events[0].opening.callout) == record
    own = {callout: [said.answer for said in record.events[1:]] for callout, record in found.items()}
    wanted: dict[str, list[str]] = {}
    for what, callout, answer in (line for one in told for line in one):
        if what == "own":
            wanted.setdefault(callout, []).append(answer)
    assert own == wanted
    count = lambda kind: sum(what == kind for one in told for what, *_ in one)  # noqa: E731
    return Written(len(answers), count("own"), count("refused"), count("merge"))
