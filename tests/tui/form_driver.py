"""The form of a new unit sheet on the screen, and hands that fill it in."""

from diagnose.sheet_draft import SheetDraft
from tests.tui.calc_driver import enter
from tui.screen.form_draft import FormDraft
from tui.screen.sheet_form import FormApp

FIELDS = SheetDraft().asked


def at(name, **typed):
    """A draft at a field, with some lines that the sheet took."""
    form = FormDraft(SheetDraft(dict(typed)))
    form.go(FIELDS.index(name))
    return form


def on_form(tmp_path, form=None):
    """The form on the screen, writing to `new.yaml`."""
    app = FormApp(tmp_path / "new.yaml")
    app.form_screen.form = form or FormDraft()
    return app


async def answer(pilot, *texts):
    """Type each text and take it."""
    for text in texts:
        await enter(pilot, text)
        await pilot.press("enter")
    await pilot.pause()
