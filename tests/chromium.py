"""A headless Chromium for the tests of what is written as HTML, driven over its own pipe.

Without one the tests are skipped; where `CI` is true it must be there.
"""

import base64
import fcntl
import itertools
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome")
A4 = (8.27, 11.69)
LETTER = (8.5, 11.0)
"""Inches."""
LAUNCH = (
    "import os, sys; os.dup2(int(sys.argv[1]), 3); os.dup2(int(sys.argv[2]), 4); "
    "os.execv(sys.argv[3], sys.argv[3:])"
)


def found() -> str | None:
    """The program, if there is one."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def wanted() -> bool:
    """Whether the tests must run, or can."""
    return found() is not None or os.environ.get("CI") == "true"


@dataclass
class Seen:
    """What a page did when it was opened."""

    text: str = ""
    requests: list[str] = field(default_factory=list)
    """Every address that was asked for, the page's own left out."""
    complaints: list[str] = field(default_factory=list)
    """What stood in the console, and what the browser logged."""
    pages: dict[str, int] = field(default_factory=dict)
    """Pages when it is printed, by paper."""
    width: int = 0
    """Pixels that the page is wider than the window: above 0, something sticks out."""


class Browser:
    """One running browser; `look` opens a file in a fresh page."""

    def __init__(self, to: int, out: int) -> None:
        self._to, self._from = os.fdopen(to, "wb", buffering=0), os.fdopen(out, "rb", buffering=0)
        self._numbers = itertools.count(1)
        self._waiting = b""
        self._events: list[dict[str, Any]] = []

    def look(self, path: Path, shot: Path | None = None) -> Seen:
        """Open a file, wait until it is there, and tell what was seen; ``shot``: a picture of it."""
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        session = self._ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self._ask(f"{domain}.enable", session)
        self._events.clear()
        self._ask("Page.navigate", session, url=path.resolve().as_uri())
        while not any(event["method"] == "Page.loadEventFired" for event in self._events):
            self._events.append(self._next())
        seen = Seen(self._value(session, "document.body.innerText"))
        seen.width = self._value(session, "document.documentElement.scrollWidth - window.innerWidth")
        if shot:
            picture = self._ask("Page.captureScreenshot", session, captureBeyondViewport=True)
            shot.write_bytes(base64.b64decode(picture["data"]))
        for name, (width, height) in (("A4", A4), ("Letter", LETTER)):
            pdf = self._ask("Page.printToPDF", session, paperWidth=width, paperHeight=height)
            seen.pages[name] = _pages(base64.b64decode(pdf["data"]))
        for event in self._events:
            self._note(seen, event, path)
        self._ask("Target.closeTarget", targetId=target)
        return seen

    def hang_up(self) -> None:
        """Let go of the pipe."""
        self._to.close()
        self._from.close()

    def _note(self, seen: Seen, event: dict[str, Any], path: Path) -> None:
        told = event.get("params", {})
        match event["method"]:
            case "Network.requestWillBeSent":
                address = told["request"]["url"]
                if address != path.resolve().as_uri():
                    seen.requests.append(address)
            case "Runtime.consoleAPICalled" | "Runtime.exceptionThrown":
                seen.complaints.append(json.dumps(told))
            case "Log.entryAdded":
                seen.complaints.append(told["entry"]["text"])

    def _value(self, session: str, expression: str) -> Any:
        answer = self._ask("Runtime.evaluate", session, expression=expression, returnByValue=True)
        return answer["result"]["value"]

    def _ask(self, method: str, session: str = "", **params: Any) -> dict[str, Any]:
        number = next(self._numbers)
        message = {"id": number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        self._to.write(json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == number:
                assert "error" not in answer, answer
                return answer["result"]
            self._events.append(answer)

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._waiting:
            part = self._from.read(65536)
            assert part, "the browser has gone"
            self._waiting += part
        message, _, self._waiting = self._waiting.partition(b"\0")
        return json.loads(message)


def _pages(pdf: bytes) -> int:
    """Pages of a PDF, by the count that its page tree gives."""
    counts = [int(part.split(b"/Count ")[1].split()[0].rstrip(b">/")) for part in _trees(pdf)]
    return max(counts)


def _trees(pdf: bytes) -> list[bytes]:
    return [part for part in pdf.split(b"endobj") if b"/Type /Pages" in part and b"/Count " in part]


def _high_pipe() -> tuple[int, int]:
    """A pipe whose ends have numbers of two digits, clear of the two that the browser uses."""
    low = os.pipe()
    high = [fcntl.fcntl(end, fcntl.F_DUPFD, 10) for end in low]
    for end in low:
        os.close(end)
    return high[0], high[1]


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser for as long as it is needed; it ends with the block."""
    program = found()
    assert program, "there is no Chromium: install the package chromium"
    with tempfile.TemporaryDirectory() as profile:
        out_read, out_write = _high_pipe()
        in_read, in_write = _high_pipe()
        # It reads its commands from 3 and answers on 4.
        command = [
            sys.executable,
            "-c",
            LAUNCH,
            str(in_read),
            str(out_write),
            program,
            "--headless=new",
            "--remote-debugging-pipe",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--disable-background-networking",
            "--no-first-run",
            "--window-size=900,1200",
            f"--user-data-dir={profile}",
        ]
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        process = subprocess.Popen(command, pass_fds=(in_read, out_write), **quiet)
        os.close(in_read)
        os.close(out_write)
        one = Browser(in_write, out_read)
        try:
            yield one
        finally:
            with suppress(OSError, AssertionError):
                one._ask("Browser.close")
            try:
                process.wait(timeout=10)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            one.hang_up()
