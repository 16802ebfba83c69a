"""Every key of the window in one table; tooltips and the help page are made from it."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.language import mark, tr

__all__ = ["KEYS", "PAIRS", "Key", "key_of", "keys_for", "tooltip"]


@dataclass(frozen=True, slots=True)
class Key:
    """A key: the action's name, how it is written for Qt, what it does, and the heading under which it stands."""

    action: str
    keys: str  # as QKeySequence reads it, or in words for keys of a lever
    says: str
    where: str

    @property
    def words(self) -> str:
        """What it does, in the language in use."""
        return tr(self.says)


KEYS: tuple[Key, ...] = (
    Key("lessons", "F12", mark("The lessons, how far you are in each, whether you are ready"), mark("learning")),
    Key("practice", "Ctrl+L", mark("Lever practice: the ladder; back to the board"), mark("learning")),
    Key("glossary", "Ctrl+G", mark("Parts and words: the glossary"), mark("learning")),
    Key("first page", "Shift+F1", mark("The first page: to a class, to the lessons, to the bench"), mark("learning")),
    Key("run", "Space", mark("Run or freeze the clock"), mark("time")),
    Key("step", ".", mark("Step by a frame, 1/60 s of the chosen speed"), mark("time")),
    Key("tenth", ",", mark("Step by a tenth of a second"), mark("time")),
    Key("back", "Backspace", mark("Rewind by a second; the line below the bar goes anywhere"), mark("time")),
    Key("mark", "Ctrl+K", mark("Mark this instant"), mark("time")),
    Key("earlier mark", "Alt+Left", mark("Go to the mark before, or to the start"), mark("time")),
    Key("later mark", "Alt+Right", mark("Go to the mark after, or to the latest instant"), mark("time")),
    Key("slower", "Ctrl+PgDown", mark("Slower clock"), mark("time")),
    Key("faster", "Ctrl+PgUp", mark("Faster clock"), mark("time")),
    Key("reset", "Ctrl+Home", mark("Return to the start; numbers and screws of the machine stay"), mark("time")),
    Key("then", "Ctrl+T", mark("After a rewind: let the machine be as it was then"), mark("time")),
    Key("rigs", "Ctrl+O", mark("Open another rig"), mark("the board")),
    Key("offers", "Shift+F10", mark("What can be done with a thing; so does a right click"), mark("the board")),
    Key("view", "Ctrl+B", mark("Drawing, drawing and machine, machine"), mark("the board")),
    Key("larger", "Ctrl++", mark("Larger drawing; Ctrl and the wheel zoom about the pointer"), mark("the board")),
    Key("smaller", "Ctrl+-", mark("Smaller drawing"), mark("the board")),
    Key(
        "fit", "Ctrl+F", mark("Fit the whole drawing; a double click on the ground does the same"), mark("the board")
    ),
    Key(
        "pan", "Ctrl+Arrows", mark("Move the magnified drawing; dragging the ground does the same"), mark("the board")
    ),
    Key("units", "Ctrl+U", mark("Change between bar · L/min and psi · gpm"), mark("the board")),
    Key("theme", "Ctrl+D", mark("Change between light and dark"), mark("the board")),
    Key("marks", "Ctrl+M", mark("Let the flow marks stand, and write the flow instead"), mark("the board")),
    Key(
        "cover 1",
        "Alt+1",
        mark("Cover or uncover the first instrument; Alt+2 the second, and so on"),
        mark("reading"),
    ),
    Key("part page", "Ctrl+I", mark("What a part is: what it does, how it works, how it is set"), mark("reading")),
    Key("trace", "F6", mark("Trace the oil: list its path and light it step by step"), mark("reading")),
    Key("working", "F4", mark("The working of what has the keyboard, or of what was clicked last"), mark("reading")),
    Key("ask path", "Shift+F6", mark("Ask for the path of the oil, names hidden"), mark("reading")),
    Key("cover all", "Alt+0", mark("Cover or uncover all instruments"), mark("reading")),
    Key("fit instrument", "F3", mark("Fit an instrument; with a dial chosen, Delete takes it off"), mark("reading")),
    Key("stopwatch", "F9", mark("Start or stop the stopwatch"), mark("reading")),
    Key("stopwatch condition", "Shift+F9", mark("What starts and stops the stopwatch"), mark("reading")),
    Key("ledgers", "F5", mark("The ledgers over time: energy, oil, fuel or effort by cycle"), mark("reading")),
    Key(
        "change instrument",
        "C",
        mark("Another range, class or damping, the instrument in its place"),
        mark("on a dial"),
    ),
    Key("cover dial", "Enter", mark("Cover or uncover it; Delete takes it off"), mark("on a dial")),
    Key(
        "workings",
        "Up  Down",
        mark("The next working of the same thing; a click on its name opens it"),
        mark("on the working"),
    ),
    Key("entry", "Up  Down  Enter", mark("Light the parts of an entry; Enter keeps them lit"), mark("on a ledger")),
    Key("traces", "F2", mark("Choose what the strip shows"), mark("on the strip")),
    Key("runs", "F8", mark("Two runs side by side; there this one is kept to compare with"), mark("on the strip")),
    Key(
        "export", "Ctrl+E", mark("Write the shown stretch of the strip as a table or a picture"), mark("on the strip")
    ),
    Key("cursors", "Left  Right", mark("Move the cursor; with Shift ten times as far"), mark("on the strip")),
    Key(
        "second cursor",
        "Enter",
        mark("Set the second cursor, or change between both; Delete removes"),
        mark("on the strip"),
    ),
    Key("strip zoom", "+  −", mark("Less or more time; Ctrl and the wheel do the same"), mark("on the strip")),
    Key(
        "strip move",
        "PgUp  PgDown",
        mark("Earlier or later; Shift and the wheel, or dragging the times"),
        mark("on the strip"),
    ),
    Key(
        "strip freeze",
        "P",
        mark("Pause the strip while the machine goes on; Home: as at first"),
        mark("on the strip"),
    ),
    Key(
        "beside",
        "Shift+F8",
        mark("Beside another: two rigs with the same levers, or one healthy and worn"),
        mark("before a class"),
    ),
    Key(
        "beside strip",
        "F2",
        mark("Of two rigs: their strip, or the figures; Ctrl+E writes it, Ctrl+C copies it"),
        mark("before a class"),
    ),
    Key("projector", "F11", mark("The class view, full screen; back to the board"), mark("before a class")),
    Key(
        "ask",
        "Alt+Q",
        mark("Ask the class about what is clicked next, or a lesson's task; put it away"),
        mark("before a class"),
    ),
    Key(
        "uncover",
        "Alt+U",
        mark("Uncover without an answer; the record says so, as in a lesson"),
        mark("before a class"),
    ),
    Key("class print", "Alt+P", mark("Black on white, the pressures in grey"), mark("before a class")),
    Key("class dials", "F3", mark("Other instruments, or none; F2 another trace"), mark("before a class")),
    Key("remote", "PgDown  PgUp", mark("A presenter's remote: next, back"), mark("before a class")),
    Key("lesson", "F10", mark("Put the lesson away, or bring it back"), mark("in a lesson")),
    Key("commit", "Ctrl+Return", mark("Commit the answer; in a lesson all goes on with it"), mark("in a lesson")),
    Key("hint", "Alt+H", mark("A hint; it is recorded and costs nothing"), mark("in a lesson")),
    Key("next task", "Alt+N", mark("On: the next step, then the next task"), mark("in a lesson")),
    Key("numbers", "F7", mark("Numbers of the rig: every part, its screws, loads, oil"), mark("the board")),
    Key("undo", "Ctrl+Z", mark("Take back the last change of the rig"), mark("the board")),
    Key("redo", "Ctrl+Y", mark("Make it again"), mark("the board")),
    Key("save", "Ctrl+S", mark("Save the rig with its changes"), mark("the board")),
    Key("picture", "Ctrl+P", mark("Save the drawing as a picture"), mark("the board")),
    Key("copy", "Ctrl+C", mark("Copy the drawing as a picture"), mark("the board")),
    Key("sound", "Alt+S", mark("Sound of engine, pump and reliefs, written too; on or off"), mark("the board")),
    Key("panes", "Ctrl+R", mark("Bring all borders and panes back to their first places"), mark("the board")),
    Key("help", "F1", mark("Show or hide these keys"), mark("the board")),
    Key("about", "Ctrl+F1", mark("Versions and licences"), mark("the board")),
    Key(
        "pairs",
        "Q A  W S  E D  R F  T G",
        mark("Levers from the left, out and in while held: two at once"),
        mark("on the levers"),
    ),
    Key(
        "hands", "Ctrl+H", mark("Sticks: which moves which lever, how they are felt, patterns"), mark("on the levers")
    ),
    Key("load", "L", mark("The next load in the grapple; with Shift the one before"), mark("on the levers")),
    Key("out", "Up  Right", mark("Move towards + while held, then it springs back"), mark("on a lever")),
    Key("in", "Down  Left", mark("Move towards − while held, then it springs back"), mark("on a lever")),
    Key(
        "exact",
        "0 … 9  −  Enter",
        mark("Write an exact percentage, −40 for instance; it is held there"),
        mark("on a lever"),
    ),
    Key("mirror", "M", mark("Hold it at the same place on the other side"), mark("on a lever")),
    Key("hold", "H", mark("Hold it where it is, or let it spring back"), mark("on a lever")),
    Key("centre", "Home", mark("Back to the centre; End holds it at 100 %"), mark("on a lever")),
    Key("fine", "Shift", mark("With a direction: a fifth of the speed; the wheel moves 1 %"), mark("on a lever")),
    Key(
        "speed",
        "Up  Down",
        mark("Faster or slower; Page Up and Page Down by a tenth; digits write it"),
        mark("on a scale"),
    ),
)
PAIRS = ("QA", "WS", "ED", "RF", "TG")  # letters that move the levers, from the left: out, in
_RACK = {  # on what of the rack a key acts
    "pairs": "lever",
    "out": "lever",
    "in": "lever",
    "exact": "lever",
    "mirror": "lever",
    "hold": "lever",
    "centre": "lever",
    "fine": "lever",
    "hands": "lever",
    "load": "load",
    "speed": "scale",
}


def keys_for(levers: int, loads: bool, scales: bool) -> tuple[Key, ...]:
    """Return the keys of a rig by what its rack has: so many levers, whether loads to be hooked on, and scales."""
    there = {"lever": levers > 0, "load": loads, "scale": scales, "": True}
    found = []
    for key in KEYS:
        if key.action == "pairs" and levers:
            pairs = "  ".join(" ".join(pair) for pair in PAIRS[:levers])
            one = "The lever, out and in while held"
            key = Key(key.action, pairs, one if levers == 1 else key.words, key.where)
        if there[_RACK.get(key.action, "")]:
            found.append(key)
    return tuple(found)


def key_of(action: str) -> str:
    """Return how the key of an action is written. Raises KeyError."""
    for key in KEYS:
        if key.action == action:
            return key.keys
    raise KeyError(action)


def tooltip(words: str, action: str) -> str:
    """Return a tooltip: words and the key of the action."""
    return f"{words}  ({key_of(action)})"
