"""Every key of the window in one table; tooltips and the help page are made from it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["KEYS", "PAIRS", "Key", "key_of", "tooltip"]


@dataclass(frozen=True, slots=True)
class Key:
    """A key: the action's name, how it is written for Qt, what it does, and where it works."""

    action: str
    keys: str  # as QKeySequence reads it, or in words for keys of a lever
    words: str
    where: str = "anywhere"


KEYS: tuple[Key, ...] = (
    Key("run", "Space", "Run or freeze the clock"),
    Key("step", ".", "Step by 1/60 s of the chosen speed, frozen"),
    Key("slower", "Ctrl+PgDown", "Slower clock"),
    Key("faster", "Ctrl+PgUp", "Faster clock"),
    Key("reset", "Ctrl+Home", "Reset to the start"),
    Key("rigs", "Ctrl+O", "Open another rig"),
    Key("view", "Ctrl+B", "Drawing, drawing and machine, machine"),
    Key("larger", "Ctrl++", "Larger drawing; Ctrl and the wheel zoom about the pointer"),
    Key("smaller", "Ctrl+-", "Smaller drawing"),
    Key("fit", "Ctrl+F", "Fit the whole drawing; a double click on the ground does the same"),
    Key("pan", "Ctrl+Arrows", "Move the magnified drawing; dragging the ground does the same"),
    Key("units", "Ctrl+U", "Change between bar · L/min and psi · gpm"),
    Key("theme", "Ctrl+D", "Change between light and dark"),
    Key("marks", "Ctrl+M", "Let the flow marks stand, and write the flow instead"),
    Key("cover 1", "Alt+1", "Cover or uncover the first instrument; Alt+2 the second, and so on"),
    Key("cover all", "Alt+0", "Cover or uncover all instruments"),
    Key("projector", "F11", "The question for the class, full screen; back to the board"),
    Key("picture", "Ctrl+P", "Save the drawing as a picture"),
    Key("panes", "Ctrl+R", "Bring all borders and panes back to their first places"),
    Key("help", "F1", "Show or hide these keys"),
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
