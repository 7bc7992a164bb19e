"""One callout of a store in the hands of one person: what a `diagnose.walk.Walk` saves to."""

from diagnose.events import REMARKS, Event
from diagnose.history.record import Behind, Seen, same
from diagnose.history.store import History


class Saver:
    """Knows how much of the callout this person has seen, and saves nothing behind what they have not."""

    def __init__(self, history: History, key: str, by: str = "") -> None:
        """``by``: the person's name, if it is to be kept."""
        self.history = history
        self.key = key
        self._by = by
        self._seen = history.seen(key)

    @property
    def events(self) -> tuple[Event, ...]:
        """The callout's line, as far as this person has seen it."""
        return self._seen.events

    def save(self, event: Event) -> None:
        """Save an event; raises `Behind` when somebody else has answered first, and `NotSaved`.

        Remarks that others made meanwhile are no answers.
        """
        named = event.model_copy(update={"by": self._by}) if self._by else event
        seen = self._seen
        while True:
            try:
                count = self.history.append(self.key, named, seen.count)
            except Behind as behind:
                if not same(behind.seen.events, seen.events):
                    raise
                seen = behind.seen
            else:
                events = seen.events if event.kind in REMARKS else (*seen.events, named)
                self._seen = Seen(events, count)
                return

    def news(self) -> Seen | None:
        """The callout as it is when somebody else has answered; None when it is as this person knows it.

        Changes nothing: what is shown to the person is told to `accept`.
        """
        now = self.history.changes_since(self.key, self._seen.count)
        return now if now and not same(now.events, self._seen.events) else None

    def accept(self, seen: Seen) -> bool:
        """The person has seen this much; False when that is nothing new."""
        newer = seen.count > self._seen.count
        if newer:
            self._seen = seen
        return newer
