"""The tables of a lesson file and of the bank of wrong ideas: which keys each may hold, of which types."""

from __future__ import annotations

from typing import Annotated, Any

from msgspec import UNSET, Meta, Struct, UnsetType

from trainer.language import mark
from trainer.rig.tables import Table, YesNo

__all__ = [
    "FORMAT", "QUESTIONS", "BankTable", "ExerciseTable", "GlossaryTable", "ItemTable", "LessonTable", "OptionTable",
    "OutcomeTable", "OutcomesTable", "PlaceOptionTable", "RunTable", "SlipTable", "WordTable",
]  # fmt: skip

FORMAT = 1

Text = Annotated[str, Meta(description=mark('a text, such as "What does the gauge show?"'))]
Texts = Annotated[list[str], Meta(description=mark('a list of texts, such as ["O1"]'))]
Whole = Annotated[int, Meta(description=mark("a whole number from 1 to 600"), ge=1, le=600)]
Depth = Annotated[
    int, Meta(description=mark("1 what it does, 2 how it works, or 3 how it is set and specified"), ge=1, le=3)
]
Beliefs = Annotated[
    list[Annotated[int, Meta(ge=1, le=99)]],
    Meta(description=mark("a list of numbers of misconceptions, such as [1, 16]")),
]
Time = Annotated[str, Meta(description=mark('a time, such as "4 s"'))]
FormulaText = Annotated[str, Meta(description=mark('a formula of the readings, such as "p1 + p2"'))]
ReadingName = Annotated[str, Meta(description=mark('the letter of one of the readings, such as "p"'))]
Written = Annotated[str, Meta(description=mark('a number with its unit, such as "60 bar"'))]
Sizes = Annotated[list[str], Meta(description=mark('a list of numbers with units, such as ["50 mm", "63 mm"]'))]
Script = Annotated[
    str, Meta(description=mark('a lever script as text, its first row "time [s], 1V1.lever [%] ramp"'))
]
Options = Annotated[
    list[Any], Meta(description=mark('a list of tables, { words = "…", when = "v > 0.01", slip = "S1" }'))
]
Order = Annotated[list[str], Meta(description=mark('a list of names, such as ["wide", "narrow"]'))]


class LessonTable(Struct):
    """The top level of a lesson file."""

    format: Annotated[int, Meta(description=f"format = {FORMAT}")]
    title: Text
    minutes: Whole
    depth: Depth
    outcomes: Texts
    exercises: Table
    before: Text = ""


RigName = Annotated[str, Meta(description=mark("the name of a shipped rig, or of a file beside the lesson"))]


class RunTable(Struct, kw_only=True):
    """What makes a run; another run of a task says only what is different, another rig too."""

    rig: RigName | UnsetType = UNSET
    numbers: Table | UnsetType = UNSET
    start: Table | UnsetType = UNSET
    then: Table | UnsetType = UNSET
    hands: Script | UnsetType = UNSET
    begin: Time | UnsetType = UNSET
    until: Time | UnsetType = UNSET


class ExerciseTable(RunTable, kw_only=True):
    """A task."""

    rig: RigName
    situation: Text
    question: Table
    why: Text
    minutes: Whole = 3
    depth: Depth | UnsetType = UNSET
    outcomes: Texts | UnsetType = UNSET
    beliefs: Beliefs | UnsetType = UNSET
    covered: Text = "all"
    own_hands: YesNo = False
    ranges: Table | UnsetType = UNSET
    readings: Table | UnsetType = UNSET
    runs: Table | UnsetType = UNSET
    reason: Text = ""
    slips: Table | UnsetType = UNSET
    seen: ReadingName | UnsetType = UNSET
    caution: Text = ""
    hints: Texts | UnsetType = UNSET
    working: Texts | UnsetType = UNSET
    vary: Table | UnsetType = UNSET
    settles: Time | UnsetType = UNSET


class SlipTable(Struct):
    """A wrong idea, in the bank or in a task of its own; what is given in a task stands before what the bank has."""

    idea: Text | UnsetType = UNSET
    why: Text | UnsetType = UNSET
    value: FormulaText | UnsetType = UNSET
    order: Order | UnsetType = UNSET
    beliefs: Beliefs | UnsetType = UNSET
    offered: YesNo = True


class OptionTable(SlipTable, kw_only=True):
    """An option in words."""

    words: Text
    when: Annotated[str, Meta(description=mark('a condition, such as "v > 0.5 · v0"'))]
    slip: Text | UnsetType = UNSET


class ItemTable(Struct):
    """One of the things to be put in order."""

    words: Text
    by: FormulaText


class PlaceOptionTable(SlipTable):
    """A place on the drawing that may be clicked."""

    by: FormulaText | UnsetType = UNSET
    slip: Text | UnsetType = UNSET


class _Question(Struct):
    kind: Text
    words: Text


class ChoiceTable(_Question):
    """Options, one of them as read."""

    answer: FormulaText | UnsetType = UNSET
    scale: Text | UnsetType = UNSET
    options: Options | UnsetType = UNSET


class NumberTable(_Question, kw_only=True):
    """A number with its unit."""

    answer: FormulaText
    scale: Text | UnsetType = UNSET
    tolerance: Written | UnsetType = UNSET
    most: FormulaText | UnsetType = UNSET
    sizes: Sizes | UnsetType = UNSET
    other_unit: YesNo = False


class OrderTable(_Question, kw_only=True):
    """Things in order."""

    items: Table
    apart: Written = "0.15 s"


class PlacesTable(_Question):
    """A click on the drawing."""

    places: Table | UnsetType = UNSET
    role: Text | UnsetType = UNSET


class NamesTable(_Question):
    """Symbols named in writing."""

    parts: Texts | UnsetType = UNSET
    lines: Table | UnsetType = UNSET
    count: Whole | UnsetType = UNSET
    enough: Whole | UnsetType = UNSET
    tries: Whole = 3


class TraceTable(_Question):
    """The oil's path."""

    to: Text = ""


class ReliefTable(_Question, kw_only=True):
    """A relief to be set."""

    part: Text
    instrument: Text
    target: Written
    within: Written
    longest: Time = "10 s"


class CountsTable(_Question, kw_only=True):
    """A reading that may be compared with the sheet."""

    instrument: Text


class OwnWordsTable(_Question, kw_only=True):
    """A sentence of one's own."""

    ideas: Table
    least: Whole | UnsetType = UNSET


QUESTIONS: dict[str, type[_Question]] = {
    "choice": ChoiceTable,
    "number": NumberTable,
    "order": OrderTable,
    "place": PlacesTable,
    "names": NamesTable,
    "trace": TraceTable,
    "relief": ReliefTable,
    "counts": CountsTable,
    "words": OwnWordsTable,
}


class BankTable(Struct):
    """The top level of the file of wrong ideas, right reasons and trade words."""

    format: Annotated[int, Meta(description=f"format = {FORMAT}")]
    slips: Table
    reasons: Table
    terms: Table


class OutcomesTable(Struct):
    """The top level of a list of outcomes."""

    format: Annotated[int, Meta(description=f"format = {FORMAT}")]
    outcomes: Table


class OutcomeTable(Struct):
    """An outcome: what the learner can do, and the code that a college gives it."""

    words: Text | UnsetType = UNSET
    code: Text = ""


class GlossaryTable(Struct):
    """The top level of the glossary."""

    format: Annotated[int, Meta(description=f"format = {FORMAT}")]
    words: Table


class WordTable(Struct):
    """One word of it: the term, what it means, other terms, what to see as well."""

    term: Text
    words: Text
    also: Texts = []
    see: Texts = []
