"""A form on top of a screen: every field is checked as it is typed, and a refused save loses nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar, cast
from uuid import uuid4

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Button, Input, Static

from stash.errors import Fault
from stash.inventory.store import Store
from tui import drafts
from tui.commands import BY_ID, bindings_for
from tui.dialogs.base import Dialog
from tui.fields import Field
from tui.named_keys import with_keys
from tui.widgets.key_bar import KeyBar

if TYPE_CHECKING:
    from tui.app import StarcoverApp

T = TypeVar("T")
FROM_DRAFT = "This was typed before and is not saved yet."
ONCE_MORE = "Not saved yet. {form.leave} again leaves without saving."


class Tick(Widget, can_focus=True):
    """A yes or no, shown as a sign and switched with space or a click."""

    DEFAULT_CSS = """
    Tick { width: auto; height: 1; padding: 0 1; }
    Tick:focus { background: $primary 40%; text-style: bold; }
    """
    HERE = "tick"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    value: reactive[bool] = reactive(False)

    class Changed(Message):
        """The tick was switched."""

    def __init__(self, label: str, value: bool, *, id: str) -> None:
        super().__init__(id=id)
        self._label = label
        self.tooltip = BY_ID["tick.switch"].help
        self.set_reactive(Tick.value, value)

    def render(self) -> Text:
        return Text(f"[{'x' if self.value else ' '}] {self._label}")

    def action_switch(self) -> None:
        self.value = not self.value
        self.post_message(self.Changed())

    def on_click(self) -> None:
        self.action_switch()


class FieldLine(Vertical):
    """A label, an input, and under it the hint, the reading or the fault."""

    DEFAULT_CSS = """
    FieldLine { height: auto; }
    FieldLine > Horizontal { height: 1; }
    FieldLine .label { width: 13; color: $text-muted; }
    FieldLine Input { width: 1fr; background: $panel; }
    FieldLine Input:focus { background: $primary 30%; }
    FieldLine .under { height: auto; max-height: 2; padding-left: 13; color: $text-muted; }
    FieldLine .under.fault { color: $text-error; }
    """

    HERE = "line"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)

    def __init__(self, field: Field) -> None:
        super().__init__()
        self.field = field
        self.fault: Fault | None = None

    def compose(self) -> ComposeResult:
        with Horizontal():
            yield Static(self.field.label, classes="label", markup=False)
            yield Input(self.field.value, id=self.field.id, compact=True, select_on_focus=False)
        yield Static(self.field.hint, classes="under", markup=False)

    def on_click(self) -> None:
        """A click on the label or on what is said goes to the field too."""
        self.query_one(Input).focus()

    @property
    def text(self) -> str:
        return self.query_one(Input).value

    def action_leave(self, step: int) -> None:
        """Go to the next field or the one before; what stands there is selected, as typing is to replace it."""
        entered = self.screen.focus_next() if step > 0 else self.screen.focus_previous()
        if isinstance(entered, Input):
            entered.select_all()

    def check(self, *, quiet: bool = False) -> bool:
        """Check the field and say what comes of it; `quiet` keeps the hint while nothing is typed."""
        under = self.query_one(".under", Static)
        said = self.field.hint
        self.fault = None
        try:
            reading = self.field.check(self.text)
        except Fault as fault:
            self.fault = fault
            if not (quiet and not self.text):
                said = f"✗ {fault.line()}"
        else:
            said = f"= {reading}" if reading else said
        under.update(said)
        under.display = bool(said)
        under.set_class(said.startswith("✗"), "fault")
        return self.fault is None


class Fields(VerticalScroll, can_focus=False, inherit_bindings=False):
    """The fields and ticks, scrolled to the one with the cursor; arrows belong to the form, which goes to the next."""


class FormDialog(Dialog[T | None]):
    """A form that saves. Subclasses name the fields and turn the values into a call that writes.

    `uid` is made when the form opens, so that a second try never books twice.
    """

    DEFAULT_CSS = """
    FormDialog { align: center middle; background: $background 60%; }
    FormDialog > #form { width: 74; max-width: 100%; height: auto; max-height: 100%;
        border: round $primary; background: $surface; padding: 0 1; border-title-color: $accent; }
    FormDialog #ticks, FormDialog #buttons { height: 1; }
    FormDialog #ticks { padding-left: 12; }
    FormDialog #fields { height: auto; max-height: 100%; }
    FormDialog #intro { color: $text-muted; height: auto; max-height: 4; }
    FormDialog #said { height: auto; min-height: 1; max-height: 3; color: $text-error; }
    FormDialog #buttons Button { margin-left: 1; min-width: 9; }
    """
    HERE = "form"
    TITLE = "This form"
    BINDINGS: ClassVar[list[BindingType]] = bindings_for(HERE)
    SAVE_WORD: ClassVar[str] = "Save"

    def __init__(
        self, title: str, fields: Sequence[Field], ticks: Sequence[tuple[str, str, bool]] = (), intro: str = ""
    ) -> None:
        super().__init__()
        self.uid = uuid4().hex
        self._form_title = title
        self._fields = fields
        self._ticks = ticks
        self._intro = intro
        self._saving = False
        self._warned = False

    def write(self, values: Mapping[str, str], ticks: Mapping[str, bool]) -> Callable[[Store], T]:
        """The call that saves these values. Runs on the stash's thread; may raise a Fault."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        with Vertical(id="form") as form:
            form.border_title = Text(self._form_title).markup
            if self._intro:
                yield Static(self._intro, id="intro", markup=False)
            with Fields(id="fields"):
                for field in self._fields:
                    yield FieldLine(field)
                if self._ticks:
                    with Horizontal(id="ticks"):
                        for name, label, value in self._ticks:
                            yield Tick(label, value, id=name)
            yield Static("", id="said", markup=False)
            with Horizontal(id="buttons"):
                yield KeyBar(self.HERE, named={"form.save": self.SAVE_WORD})
                save, leave = (BY_ID[f"form.{name}"].help for name in ("save", "leave"))
                yield Button(self.SAVE_WORD, id="save", variant="primary", compact=True, tooltip=save)
                yield Button("Leave", id="leave", compact=True, tooltip=leave)

    def on_mount(self) -> None:
        self._take_draft()
        for line in self.query(FieldLine):
            line.check(quiet=True)

    @property
    def _draft_name(self) -> str:
        return f"{type(self).__name__} {self._form_title}"

    def _take_draft(self) -> None:
        """What was typed into this form when the program was stopped, under the uid it had then."""
        draft = drafts.kept(cast("StarcoverApp", self.app).store_path, self._draft_name)
        if draft is None:
            return
        self.uid = draft.uid
        with self.prevent(Input.Changed):
            for line in self.query(FieldLine):
                line.query_one(Input).value = draft.values.get(line.field.id, line.field.value)
        for tick in self.query(Tick):
            tick.set_reactive(Tick.value, draft.ticks.get(str(tick.id), tick.value))
        self.say(FROM_DRAFT)

    @on(Input.Changed)
    @on(Tick.Changed)
    def _keep_draft(self) -> None:
        stash = cast("StarcoverApp", self.app).store_path
        if self.changed:
            drafts.keep(stash, self._draft_name, drafts.Draft(self.uid, self._values(), self._tick_values()))
        else:
            drafts.drop(stash, self._draft_name)

    def _drop_draft(self) -> None:
        drafts.drop(cast("StarcoverApp", self.app).store_path, self._draft_name)

    def _values(self) -> dict[str, str]:
        return {line.field.id: line.text for line in self.query(FieldLine)}

    def _tick_values(self) -> dict[str, bool]:
        return {str(tick.id): tick.value for tick in self.query(Tick)}

    @property
    def changed(self) -> bool:
        """Something was typed or ticked that is not saved."""
        fields = any(line.text != line.field.value for line in self.query(FieldLine))
        return fields or any(self._tick_values()[name] != value for name, _, value in self._ticks)

    # -- what the maker does

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        self._warned = False
        self.say("")
        for line in self.query(FieldLine):
            if line.field.id == event.input.id:
                line.check(quiet=True)

    @on(Input.Submitted)
    @on(Button.Pressed, "#save")
    def action_save(self) -> None:
        if self._saving:
            return
        wrong = [line for line in self.query(FieldLine) if not line.check()]
        if wrong:
            wrong[0].query_one(Input).focus()
            return
        try:
            call = self.write(self._values(), self._tick_values())
        except Fault as fault:
            self.say(fault.line())
            return
        self._saving = True
        cast("StarcoverApp", self.app).save(call, self._saved, self._refused)

    def _saved(self, result: T) -> None:
        self._drop_draft()
        if self.is_attached:
            self.dismiss(result)

    def _refused(self, fault: Fault) -> None:
        self._saving = False
        self.say(fault.line())

    def say(self, text: str) -> None:
        self.query_one("#said", Static).update(text)

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        if self._saving:
            return
        if self.changed and not self._warned:
            self._warned = True
            self.say(with_keys(ONCE_MORE))
            return
        self._drop_draft()
        self.dismiss(None)


AnyForm = FormDialog[Any]
