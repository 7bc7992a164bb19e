"""A small calculator of its own on the screen, and hands that type on it."""

from contextlib import asynccontextmanager

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input
from tests.tui.driver import dump
from tui.screen.calc_screen import CalcApp, CalcScreen

SIZES = [(20, 6), (39, 24), (40, 11), (40, 12), (60, 20), (80, 24), (120, 30), (200, 60)]


def _area(given):
    if given["long"] < given["wide"]:
        raise CannotWork("it is wider than long: turn it round")
    answers = (
        Answer("area", "area of the plate", given["long"] * given["wide"]),
        Answer("fits", "whether it fits", given["shape"] == "round"),
    )
    notes = tuple(f"Note number {number} of the plate [b]and[/b] more." for number in range(12))
    return Calculation("plate", given, answers, given["long"] < 5, notes, ("A book",))


PLATE = Calculator(
    "plate",
    "Area of a plate",
    (
        Input("long", "how long it is", "in", sheet="valve.seat"),
        Input("wide", "how wide it is", "in"),
        Input("shape", "its shape", words=("round", "square", "oval"), usual="square"),
        *(Input(f"more_{number}", f"something more, {number}", optional=True) for number in range(14)),
    ),
    _area,
)


@asynccontextmanager
async def on_screen(form, size=(80, 24)):
    """The calculator of a form on a screen of that size."""
    app = CalcApp()
    async with app.run_test(size=size) as pilot:
        app.push_screen(CalcScreen(form))
        await pilot.pause()
        yield pilot


async def enter(pilot, text):
    """Type a text letter by letter."""
    names = {" ": "space", "/": "slash", ".": "full_stop", "-": "minus"}
    await pilot.press(*(names.get(letter, letter) for letter in text))
    await pilot.pause()


def row(pilot, name):
    """The line of an input as it is shown."""
    return next(line for line in dump(pilot.app).splitlines() if line[3:].startswith(name + " "))


async def fill(pilot):
    """Length and width of the plate, the mark then on its shape."""
    await enter(pilot, "10 in")
    await pilot.press("down")
    await enter(pilot, "2 in")
    await pilot.press("down")
    await pilot.pause()
