"""Every key of the window in one table; tooltips and the help page are made from it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["KEYS", "PAIRS", "Key", "key_of", "keys_for", "tooltip"]


@dataclass(frozen=True, slots=True)
class Key:
    """A key: the action's name, how it is written for Qt, what it does, and the heading under which it stands."""

    action: str
    keys: str  # as QKeySequence reads it, or in words for keys of a lever
    words: str
    where: str


KEYS: tuple[Key, ...] = (
    Key("run", "Space", "Run or freeze the clock", "time"),
    Key("step", ".", "Step by a frame, 1/60 s of the chosen speed", "time"),
    Key("tenth", ",", "Step by a tenth of a second", "time"),
    Key("back", "Backspace", "Rewind by a second; the line below the bar goes anywhere", "time"),
    Key("mark", "Ctrl+K", "Mark this instant", "time"),
    Key("earlier mark", "Alt+Left", "Go to the mark before, or to the start", "time"),
    Key("later mark", "Alt+Right", "Go to the mark after, or to the latest instant", "time"),
    Key("slower", "Ctrl+PgDown", "Slower clock", "time"),
    Key("faster", "Ctrl+PgUp", "Faster clock", "time"),
    Key("reset", "Ctrl+Home", "Return to the start; numbers and screws of the machine stay", "time"),
    Key("then", "Ctrl+T", "After a rewind: let the machine be as it was then", "time"),
    Key("rigs", "Ctrl+O", "Open another rig", "the board"),
    Key(
        "offers",
        "Shift+F10",
        "What can be done with a thing; so does a right click",
        "the board",
    ),
    Key("view", "Ctrl+B", "Drawing, drawing and machine, machine", "the board"),
    Key("larger", "Ctrl++", "Larger drawing; Ctrl and the wheel zoom about the pointer", "the board"),
    Key("smaller", "Ctrl+-", "Smaller drawing", "the board"),
    Key("fit", "Ctrl+F", "Fit the whole drawing; a double click on the ground does the same", "the board"),
    Key("pan", "Ctrl+Arrows", "Move the magnified drawing; dragging the ground does the same", "the board"),
    Key("units", "Ctrl+U", "Change between bar · L/min and psi · gpm", "the board"),
    Key("theme", "Ctrl+D", "Change between light and dark", "the board"),
    Key("marks", "Ctrl+M", "Let the flow marks stand, and write the flow instead", "the board"),
    Key("cover 1", "Alt+1", "Cover or uncover the first instrument; Alt+2 the second, and so on", "reading"),
    Key("trace", "F6", "Trace the oil: list its path and light it step by step", "reading"),
    Key("working", "F4", "The working of what has the keyboard, or of what was clicked last", "reading"),
    Key("ask path", "Shift+F6", "Ask for the path of the oil, names hidden", "reading"),
    Key("cover all", "Alt+0", "Cover or uncover all instruments", "reading"),
    Key("fit instrument", "F3", "Fit an instrument; with a dial chosen, Delete takes it off", "reading"),
    Key("stopwatch", "F9", "Start or stop the stopwatch", "reading"),
    Key("stopwatch condition", "Shift+F9", "What starts and stops the stopwatch", "reading"),
    Key("ledgers", "F5", "The ledgers over time: energy, oil, fuel or effort by cycle", "reading"),
    Key("change instrument", "C", "Another range, class or damping, the instrument in its place", "on a dial"),
    Key("cover dial", "Enter", "Cover or uncover it; Delete takes it off", "on a dial"),
    Key("workings", "Up  Down", "The next working of the same thing; a click on its name opens it", "on the working"),
    Key("entry", "Up  Down  Enter", "Light the parts of an entry; Enter keeps them lit", "on a ledger"),
    Key("traces", "F2", "Choose what the strip shows", "on the strip"),
    Key("runs", "F8", "Two runs side by side; there this one is kept to compare with", "on the strip"),
    Key("export", "Ctrl+E", "Write the shown stretch of the strip as a table or a picture", "on the strip"),
    Key("cursors", "Left  Right", "Move the cursor; with Shift ten times as far", "on the strip"),
    Key("second cursor", "Enter", "Set the second cursor, or change between both; Delete removes", "on the strip"),
    Key("strip zoom", "+  −", "Less or more time; Ctrl and the wheel do the same", "on the strip"),
    Key("strip move", "PgUp  PgDown", "Earlier or later; Shift and the wheel, or dragging the times", "on the strip"),
    Key("strip freeze", "P", "Pause the strip while the machine goes on; Home: as at first", "on the strip"),
    Key("projector", "F11", "The question for the class, full screen; back to the board", "the board"),
    Key("numbers", "F7", "Numbers of the rig: every part, its screws, loads, oil", "the board"),
    Key("undo", "Ctrl+Z", "Take back the last change of the rig", "the board"),
    Key("redo", "Ctrl+Y", "Make it again", "the board"),
    Key("save", "Ctrl+S", "Save the rig with its changes", "the board"),
    Key("picture", "Ctrl+P", "Save the drawing as a picture", "the board"),
    Key("copy", "Ctrl+C", "Copy the drawing as a picture", "the board"),
    Key("panes", "Ctrl+R", "Bring all borders and panes back to their first places", "the board"),
    Key("help", "F1", "Show or hide these keys", "the board"),
    Key("about", "Shift+F1", "Versions and licences", "the board"),
    Key(
        "pairs",
        "Q A  W S  E D  R F  T G",
        "Levers from the left, out and in while held: two at once",
        "on the levers",
    ),
    Key("load", "L", "The next load in the grapple; with Shift the one before", "on the levers"),
    Key("out", "Up  Right", "Move towards + while held, then it springs back", "on a lever"),
    Key("in", "Down  Left", "Move towards − while held, then it springs back", "on a lever"),
    Key("exact", "0 … 9  −  Enter", "Write an exact percentage, −40 for instance; it is held there", "on a lever"),
    Key("mirror", "M", "Hold it at the same place on the other side", "on a lever"),
    Key("hold", "H", "Hold it where it is, or let it spring back", "on a lever"),
    Key("centre", "Home", "Back to the centre; End holds it at 100 %", "on a lever"),
    Key("fine", "Shift", "With a direction: a fifth of the speed; the wheel moves 1 %", "on a lever"),
    Key("speed", "Up  Down", "Faster or slower; Page Up and Page Down by a tenth; digits write it", "on a scale"),
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
