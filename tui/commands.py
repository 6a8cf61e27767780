"""The one table of commands: it feeds the key bindings, the footer, the palette, the help screen and tooltips.

Here stand those of the screens; `parts.py` has those of dialogs and of widgets.

`id` is "screen.action": the screen (or the app) must have `action_<action>`. `foot` above 0 puts the command
into the footer, smallest first. `writes` marks commands that are off while the stash cannot be written.
On the Star screen capital letters belong to the rows, so commands there use other keys.
"""

from __future__ import annotations

from textual.binding import BindingType

from tui.keys import Command
from tui.parts import PARTS

APP = (
    Command("app.stash", "f,f2", "Stash", "the fabrics you have", do="go('stash')"),
    Command("app.star", "s,f3", "Star", "the star on the table, row by row", do="go('star')"),
    Command("app.suggestions", "g,f4", "Suggestions", "runs of fabrics, light to dark", do="go('suggestions')"),
    Command("app.sizes", "z,f11", "Sizes", "which stars your stash covers, grid by strip width", do="go('sizes')"),
    Command("app.cutting", "j,f10", "Cutting", "the plan of cuts, ticked strip by strip", do="go('cutting')"),
    Command("app.history", "h,f5", "History", "every change, newest first", do="go('history')"),
    Command("app.help", "?,f1", "Help", "what the keys do here"),
    Command("app.undo", "u", "Undo", "take the newest change back", 80, writes=True),
    Command("app.backups", "f12", "Backups", "the last one, make one now, put one back"),
    Command("app.command_palette", "ctrl+p", "Commands", "find a command, a fabric or a star by name", 90),
    Command("app.change_theme", "f6", "Theme", "evening, daylight or another set of colours"),
    Command("app.quit", "ctrl+q,q", "Quit", "leave; everything is saved already"),
)  # fmt: skip

STASH = (
    Command("stash.filter", "/", "Filter", "show only fabrics that hold the words typed", 10),
    Command("stash.clear", "escape", "Clear", "show all fabrics again", 85),
    Command("stash.details", "enter", "Details", "pieces, colour and history of the fabric"),
    Command("stash.add", "a", "Add", "record a new fabric", 20, writes=True),
    Command("stash.intake", "i", "Intake", "fabrics from photographs, measured and saved one by one", 25, writes=True),
    Command("stash.edit", "e", "Edit", "name, place, note, price, washed, directional", 30, writes=True),
    Command("stash.bought", "b", "Bought", "add pieces to the fabric", 40, writes=True),
    Command("stash.used", "x", "Used", "take a length off the fabric, or all of it", 50, writes=True),
    Command("stash.count", "c", "Count", "put down what is really there", 60, writes=True),
    Command("stash.archive", "r,delete", "Archive", "put the fabric away (undo brings it back)", 91, writes=True),
    Command("stash.away", "w", "Archived", "the fabrics put away, or the others again; r brings one back"),
    Command("stash.lighter", "[", "Lighter", "move it past its lighter neighbour, by eye", 92, writes=True),
    Command("stash.darker", "]", "Darker", "move it past its darker neighbour, by eye", 93, writes=True),
    Command("stash.measured", "=", "Measured", "go back to the measured value", writes=True),
    Command("stash.sort", "o", "Sort", "next order: value, hue, name, length", 94),
    Command("stash.grey", "v", "Grey", "chips in grey, to judge value alone", 95),
    Command("stash.near", "n", "Near", "runs round this fabric: Suggestions looks for its colours", 96),
    Command("stash.demo", "d", "Demo", "a demo stash to look round in, where yours is empty"),
)  # fmt: skip

# On these two screens a capital letter picks its row, so commands are small letters and signs.
STAR = (
    Command("star.keep", "enter", "Keep", "keep the fabric that is tried; with none tried, choose from a list", 10,
            writes=True),
    Command("star.try_next", "down", "Try", "try the next fabric on the row, nearest first", 20, do="step(1)"),
    Command("star.try_before", "up", "Try before", "try the fabric before it", do="step(-1)"),
    Command("star.way", "1", "Way on", "1 to 9: where the stash is short, try a way on; the same again puts it back",
            do="way(1)", fixed=True),
    Command("star.restore", "escape", "Restore", "put back what stood there; then let go of the row", 30),
    Command("star.row_after", "right", "Next row", "take the next row in hand", do="neighbour(1)"),
    Command("star.row_before", "left", "Row before", "take the row before in hand", do="neighbour(-1)"),
    Command("star.lock", "l,space", "Lock", "keep the row's fabric in every suggestion", 91),
    Command("star.ban", "b,delete", "Ban", "leave the row's fabric out of suggestions and trials", 92),
    Command("star.suggestion", "n", "Next run", "take the next suggestion", 40, writes=True),
    Command("star.turn", "t", "Turn", "turn the run: light to dark or dark to light", 93, writes=True),
    Command("star.repeat", "r", "Repeat", "next repeat: none, mirrored, the run over again", 94, writes=True),
    Command("star.finer", "plus,equals_sign", "Grid +1", "one more small diamond a side", 95, writes=True,
            do="grid(1)"),
    Command("star.coarser", "minus", "Grid −1", "one small diamond a side less", writes=True, do="grid(-1)"),
    Command("star.wider", "greater_than_sign,full_stop", "Strip +1/4", "strips a quarter inch wider", 96,
            writes=True, do="strip(1)"),
    Command("star.narrower", "less_than_sign,comma", "Strip −1/4", "strips a quarter inch narrower", writes=True,
            do="strip(-1)"),
    Command("star.ground", "d", "Ground", "choose the ground fabric", 97, writes=True, do="part('ground')"),
    Command("star.binding", "f8", "Binding", "choose the fabric of the binding", writes=True, do="part('binding')"),
    Command("star.backing", "f9", "Backing", "choose the fabric of the backing", writes=True, do="part('backing')"),
    Command("star.have", "y", "Have it?", "what is not measured yet, scarcest first: yes, no or a length", 98,
            writes=True),
    Command("star.after_wash", "i", "After wash", "reckon with unwashed pieces as they will be once washed"),
    Command("star.with_held", "m", "Held cloth", "count cloth that plans of other stars hold, or leave it to them"),
    Command("star.grey", "v", "Grey", "the star in the grey of its values, or in colour", 50),
    Command("star.view", "f7", "Picture", "the whole star, or one point enlarged", 98),
    Command("star.chart", "c", "Chart", "lettered chart or picture, where there is no room for both", 99),
    Command("star.print", "p", "Print", "pages, the star or the shop's list: seen first, then written to a file", 70),
    Command("star.cut", "x", "Cut", "the plan of cuts: every strip with its place, ticked as it is cut", 60),
    Command("star.colouring_after", "right_square_bracket", "Next colouring", "the next colouring of this star",
            do="colouring(1)"),
    Command("star.colouring_before", "left_square_bracket", "Colouring before", "the colouring before",
            do="colouring(-1)"),
    Command("star.keep_new", "k", "Keep as new", "keep what is shown as a further colouring", writes=True),
    Command("star.drop_colouring", "ctrl+d", "Drop colouring", "remove this colouring; the star's others stay",
            writes=True),
    Command("star.save_as", "w", "Save as", "save this star under another name", writes=True),
    Command("star.settings", "e", "Settings", "grid, strip, letters, widths, stagger, units", writes=True),
    Command("star.open", "o", "Open", "another saved star, or a new one"),
)  # fmt: skip
SUGGESTIONS = (
    Command("suggestions.take", "enter", "Take", "put the ribbon's colouring on the star", 10, writes=True),
    Command("suggestions.keep", "k", "Keep", "keep it as a further colouring of the star", 20, writes=True),
    Command("suggestions.wishes", "e", "Wishes", "what the search is asked for", 30),
    Command("suggestions.move_down", "down", "Next", "the next ribbon", do="move(1)"),
    Command("suggestions.move_up", "up", "Before", "the ribbon before", do="move(-1)"),
    Command("suggestions.cancel", "escape", "Cancel", "stop a search that takes long; else back to the star"),
)

# A field has the cursor here nearly always, so commands are keys that write nothing into it.
INTAKE = (
    Command("intake.save", "enter", "Save", "save this fabric and show the next photograph", 10, writes=True),
    Command("intake.boxes", "f7", "Boxes", "where the cloth, a white patch or a grey card lies on the picture", 20),
    Command("intake.from_here", "f8", "From here", "measure this photograph and all after it with these boxes", 30),
    Command("intake.pass_over", "f9", "Pass over", "leave this photograph out", 40),
    Command("intake.leave", "escape", "Leave", "stop measuring, then leave; what is saved stays saved", 50),
)  # fmt: skip

CUTTING = (
    Command("cutting.tick", "enter,space", "Tick", "cut: the strip, what is left of the piece, or of the set", 10,
            writes=True),
    Command("cutting.tick_all", "a", "All cut", "all that is left to cut is cut", 20, writes=True),
    Command("cutting.tick_fabric", "b", "Fabric cut", "all that is left to cut of the fabric in hand is cut",
            writes=True),
    Command("cutting.offcut", "o", "Offcut", "keep what is left of the piece, or bin it", 30, writes=True),
    Command("cutting.spoiled", "x", "Spoiled", "a segment of the set is spoiled: another comes from its spare", 40,
            writes=True),
    Command("cutting.unspoiled", "minus", "Not spoiled", "take a spoiled segment of the set back", writes=True),
    Command("cutting.plan_again", "r", "Plan again", "plan from what is there now what is left to cut", 50,
            writes=True),
    Command("cutting.print", "p", "Print", "pages, the star or the shop's list: seen first, then written to a file",
            45),
    Command("cutting.let_go", "l", "Let go", "what is not cut yet is free for other stars again", 85, writes=True),
)  # fmt: skip

SIZES = (
    Command("sizes.open", "enter", "Open", "make a star of it, in its best run, and go to it", 10, writes=True),
    Command("sizes.repeat", "r", "Repeat", "next repeat: none, mirrored, the run over again", 20),
    Command("sizes.stop", "escape", "Stop", "stop asking; else back to the star", 30),
    Command("sizes.ask_on", "space", "Go on", "go on asking after a stop"),
)

HISTORY = (
    Command("history.undo_this", "enter,x", "Undo this", "take the selected change back", 10, writes=True),
    Command("history.newest", "n", "Newest", "go to the newest change", 20),
)

COMMANDS: tuple[Command, ...] = (*APP, *STASH, *STAR, *SUGGESTIONS, *INTAKE, *SIZES, *CUTTING, *HISTORY)
ALL: tuple[Command, ...] = (*COMMANDS, *PARTS)
BY_ID = {command.id: command for command in ALL}
WRITING = {(one.screen, one.action.partition("(")[0]) for one in COMMANDS if one.writes}
"""Screen and name of each action that writes."""


def commands_for(place: str) -> list[Command]:
    """The commands of a screen, dialog or widget ("app": those of every screen), in the table's order."""
    return [command for command in ALL if command.screen == place]


def bindings_for(place: str) -> list[BindingType]:
    """Bindings of one screen, dialog or widget, made from the table."""
    return [command.binding() for command in commands_for(place)]


def footer_for(place: str) -> list[Command]:
    """What the footer of a screen or dialog shows, most wanted first."""
    shown = [command for command in ALL if command.foot and command.screen in (place, "app")]
    return sorted(shown, key=lambda command: command.foot)
