"""Every key of the window in one table; tooltips and the help page are made from it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["KEYS", "PAIRS", "Key", "key_of", "tooltip"]


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
    Key("reset", "Ctrl+Home", "Return to the exact start", "time"),
    Key("rigs", "Ctrl+O", "Open another rig", "the board"),
    Key("view", "Ctrl+B", "Drawing, drawing and machine, machine", "the board"),
    Key("larger", "Ctrl++", "Larger drawing; Ctrl and the wheel zoom about the pointer", "the board"),
    Key("smaller", "Ctrl+-", "Smaller drawing", "the board"),
    Key("fit", "Ctrl+F", "Fit the whole drawing; a double click on the ground does the same", "the board"),
    Key("pan", "Ctrl+Arrows", "Move the magnified drawing; dragging the ground does the same", "the board"),
    Key("units", "Ctrl+U", "Change between bar · L/min and psi · gpm", "the board"),
    Key("theme", "Ctrl+D", "Change between light and dark", "the board"),
    Key("marks", "Ctrl+M", "Let the flow marks stand, and write the flow instead", "the board"),
    Key("cover 1", "Alt+1", "Cover or uncover the first instrument; Alt+2 the second, and so on", "reading"),
    Key("cover all", "Alt+0", "Cover or uncover all instruments", "reading"),
    Key("projector", "F11", "The question for the class, full screen; back to the board", "the board"),
    Key("picture", "Ctrl+P", "Save the drawing as a picture", "the board"),
    Key("panes", "Ctrl+R", "Bring all borders and panes back to their first places", "the board"),
    Key("help", "F1", "Show or hide these keys", "the board"),
    Key(
        "pairs",
        "Q A  W S  E D  R F  T G",
        "Levers from the left, out and in while held: two at once",
        "on the levers",
    ),
    Key("load", "L", "The next load in the grapple; with Shift the one before", "on the levers"),
    Key("out", "Up  Right", "Move towards + while held, then it springs back", "on a lever"),
    Key("in", "Down  Left", "Move towards − while held, then it springs back", "on a lever"),
    Key("exact", "0 … 9  Enter", "Write an exact percentage; it is held there", "on a lever"),
    Key("other side", "−", "Hold it at the same place on the other side", "on a lever"),
    Key("hold", "H", "Hold it where it is, or let it spring back", "on a lever"),
    Key("centre", "Home", "Back to the centre; End holds it at 100 %", "on a lever"),
    Key("fine", "Shift", "With a direction: a fifth of the speed; the wheel moves 1 %", "on a lever"),
    Key("speed", "Up  Down", "Faster or slower; Page Up and Page Down by a tenth; digits write it", "on a scale"),
)
PAIRS = ("QA", "WS", "ED", "RF", "TG")  # letters that move the levers, from the left: out, in


def key_of(action: str) -> str:
    """Return how the key of an action is written. Raises KeyError."""
    for key in KEYS:
        if key.action == action:
            return key.keys
    raise KeyError(action)


def tooltip(words: str, action: str) -> str:
    """Return a tooltip: words and the key of the action."""
    return f"{words}  ({key_of(action)})"
