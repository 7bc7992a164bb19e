"""Pages that are worked out beside the keys: the likely faults, the reasons, and the pictures."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from diagnose.walk import Walk
from diagnose.walk_view import View
from tui.fault_lines import page_of_fault, why_page
from tui.lines import texts_of
from tui.picture_lines import Lines, picture
from tui.screen.page import to_text
from tui.screen.scrolled import page_parts, scroll_page
from tui.screen.wrap import cut
from tui.texts.english import ENGLISH
from tui.texts.kinds import Texts


def picture_screen(walk: Walk, view: View) -> "PictureScreen":
    """The pictures of a walk as it stands."""
    texts = texts_of(walk)
    around = [texts.fault.around.format(title=leader.title) for leader in view.leaders]
    heads = [texts.fault.timeline, *around]
    return PictureScreen(lambda number: picture(walk, view, number), heads, texts.foot.pictures, texts)


def fault_screen(walk: Walk, view: View) -> "PictureScreen":
    """The likely faults of a walk, and a page for each."""
    texts = texts_of(walk)
    each = [texts.fault.fault.format(number=number) for number in range(1, len(view.leaders) + 1)]
    heads, foot = [texts.fault.faults, *each], texts.foot.fault_pages
    return PictureScreen(lambda number: page_of_fault(walk, view, number), heads, foot, texts, listed=True)


def why_screen(walk: Walk, view: View) -> "PictureScreen":
    """Why a walk asks what it asks."""
    texts = texts_of(walk)
    return PictureScreen(
        lambda number: why_page(walk, view), [texts.fault.reasons], texts.foot.reasons, texts
    )


class PictureScreen(ModalScreen[None]):
    """Numbered pages of text; each is worked out off the thread that answers keys, once."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"show({n})", f"picture {n}", id=f"picture_{n}", show=False) for n in range(6)),
        Binding("pagedown,down,space", "page(1)", "scroll down", id="picture_down"),
        Binding("pageup,up", "page(-1)", "scroll up", id="picture_up"),
        Binding("escape,enter", "back", "go back", id="picture_back"),
        Binding("q,g,f,w,o,s", "close", "back to the question", id="picture_close"),
    ]

    class Drawn(Message):
        """A page is worked out."""

        def __init__(self, number: int, lines: Lines) -> None:
            super().__init__()
            self.number = number
            self.lines = lines

    def __init__(
        self,
        draw: Callable[[int], Lines],
        heads: Sequence[str],
        foot: str,
        texts: Texts = ENGLISH,
        listed: bool = False,
    ) -> None:
        """``draw`` works a page out; ``heads``: what stands over each page; there are as many pages.

        ``listed``: page 0 lists the others, and going back from one of them leads there.
        """
        super().__init__()
        self._draw_page = draw
        self._heads = heads
        self._foot = foot
        self._working = texts.fault.working
        self._listed = listed
        self.number = 0
        self.pages: dict[int, Lines] = {}

    def compose(self) -> ComposeResult:
        """What it is, the picture, the keys."""
        yield from page_parts()

    def on_mount(self) -> None:
        """Begin with the first page."""
        self.call_after_refresh(lambda: self.action_show(0))

    def on_resize(self) -> None:
        """Fit the picture to the new size."""
        self.draw()

    @work(thread=True, exclusive=True, group="pictures")
    def _work(self, number: int) -> None:
        self.post_message(self.Drawn(number, self._draw_page(number)))

    def on_picture_screen_drawn(self, event: Drawn) -> None:
        """Keep it, and show it if it is still wanted."""
        self.pages[event.number] = event.lines
        self.draw()

    def draw(self) -> None:
        """Put the present page on the screen."""
        width = self.size.width
        page = self.pages.get(self.number)
        lines = page(max(20, width - 2)) if page else [self._working]
        self.query_one("#head", Static).update(cut(f" {self._heads[self.number]}", width))
        self.query_one("#text", Static).update(to_text([(line, "") for line in lines]))
        self.query_one("#foot", Static).update(cut(f" {self._foot}", width))

    def action_show(self, number: int) -> None:
        """Show another page."""
        if number >= len(self._heads):
            return
        self.number = number
        self.query_one(".scroll").scroll_home(animate=False)
        if number not in self.pages:
            self._work(number)
        self.draw()

    def action_page(self, by: int) -> None:
        """Scroll."""
        scroll_page(self, by)

    def action_back(self) -> None:
        """Go back to the list, where there is one; else close the pages."""
        if self._listed and self.number:
            self.action_show(0)
        else:
            self.dismiss(None)

    def action_close(self) -> None:
        """Close the pages."""
        self.dismiss(None)
