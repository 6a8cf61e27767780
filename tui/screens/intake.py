"""Intake: fabrics from photographs, one after the other. Enter saves one and shows the next."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widgets import Input

from stash.errors import Fault
from stash.intake import How, Looked, look
from stash.model import Fabric
from tui.commands import bindings_for
from tui.named_keys import with_keys
from tui.screens.intake_base import FORM, START, WAIT, IntakeBase
from tui.screens.intake_form import FabricForm
from tui.screens.intake_how import edit_words, how_for
from tui.screens.intake_queue import Waiting, said_of
from tui.screens.intake_start import StartPanel, Way
from tui.widgets.photo_boxes import CLOTH, Boxes
from tui.widgets.photo_view import PhotoView

SLOT = "intake.look"


class IntakeScreen(IntakeBase):
    """What the maker does: save, pass over, show where cloth and light are, leave."""

    HERE = "intake"
    CSS_PATH = "intake.tcss"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for("intake")

    def __init__(self) -> None:
        super().__init__()
        self._saving = False
        self._looking = False
        self._warned = False

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("save", "boxes", "pass_over") and not self.main.loaded.read_only:
            return self.has_class(FORM) or None
        if action == "from_here":
            return (self.has_class(FORM) and self.way is not Way.SHEET) or None
        return super().check_action(action, parameters)

    def on_screen_resume(self) -> None:
        if self.has_class(START):
            self.query_one(StartPanel).begin_typing()

    # -- saving

    def action_save(self) -> None:
        self.query_one(FabricForm).save()

    @on(FabricForm.Saved)
    def _save(self, event: FabricForm.Saved) -> None:
        one, form = self.current, self.query_one(FabricForm)
        if self._saving or self._looking or one is None:
            return
        self._saving = True
        new, uid = event.new, form.uid

        def saved(fabric: Fabric) -> None:
            self._saving = False
            self.queue.saved += 1
            self.known[one.swatch.file_hash] = fabric.name
            self.carried = form.carried
            self._done_with(one, f"{fabric.name} is saved")

        def refused(fault: Fault) -> None:
            self._saving = False
            form.refuse(fault)

        self.main.save(lambda store: store.add(new, uid=uid), saved, refused)

    def action_pass_over(self) -> None:
        one = self.current
        if one is None or self._saving or self._looking:
            return
        self.queue.passed.append(one)
        self._done_with(one, f"{one.path.name} is passed over")

    def _done_with(self, one: Waiting, words: str) -> None:
        self._warned = False
        self._stop_editing()
        self.queue.waiting = [other for other in self.queue.waiting if other is not one]
        if self.measuring is not None and all(other.path != one.path for other in self.queue.waiting):
            self.measuring.taken()
        self.current = None
        self.say_below(words)
        self.next()
        self.show_head()

    # -- boxes

    def action_boxes(self) -> None:
        photo = self.query_one(PhotoView)
        if photo.editing:
            self._back()
        elif self.current is not None:
            self.edit_boxes(CLOTH)

    @on(PhotoView.Begun)
    def _drawing(self) -> None:
        if self.current is not None:
            self.edit_boxes(CLOTH)

    def edit_boxes(self, hand: str) -> None:
        photo = self.query_one(PhotoView)
        photo.hand, photo.editing = hand, True
        photo.focus()
        self._touched()

    @on(PhotoView.Touched)
    def _touched(self) -> None:
        photo = self.query_one(PhotoView)
        if photo.editing:
            self.say_below(edit_words(photo.boxes, photo.hand))

    def _stop_editing(self) -> None:
        self.query_one(PhotoView).editing = False

    def _back(self) -> None:
        """Leave the boxes as they were measured."""
        self._stop_editing()
        if self.current is not None:
            self.show_photo(self.current)
        self.say_below("")
        self._to_length()

    def _to_length(self) -> None:
        self.query_one("#length", Input).focus()

    @on(PhotoView.Measure)
    def _measure_boxes(self) -> None:
        self._measure_again(carry=self.probing)

    def action_from_here(self) -> None:
        self._measure_again(carry=True)

    def _measure_again(self, carry: bool) -> None:
        """Measure the photograph in hand with the boxes shown; `carry`: then those after it too."""
        one, boxes = self.current, self.query_one(PhotoView).boxes
        if one is None or self._looking or self._saving:
            return
        try:
            how = how_for(self.way, boxes, self.gives)
        except Fault as fault:
            self.say_below(fault.line(), fault=True)
            return
        self._looking = True
        self.say_below("Measuring ...")

        def done(looked: Looked) -> None:
            self._looking = False
            self._measured(one, looked, boxes, how, carry)

        self.main.jobs.search(lambda: look(one.path, how), done, self._stumbled, slot=SLOT, owner=self, long=True)

    def _stumbled(self, fault: Fault) -> None:
        self._looking = False
        self.say_below(fault.line(), fault=True)

    def _measured(self, one: Waiting, looked: Looked, boxes: Boxes, how: How, carry: bool) -> None:
        if self.current is not one:
            return
        if looked.fault is not None or not looked.swatches:
            self.say_below(said_of(looked.fault) if looked.fault else "nothing was measured", fault=True)
            return
        again = Waiting(replace(looked, preview=one.looked.preview), looked.swatches[0], one.number)
        self.queue.waiting = [again if other is one else other for other in self.queue.waiting]
        self.current = again
        form = self.query_one(FabricForm)
        form.show(again.swatch)
        form.rename(self.name_for(again))
        self._stop_editing()
        photo = self.query_one(PhotoView)
        photo.boxes = replace(boxes, cloth=again.swatch.measured.box)
        self.say_below("Measured with these boxes" + (", and so are the next ones" if carry else ""))
        self._to_length()
        if carry:
            self.probing = False
            self._carry(how)

    def _carry(self, how: How) -> None:
        """Measure all other photographs that are not saved yet in this way."""
        self.how = how
        current = self.current
        bad = [looked.path for looked in self.queue.bad()]
        others = [one.path for one in self.queue.waiting if one is not current]
        self.queue.again([*bad, *others])
        if self.queue.to_measure:
            self.measure(self.queue.to_measure)

    # -- leaving

    def action_leave(self) -> None:
        if self.has_class(FORM) and self.query_one(PhotoView).editing and not self.probing:
            self._back()
            return
        if self.has_class(FORM) or self.has_class(WAIT):
            if self._stop_first():
                return
            left = self.queue.left_files
            if left:
                word = "photograph is" if left == 1 else "photographs are"
                self.main.say(f"{left} {word} left; the same folder goes on where you left")
        ended = self.queue.saved and not (self.has_class(FORM) or self.has_class(WAIT))
        self.give_up()
        self.main.action_go("sizes" if ended else "stash")

    def action_to_stash(self) -> None:
        self.give_up()
        self.main.action_go("stash")

    def _stop_first(self) -> bool:
        """Esc first stops measuring, and never throws away what is typed without a word."""
        if self.measuring is not None:
            self.measuring.stop()
            stops = "Measuring stops. Go on with those that are measured, or {intake.leave} again to leave"
            self.say_below(with_keys(stops))
            self.measuring = None
            self.show_head()
            self.next()
            return True
        if self.query_one(FabricForm).typed and self.has_class(FORM) and not self._warned:
            self._warned = True
            self.say_below(with_keys("This one is not saved yet. {intake.leave} again leaves without it"))
            return True
        return False

    def give_up(self) -> None:
        self._warned = self._saving = self._looking = False
        super().give_up()

    def action_more(self) -> None:
        self.give_up()
        self.query_one(StartPanel).begin_typing()
