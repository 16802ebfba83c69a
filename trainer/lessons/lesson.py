"""A lesson as data: tasks with their rigs, runs, questions, reasons and explanations. No code stands in one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from trainer.lessons.formulas import Condition, Formula
from trainer.lessons.readings import Reading
from trainer.measuring.instruments import USUAL_ERROR
from trainer.rig.levers import LeverScript
from trainer.rig.rig import Rig

__all__ = [
    "COVERS", "DEPTHS", "MOST_HINTS", "Choice", "Counts", "Exercise", "Item", "Lesson", "Names", "Number", "Order",
    "OwnWords", "Place", "Places", "Question", "Relief", "Run", "Scale", "Slip", "Trace", "Variation", "WordOption",
]  # fmt: skip

DEPTHS = (1, 2, 3)  # what it does, how it works, how it is set and specified
COVERS = ("all", "pressures", "flows", "names", "nothing")
MOST_HINTS = 2  # of a task


@dataclass(frozen=True, slots=True)
class Slip:
    """A named wrong idea: the reason it is offered as, what number it would give, and what that number is.

    ``formula`` over the readings of its task, where it gives a number; ``order`` that in which things would move.
    ``offered``: as an option and as a reason; otherwise a number is only recognised.
    """

    id: str
    idea: str
    why: str
    beliefs: tuple[int, ...] = ()  # numbers of the misconceptions that it shows
    formula: Formula | None = None
    order: tuple[str, ...] = ()
    offered: bool = True


@dataclass(frozen=True, slots=True)
class Scale:
    """On what something is read: its quantity, the end of the scale [SI], and the error there as a share of it."""

    quantity: str
    end: float
    error: float = USUAL_ERROR
    instrument: str = ""

    @property
    def apart(self) -> float:
        """How far options must be from one another [SI]: three errors."""
        return 3 * self.error * self.end


@dataclass(frozen=True, slots=True)
class Run:
    """A run of a task's rig: numbers before it settles and after, the start, what the hands do, and until when.

    All in SI; times in s. ``words`` are choices of parts, "1V1.port_reliefs" = "both". ``rig`` is another one than
    the task's, where the two are compared.
    """

    numbers: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    start: Mapping[str, float] = field(default_factory=dict)
    then: Mapping[str, float] = field(default_factory=dict)
    hands: LeverScript = field(default_factory=LeverScript)
    begin: float = 0.0
    until: float = 4.0
    rig: Rig | None = field(default=None, repr=False)


@dataclass(frozen=True, slots=True)
class Variation:
    """How a number varies from seat to seat: the values it may have [SI]."""

    name: str
    values: tuple[float, ...]


# -- questions -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WordOption:
    """An option in words that is right where its condition holds in the run, and what shows in who takes it else."""

    words: str
    when: Condition
    slip: Slip


@dataclass(frozen=True, slots=True)
class Choice:
    """Options of which one is as read: values of formulas, or words with a condition each."""

    kind = "choice"
    words: str
    answer: Formula | None
    scale: Scale | None
    options: tuple[WordOption, ...] = ()


@dataclass(frozen=True, slots=True)
class Number:
    """A number with its unit; right within ``tolerance`` [SI], or that share of what is read.

    Of a design all is right from ``answer`` to ``most``, of ``sizes`` [SI] where only those are made. ``other``: it
    is to be written in the unit that the screen does not show.
    """

    kind = "number"
    words: str
    answer: Formula
    scale: Scale
    tolerance: float = 0.0
    share: float = 0.03
    most: Formula | None = None
    sizes: tuple[float, ...] = ()
    other: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """One of the things that are put in order."""

    words: str
    by: Formula


@dataclass(frozen=True, slots=True)
class Order:
    """Things in the order of a formula each, the smallest first; what comes nearer than ``apart`` [SI] is a tie."""

    kind = "order"
    words: str
    items: Mapping[str, Item]
    apart: float


@dataclass(frozen=True, slots=True)
class Place:
    """A part or a line that may be clicked, what makes it right, and what shows in who clicks it else."""

    name: str
    by: Formula | None
    slip: Slip | None


@dataclass(frozen=True, slots=True)
class Places:
    """A click on the drawing: right is the place whose formula is the largest, or the parts of a role."""

    kind = "place"
    words: str
    places: Mapping[str, Place]
    role: str = ""


@dataclass(frozen=True, slots=True)
class Names:
    """Symbols of a drawing to be named in writing: how many are asked, how many must be right, how many tries.

    ``terms``: by what may be asked, a part or a line, the words of the trade that are taken; the first one is told.
    """

    kind = "names"
    words: str
    terms: Mapping[str, tuple[str, ...]]
    count: int
    enough: int
    tries: int = 3


@dataclass(frozen=True, slots=True)
class Trace:
    """The oil's path, place by place, to a line or a part; "" asks for all of it."""

    kind = "trace"
    words: str
    to: str = ""


@dataclass(frozen=True, slots=True)
class Relief:
    """A relief to be set with a gauge: what is to be read at full flow, within so much; how long it may blow [s]."""

    kind = "relief"
    words: str
    part: str
    instrument: str
    target: float
    within: float
    longest: float = 10.0


@dataclass(frozen=True, slots=True)
class Counts:
    """A reading to be taken so that it may be compared with the sheet: speed, oil, levers, load, posture."""

    kind = "counts"
    words: str
    instrument: str


@dataclass(frozen=True, slots=True)
class OwnWords:
    """A sentence of one's own: ideas that are to be in it, each with the words that tell it."""

    kind = "words"
    words: str
    ideas: Mapping[str, tuple[str, ...]]
    least: int


Question = Choice | Number | Order | Places | Names | Trace | Relief | Counts | OwnWords


# -- tasks ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Exercise:
    """A task: situation, question, run, what to have seen, why.

    ``readings`` are those of the run by their letters; ``runs`` others to compare with. ``seen`` is the letter of
    what is watched. ``why`` explains the right answer, ``reason`` is the right one among the reasons offered.
    ``working`` are numbers to open: "line P1", "part 1A1".
    """

    id: str
    rig_name: str
    rig: Rig
    situation: str
    question: Question
    run: Run
    runs: Mapping[str, Run] = field(default_factory=dict)
    minutes: int = 3
    depth: int = 1
    outcomes: tuple[str, ...] = ()
    beliefs: tuple[int, ...] = ()
    cover: str = COVERS[0]
    own_hands: bool = False
    ranges: Mapping[str, float] = field(default_factory=dict)
    readings: Mapping[str, Reading] = field(default_factory=dict)
    reason: str = ""
    slips: tuple[Slip, ...] = ()
    seen: str = ""
    why: str = ""
    caution: str = ""
    hints: tuple[str, ...] = ()
    working: tuple[tuple[str, str], ...] = ()
    vary: tuple[Variation, ...] = ()
    settles: float = 0.3

    def rig_in(self, run: Run) -> Rig:
        """Return the rig on which a run of it is made, with the rig's own numbers."""
        return run.rig if run.rig is not None else self.rig

    @property
    def scale(self) -> Scale | None:
        """The scale on which the answer is read, where it is a number."""
        return getattr(self.question, "scale", None)

    def all_runs(self) -> Iterator[tuple[str, Run]]:
        """Yield the task's own run, which is called "", and the others."""
        yield "", self.run
        yield from self.runs.items()


@dataclass(frozen=True, slots=True)
class Lesson:
    """Tasks in their order, what is learnt, and how long it takes. ``id`` is the stem of its file."""

    id: str
    title: str
    minutes: int
    depth: int
    outcomes: tuple[str, ...]
    exercises: Mapping[str, Exercise]
    before: str = ""
    source: str = ""
