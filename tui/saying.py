"""What the app says in passing: one line over the footer, where it hides no cloth, gone with the next key."""

from __future__ import annotations

from textual import events
from textual.app import App

from stash.errors import Fault
from tui.named_keys import key_of

FAULT_SECONDS = 8


class SayingApp(App[None]):
    """An app whose messages take each other's place. What is only told goes with the next key or click; a fault or a
    warning stays its time, and goes with Esc."""

    def say(self, text: str) -> None:
        """A message in place of what was told before it. The text is shown as it is."""
        self._hush(everything=False)
        self.notify(text, markup=False)

    def say_done(self, text: str) -> None:
        """A message about a change that is saved, with the key that takes it back."""
        self.say(f"{text}. {key_of('app.undo')} takes it back")

    def show_fault(self, fault: Fault) -> None:
        self.clear_notifications()
        self.notify(fault.line(), severity="error", timeout=FAULT_SECONDS, markup=False)

    async def on_event(self, event: events.Event) -> None:
        # An event that comes up again from a widget has done its work: what it made the app say stays.
        if isinstance(event, events.Key | events.MouseDown) and not event.is_forwarded:
            self._hush(everything=isinstance(event, events.Key) and event.key == "escape")
        await super().on_event(event)

    def _hush(self, everything: bool) -> None:
        for one in list(self._notifications):
            if everything or one.severity == "information":
                self._unnotify(one)
