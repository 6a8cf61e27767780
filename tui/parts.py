"""The commands of dialogs and of the widgets that take keys, part of the one table (see `commands.py`).

Where a dialog has a field the cursor is in it nearly always, so its commands are keys that write nothing.
"""

from __future__ import annotations

from tui.keys import Command

FORM = (
    Command("form.save", "enter,ctrl+s", "Save", "save what is typed; a field that is not understood is shown", 10),
    Command("form.next", "down", "Next", "the next field", 20, do="app.focus_next"),
    Command("form.previous", "up", "Previous", "the field before", do="app.focus_previous"),
    Command("form.leave", "escape", "Leave", "leave; where something is typed it asks once more", 30),
)
PROMPT = (
    Command("prompt.keep", "enter", "Keep", "take what is typed", 10),
    Command("prompt.leave", "escape", "Leave", "leave and change nothing", 20),
)
CHOICE = (
    Command("choice.take", "enter", "Take", "take the fabric under the cursor; so does a double click", 10),
    Command("choice.before", "up", "Before", "the fabric before", do="move(-1)"),
    Command("choice.after", "down", "Next", "the next fabric", 20, do="move(1)"),
    Command("choice.page_before", "pageup", "Page up", "ten fabrics up", do="move(-10)"),
    Command("choice.page_after", "pagedown", "Page down", "ten fabrics down", do="move(10)"),
    Command("choice.none", "ctrl+n", "None", "none at all, where that is offered", 30),
    Command("choice.leave", "escape", "Leave", "leave; what stood there stays", 40),
)
STARS = (
    Command("stars.take", "enter", "Open", "open the star under the cursor; so does a double click", 10),
    Command("stars.new", "n", "New", "lay out a new star", 20),
    Command("stars.rename", "e", "Rename", "give the star under the cursor another name", 25),
    Command("stars.remove", "delete", "Remove", "remove the star with its colourings and plans; asks once more", 27),
    Command("stars.undo", "u", "Undo", "take the newest change back", 28, do="app.undo"),
    Command("stars.leave", "escape", "Leave", "leave; the star on the table stays", 30),
)
QUESTIONS = (
    Command("questions.leave", "escape", "Leave", "leave; what is answered is saved, the rest is asked again", 10),
)
BACKUPS = (
    Command("backups.restore", "enter", "Restore", "make the stash what this backup is; asks once more", 10),
    Command("backups.make", "b", "Make one", "back the stash up now", 20),
    Command("backups.leave", "escape", "Leave", "leave", 30),
)
PAPER = (
    Command("paper.write", "enter", "Write", "write the file; one that is there is asked about first", 10),
    Command("paper.page_after", "pagedown", "Next", "the next page", 20, do="turn(1)"),
    Command("paper.page_before", "pageup", "Page before", "the page before", do="turn(-1)"),
    Command("paper.larger", "f7", "Larger", "the page twice as large", 30),
    Command("paper.smaller", "f8", "Smaller", "the page half as large", 40),
    Command("paper.size", "f9", "Paper", "letter or A4, from now on until the program is closed", 45),
    Command("paper.down", "down", "Down", "what is below", do="move(0,1)"),
    Command("paper.up", "up", "Up", "what is above", do="move(0,-1)"),
    Command("paper.right", "shift+right", "Right", "what is to the right", do="move(1,0)", first=True),
    Command("paper.left", "shift+left", "Left", "what is to the left", do="move(-1,0)", first=True),
    Command("paper.leave", "escape", "Leave", "leave and write nothing", 50),
)
DETAILS = (Command("details.leave", "escape,enter,q", "Back", "back to the list", 10),)
HELP = (Command("help.leave", "escape,enter,q,?,f1", "Back", "back to where you were", 10),)

LIST = (
    Command("list.up", "up", "Up", "the line above", do="move(-1)"),
    Command("list.down", "down", "Down", "the line below", do="move(1)"),
    Command("list.page_up", "pageup", "Page up", "as many lines up as are seen", do="page(-1)"),
    Command("list.page_down", "pagedown", "Page down", "as many lines down as are seen", do="page(1)"),
    Command("list.first", "home", "First", "the first line", do="to_end(-1)"),
    Command("list.last", "end", "Last", "the last line", do="to_end(1)"),
)
GRID = (
    Command("grid.up", "up", "Up", "a smaller grid", do="move(-1, 0)"),
    Command("grid.down", "down", "Down", "a larger grid", do="move(1, 0)"),
    Command("grid.left", "left", "Left", "narrower strips", do="move(0, -1)"),
    Command("grid.right", "right", "Right", "wider strips", do="move(0, 1)"),
)
FILTER = (
    Command("filter.leave", "down", "List", "go to the list"),
)
LINE = (
    Command("line.next", "tab", "Next field", "the next field, with what stands in it selected", do="leave(1)"),
    Command("line.before", "shift+tab", "Field before", "the field before, with what stands in it selected",
            do="leave(-1)"),
)  # fmt: skip
TICK = (Command("tick.switch", "space", "Switch", "yes or no"),)
BOXES = (
    Command("boxes.next", "tab", "Next box", "take the next box in hand", do="next(1)"),
    Command("boxes.before", "shift+tab", "Box before", "take the box before in hand", do="next(-1)"),
    Command("boxes.left", "left", "Left", "move it to the left", do="move(-1, 0)"),
    Command("boxes.right", "right", "Right", "move it to the right", do="move(1, 0)"),
    Command("boxes.up", "up", "Up", "move it up", do="move(0, -1)"),
    Command("boxes.down", "down", "Down", "move it down", do="move(0, 1)"),
    Command("boxes.narrower", "shift+left", "Narrower", "make it narrower", do="size(-1, 0)"),
    Command("boxes.wider", "shift+right", "Wider", "make it wider", do="size(1, 0)"),
    Command("boxes.lower", "shift+up", "Lower", "make it less high", do="size(0, -1)"),
    Command("boxes.higher", "shift+down", "Higher", "make it higher", do="size(0, 1)"),
    Command("boxes.larger", "plus,equals_sign", "Larger", "make it larger both ways", do="size(1, 1)"),
    Command("boxes.smaller", "minus", "Smaller", "make it smaller both ways", do="size(-1, -1)"),
    Command("boxes.away", "delete,backspace", "Take away", "take the box away"),
    Command("boxes.measure", "enter", "Measure", "measure again with these boxes"),
)

PARTS: tuple[Command, ...] = (
    *FORM, *PROMPT, *CHOICE, *STARS, *QUESTIONS, *BACKUPS, *PAPER, *DETAILS, *HELP,
    *LIST, *GRID, *FILTER, *LINE, *TICK, *BOXES,
)  # fmt: skip
TYPING = frozenset({"form", "line", "prompt", "choice", "questions", "paper", "filter", "intake"})
"""Where a field has the cursor: a key that writes a letter would never reach a command there."""
