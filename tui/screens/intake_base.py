"""The measuring behind the Intake screen: which photographs, what became of them, and what stands on the screen."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from textual import events, on
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from stash.errors import Fault
from stash.intake import How, photo_files
from stash.inventory.store import Store
from stash.model import Box
from stash.names import name_key
from tui.screens.base import MainScreen
from tui.screens.intake_end import EndPanel
from tui.screens.intake_form import Carried, FabricForm
from tui.screens.intake_how import PATCHES, boxes_for, how_for, patch_boxes
from tui.screens.intake_measuring import LookedAt, Measuring, MeasuringEnded
from tui.screens.intake_queue import Queue, Waiting, kept_boxes, titled
from tui.screens.intake_start import StartPanel, Way
from tui.widgets.photo_boxes import Boxes
from tui.widgets.photo_view import PhotoView
from tui.widgets.value_bar import bar

START, WAIT, FORM, END = "-start", "-wait", "-form", "-end"
STATES = (START, WAIT, FORM, END)
BAR = 16


class Pause(Static, can_focus=True):
    """Stands where the form will be. What is typed ahead is dropped and never taken for a command."""

    def on_key(self, event: events.Key) -> None:
        if event.is_printable or event.key == "enter":
            event.stop()


class IntakeBase(MainScreen):
    """One intake at a time: it begins with a folder, and is over when each photograph on it is answered."""

    def __init__(self) -> None:
        super().__init__(classes=START)
        self.queue = Queue(())
        self.way = Way.PAPER
        self.gives: float | None = None
        self.how = How(on_paper=True)  # of the photographs still to be measured
        self.current: Waiting | None = None
        self.carried = Carried()
        self.known: dict[str, str] = {}
        self._stash = self.main.store_path
        self.measuring: Measuring | None = None
        self.probing = False  # the first photograph is wanted, to show on it where the patch lies

    def compose_body(self) -> Iterable[Widget]:
        yield StartPanel()
        with Vertical(id="going"):
            yield Static("", id="head", markup=False)
            yield Pause("Measuring the next photograph ...", id="waiting", markup=False)
            with Horizontal(id="middle"):
                yield PhotoView(id="photo")
                yield FabricForm(id="form")
            yield Static("", id="below", markup=False)
        yield EndPanel()

    # -- what stands on the screen

    def turn(self, state: str) -> None:
        """Show the question, the fabric in hand or the end."""
        for one in STATES:
            self.set_class(one == state, one)
        self.refresh_bindings()

    def on_mount(self) -> None:
        self.query_one(StartPanel).begin_typing()

    def on_unmount(self) -> None:
        if self.measuring is not None:
            self.measuring.stop()

    @property
    def taken(self) -> frozenset[str]:
        """The keys of all names in the stash."""
        return frozenset(name_key(fabric.name) for fabric in self.main.loaded.by_id.values())

    def stash_changed(self) -> None:
        if self._stash != self.main.store_path:  # another stash was opened: an intake never goes on in that
            self._stash = self.main.store_path
            self.give_up()
        self.query_one(FabricForm).know(self.taken)

    def give_up(self) -> None:
        """Stop measuring and show the question anew. What is saved stays saved."""
        if self.measuring is not None:
            self.measuring.stop()
            self.measuring = None
        self.probing = False
        self.current = None
        self.query_one(PhotoView).editing = False
        self.turn(START)

    def say_below(self, text: str, fault: bool = False) -> None:
        below = self.query_one("#below", Static)
        below.update(f"✗ {text}" if fault else text)
        below.set_class(fault, "fault")

    def show_head(self) -> None:
        queue = self.queue
        words = [f"{min(queue.done + 1, queue.total)} of {queue.total}"]
        if self.current is not None:
            words.append(titled(self.current))
        measured, of = len(queue.answered), len(queue.paths)
        if self.measuring is not None:
            words.append(f"measured {measured} of {of} {bar(measured, BAR, of)}".rstrip())
        elif queue.to_measure and not self.probing:
            words.append(f"{len(queue.to_measure)} not measured: stopped")
        self.query_one("#head", Static).update(" · ".join(words))

    # -- measuring

    @on(StartPanel.Begin)
    def _begin(self, event: StartPanel.Begin) -> None:
        path, way, gives = event.path, event.way, event.gives

        def read(store: Store) -> tuple[list[Path], dict[str, str]]:
            return photo_files([path]), store.photo_hashes()

        def found(answer: tuple[list[Path], dict[str, str]]) -> None:
            self.begin(*answer, way, gives)

        def refused(fault: Fault) -> None:
            self.query_one(StartPanel).say(fault.line())

        self.main.jobs.store(read, found, refused, slot="intake.files", owner=self)

    def begin(self, paths: list[Path], known: dict[str, str], way: Way, gives: float | None) -> None:
        """Begin an intake of these photographs. The next one is of another sheet, perhaps: its figure is asked anew."""
        self.query_one("#gives", Input).value = ""
        self.queue = Queue(tuple(paths), sheet=way is Way.SHEET)
        self.known, self.way, self.gives, self.current = known, way, gives, None
        self.probing = way in PATCHES
        self.say_below("")
        self.wait()
        if self.probing:
            self.how = How()
            self.measure(self.queue.to_measure[:1])
        else:
            self.how = how_for(way, Boxes(), gives)
            self.measure(self.queue.to_measure)

    def measure(self, paths: list[Path]) -> None:
        """Measure these in place of whatever was being measured."""
        if self.measuring is not None:
            self.measuring.stop()
        # A sheet is read again though the stash has it: it may have been left half way.
        known = {} if self.way is Way.SHEET else self.known
        self.measuring = Measuring(self.post_message, paths, self.how, known)
        self.show_head()

    def on_looked_at(self, event: LookedAt) -> None:
        if self.measuring is None or event.run != self.measuring.number:
            return
        looked = event.looked
        kept: list[Box] = []
        fabric = ""
        if self.way is Way.SHEET:
            known = self.known.get(looked.file_hash, "")
            kept, fabric = kept_boxes(looked, known, tuple(self.main.loaded.by_id.values()))
        self.queue.take(looked, kept, fabric)
        self.show_head()
        self.next()

    def on_measuring_ended(self, event: MeasuringEnded) -> None:
        if self.measuring is None or event.run != self.measuring.number:
            return
        self.measuring = None
        if event.fault is not None:
            self.main.show_fault(event.fault)
        elif self.probing and not self.queue.waiting and self.queue.to_measure:
            self.measure(self.queue.to_measure[:1])
            return
        self.show_head()
        self.next()

    # -- one after the other

    def next(self) -> None:
        """Show the first photograph that waits, unless one is in hand; with none left to come, the end."""
        if self.current is not None or not (self.has_class(WAIT) or self.has_class(FORM)):
            return
        one = self.queue.ready(self.measuring is not None and not self.probing)
        if one is not None:
            self._offer(one)
        elif self.measuring is not None:
            self.wait()
        else:
            self.end()

    def wait(self) -> None:
        self.turn(WAIT)
        self.query_one(Pause).focus()

    def _offer(self, one: Waiting) -> None:
        self.current = one
        self.turn(FORM)
        self.query_one(FabricForm).offer(one.swatch, self.name_for(one), self.carried, self.taken)
        self.show_photo(one)
        self.show_head()
        if self.probing:
            self.edit_patch(one)

    def edit_patch(self, one: Waiting) -> None:
        """Ask where the patch lies on the first photograph."""
        boxes, hand = patch_boxes(self.way, one.looked.size or (1, 1))
        self.query_one(PhotoView).boxes = boxes
        self.edit_boxes(hand)

    def edit_boxes(self, hand: str) -> None:
        """Take a box in hand; the screen knows how."""

    def show_photo(self, one: Waiting) -> None:
        looked = one.looked
        boxes = boxes_for(one.swatch.measured, self.how)
        self.query_one(PhotoView).show(looked.preview, looked.size or (1, 1), boxes)

    def name_for(self, one: Waiting) -> str:
        from stash.intake import name_for

        names = [fabric.name for fabric in self.main.loaded.by_id.values()]
        return name_for(one.path, one.swatch.measured.colour, names, one.number)

    def end(self) -> None:
        self.current = None
        self.turn(END)
        self.query_one(EndPanel).show(self.queue)
