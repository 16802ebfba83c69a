"""A question for the class, made of what was clicked: what is asked, after which run, with what may be answered."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from trainer import units
from trainer.drawing.doings import moved_by
from trainer.drawing.instruments import QUANTITIES
from trainer.drawing.rack import percent
from trainer.engine.session import Session
from trainer.language import mark, tr
from trainer.lessons.lesson import Scale
from trainer.lessons.seen import SEEN, offered, what_it_did
from trainer.measuring.instruments import error_of, true_reading
from trainer.parts.part import Kind
from trainer.parts.roles import Actuator, DirectionalValve, PressureLimiter
from trainer.rig.live import Live
from trainer.rig.names import capital, lever_label, part_label, the_line
from trainer.rig.rig import Instrument, Rig
from trainer.units import System
from trainer.window.class_view.instant import Instant, find_instant, opened_limiters
from trainer.window.class_view.slips import Option, of_first, of_highest, of_time, pump_line, slips

__all__ = ["LETTERS", "Asked", "Option", "Question", "find_asked", "hands_words", "make"]

LETTERS = "ABCD"
FIRST = 4.0  # s within which one of several functions is to move
LONGEST = 30.0  # s that a way to an end may take
_STEP = 0.02  # s between looks at a run
_STILL = 15  # looks within which what stands at an end moves less than a tenth of a millimetre
_TOGETHER = 0.1  # s within which two functions move together
_MOVED = {"speed": 4e-3, "shaft speed": 0.05}  # what is seen to have moved [m, rad]: less is oil that gives way
_FINE = 20.0  # shown numbers below it get one decimal
_PACES = (mark("evenly all the way"), mark("slower and slower"), mark("quicker and quicker"))


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked: a "reading", a "time" to an end, which function moves "first", which line is "highest".

    ``title`` is what it is called where there are several things to be asked of what was clicked.
    """

    kind: str
    title: str
    name: str
    words: str
    scale: Scale | None = None  # of what is asked in figures
    instrument: Instrument | None = None
    line: str = ""  # a line whose pressure it is, or the rod or shaft whose speed it is
    part: str = ""  # an actuator whose way it is

    @property
    def several(self) -> bool:
        """Whether it is asked of several levers that move at once."""
        return self.kind == "first"

    def read(self, live: Live) -> float:
        """Return the reading at an instant [SI]."""
        if self.instrument is not None:
            return true_reading(self.instrument, live)
        if self.scale is not None and self.scale.quantity == "pressure":
            return live.pressure(self.line)
        return abs(live.speed(self.line))

    def shown(self, value: float, system: System) -> str:
        """Return a value with its unit, as the class reads it."""
        assert self.scale is not None
        unit = units.shown_unit(self.scale.quantity, system)
        end = self.scale.end / unit.factor
        decimals = 0 if end >= 2 * _FINE else 1 if end >= 2.0 else 2
        return " ".join(units.text_in(value, unit, decimals))


@dataclass(frozen=True, slots=True)
class Question:
    """A question that is put. Levers go to ``hands`` at ``begin`` [s], the run ends at ``end`` [s].

    ``before`` and ``then`` are the readings at both [SI], nothing where it is no reading; ``seen`` are what may have
    been seen of the run, ``way`` which of them it was; ``working`` are rows (name, before, then) [SI] of one kind.
    ``figures``: the class calls numbers out instead of choosing among options; ``known`` are wrong ones with a name.
    """

    asked: Asked
    hands: Mapping[str, float]
    begin: float
    end: float
    situation: str
    options: tuple[Option, ...]
    seen: tuple[str, ...] = ()
    way: int = 0
    before: float = math.nan
    then: float = math.nan
    working: tuple[tuple[str, float, float], ...] = field(default_factory=tuple)
    known: tuple[Option, ...] = ()
    figures: bool = False

    @property
    def right(self) -> int:
        """Which option is as read."""
        return next(k for k, option in enumerate(self.options) if option.right)

    def answer(self, k: int, system: System) -> str:
        """Return an option as it is offered."""
        option = self.options[k]
        return option.words or self.asked.shown(option.value, system)


# -- what may be asked -----------------------------------------------------------------------------------------------


def find_asked(rig: Rig, kind: str, name: str) -> tuple[Asked, ...] | str:
    """Return what a click may ask for, the likeliest first; or why nothing."""
    if kind == "instrument" and name in rig.instruments:
        return (_of_instrument(rig.instruments[name]),)
    if kind == "line" and name in rig.lines and rig.lines[name] in rig.lines_of_kind(Kind.OIL):
        return _of_line(rig, name)
    if kind == "part" and isinstance(role := rig.parts[name].part.role, Actuator):
        return tuple(_of_actuator(rig, name, role))
    return tr("Nothing is read there. Click a dial, a line or an actuator.")


def _of_instrument(item: Instrument) -> Asked:
    scale = Scale(QUANTITIES[item.kind], item.range_, error_of(item), item.name)
    told = tr("What does {name} read?").format(name=item.name)
    return Asked("reading", tr("Its reading"), item.name, told, scale, item)


def _of_line(rig: Rig, name: str) -> tuple[Asked, ...]:
    limits = [rig.parts[id_].values.get("setting", 0.0) for id_ in rig.having(PressureLimiter)]
    scale, words = Scale("pressure", max([*limits, 20e5])), the_line(rig, name)
    told = tr("Which pressure stands in {line}?").format(line=words)
    reading = Asked("reading", tr("Its pressure"), capital(words), told, scale, line=name)
    told = tr("Where does the highest pressure stand?")
    return reading, Asked("highest", tr("Where it is highest"), tr("the pressure"), told, scale, line=name)


def _of_actuator(rig: Rig, name: str, role: Actuator) -> Iterable[Asked]:
    label, line = part_label(rig, name), rig.line_of(name, role.output).name
    scale = Scale("speed" if role.linear else "shaft speed", 0.0)  # ends where the run says
    told = tr("How fast does the {name} move?").format(name=label)
    yield Asked("reading", tr("How fast it moves"), capital(label), told, scale, line=line, part=name)
    if role.linear:
        told = tr("How long does the {name} take to its end?").format(name=label)
        yield Asked("time", tr("How long it takes"), capital(label), told, Scale("time", 0.0), line=line, part=name)
    if len(_functions(rig)) > 1:
        told = tr("Which of them moves first?")
        yield Asked("first", tr("Which moves first"), tr("the functions"), told, line=line, part=name)


def _functions(rig: Rig) -> dict[str, tuple[str, ...]]:
    """Return the levers that move something, and what each moves."""
    found = {f"{section}.lever": moved_by(rig, section) for section in rig.having(DirectionalValve)}
    return {control: ids for control, ids in found.items() if ids}


# -- a question of it ------------------------------------------------------------------------------------------------


def make(session: Session, asked: Asked, hands: Mapping[str, float], figures: bool = False) -> Question | str:
    """Return the question, or why it cannot be put; the run is gone through ahead, and nothing of it is shown.

    Without ``hands`` it is asked of the instant that is shown. Raises SolverError.
    """
    kinds: dict[str, Callable[[Session, Asked, Mapping[str, float]], Question | str]] = {
        "reading": _reading, "time": _time, "first": _first, "highest": _highest,
    }  # fmt: skip
    made = kinds[asked.kind](session, asked, hands)
    if isinstance(made, str):
        return made
    return replace(made, figures=figures and made.asked.kind in ("reading", "time"))


def _situation(rig: Rig, hands: Mapping[str, float], at: Instant | None = None, begin: float = 0.0) -> str:
    """Return what is done, and for a reading when it is read: ``at`` an instant of the run that began then [s]."""
    if not hands:
        return tr("The machine stands frozen as you see it.")
    if at is not None:
        when = {
            True: tr("After {seconds:.1f} s, while it moves:"),
            False: tr("After {seconds:.1f} s, at its end:"),
            None: tr("After {seconds:.1f} s:"),
        }[at.moving]
        return f"{_situation(rig, hands)} {when.format(seconds=at.then.time - begin)}"
    if len(hands) > 1:
        return tr("The levers go at once: {told}.").format(told=hands_words(rig, hands))
    ((control, goal),) = hands.items()
    name = capital(lever_label(rig, control))
    return tr("The lever of {name} goes to {percent}.").format(name=name, percent=percent(goal))


def hands_words(rig: Rig, hands: Mapping[str, float]) -> str:
    """Return where levers go: "Boom 100 %, Stick 100 %"; no line breaks within one."""
    told = (f"{capital(lever_label(rig, control))} {percent(goal)}" for control, goal in hands.items())
    return ", ".join(one.replace(" ", "\u00a0") for one in told)


def _ahead(session: Session, hands: Mapping[str, float]) -> Session:
    ahead = session.ahead()
    for control, goal in hands.items():
        ahead.set_control(control, goal)
    return ahead


def _apart(options: list[Option], more: Iterable[Option], apart: float, most: float = math.inf) -> list[Option]:
    """Return options with more of them that no instrument would confuse with one before, up to a letter each."""
    for one in more:
        near = any(abs(one.value - other.value) < apart for other in options)
        if not near and len(options) < len(LETTERS) and one.value <= most:
            options.append(one)
    return options


_TOO_FEW = mark("Too few answers differ enough from the reading here. Ask for another place, or another lever.")


def _reading(session: Session, asked: Asked, hands: Mapping[str, float]) -> Question | str:
    rig, start = session.rig, session.readings
    at = _instant(session, asked, hands)
    before, then = at.course[0], at.course[-1]
    scale = asked.scale
    assert scale is not None
    if not scale.end:
        scale = replace(scale, end=max(2.0 * then, 2.0 * before, 1e-3))
        asked = replace(asked, scale=scale)
    control = next(iter(hands), "")
    relief = _of_relief(rig, asked, at, then)
    wrong = tuple(
        slips(rig, scale.quantity, before, control, at.then, opened_limiters(rig, at.then) if relief else ())
    )
    right = Option(then, _reason(scale.quantity, control, at, relief), "", right=True)
    options = _apart([right], wrong, scale.apart, 1.02 * scale.end)
    if len(options) < 3:
        return tr(_TOO_FEW)
    options.sort(key=lambda option: -option.value)
    return Question(
        asked, hands, session.time, at.then.time, _situation(rig, hands, at, session.time), tuple(options),
        *_seen(at.course, scale), before, then, _working(rig, asked, start, at.then), wrong,
    )  # fmt: skip


def _instant(session: Session, asked: Asked, hands: Mapping[str, float]) -> Instant:
    """Return the instant that a reading is asked of: of the run ahead, or the one that is shown."""
    if not hands:
        return Instant(session.readings, (asked.read(session.readings),), None)

    def error(course: Sequence[float]) -> float:
        assert asked.scale is not None
        return asked.scale.error * (asked.scale.end or max(course))

    return find_instant(_ahead(session, hands), hands, asked.read, error)


def _of_relief(rig: Rig, asked: Asked, at: Instant, value: float) -> bool:
    """Whether a pressure [Pa] is that of a relief: nothing moves, and it lets oil go from there."""
    if at.moving or asked.scale is None or asked.scale.quantity != "pressure":
        return False
    limiters = rig.having(PressureLimiter)
    inlets = (rig.line_of(id_, limiters[id_].inlet).name for id_ in opened_limiters(rig, at.then))
    return any(abs(value - at.then.pressure(line)) < 0.1 * at.then.pressure(line) for line in inlets)


def _seen(course: Sequence[float], scale: Scale) -> tuple[tuple[str, ...], int]:
    """Return what may have been seen of a reading, in words, and which of it was so as far as the scale tells."""
    did = what_it_did(course, scale.error * scale.end)
    ids = offered(did, len(course))
    return tuple(SEEN[id_] for id_ in ids), ids.index(did)


def _reason(quantity: str, control: str, at: Instant, relief: bool) -> str:
    if relief:
        return tr("nothing moves, so the relief lets the oil go")
    if control and at.moving is False:
        return tr("it stands and takes no oil")
    if quantity == "pressure":
        return tr("what load and passages ask")
    if quantity == "flow":
        return tr("what goes this way")
    return tr("by the oil that gets in") if control else tr("what is measured")


def _working(rig: Rig, asked: Asked, start: Live, end: Live) -> tuple[tuple[str, float, float], ...]:
    """Return what was asked beside the same at the pump, before and then."""
    rows = [(asked.name, asked.read(start), asked.read(end))]
    line = pump_line(rig)
    if asked.scale is not None and asked.scale.quantity == "pressure" and line:
        own = asked.instrument.on if asked.instrument is not None else asked.line
        if own != line:
            rows.append((tr("pump's line"), start.pressure(line), end.pressure(line)))
    return tuple(rows)


def _time(session: Session, asked: Asked, hands: Mapping[str, float]) -> Question | str:
    """How long a cylinder takes to the end of its way."""
    if not hands:
        return tr("A time needs a run: click the lever on the side it goes to.")
    rig, ahead = session.rig, _ahead(session, hands)
    places = [session.readings.place(asked.line)]
    while ahead.time - session.time < LONGEST:
        ahead.advance(_STEP)
        places.append(ahead.readings.place(asked.line))
        moved = abs(places[-1] - places[0]) > _MOVED["speed"]
        if moved and len(places) > _STILL and abs(places[-1] - places[-_STILL]) < 1e-4:
            break
    else:
        return tr("It is at no end after {seconds:.0f} s. Ask how fast it moves, or bring it nearer.").format(
            seconds=LONGEST
        )
    there = next(k for k, place in enumerate(places) if abs(place - places[-1]) < 1e-3)
    took, way = there * _STEP, places[-1] - places[0]
    wrong = tuple(of_time(rig, asked.part, took, way, ahead.readings))
    scale = Scale("time", 2.0 * took)
    options = _apart(
        [Option(took, tr("by the oil that gets in"), "", right=True)],
        wrong,
        max(scale.apart, 0.15 * took),
    )
    if len(options) < 3:
        return tr(_TOO_FEW)
    asked = replace(asked, scale=replace(scale, end=max(option.value for option in options)))
    options.sort(key=lambda option: -option.value)
    half = abs(places[there // 2] - places[0])
    early, late = half, abs(way) - half
    pace = 1 if late < 0.8 * early else 2 if early < 0.8 * late else 0
    return Question(
        asked, hands, session.time, ahead.time, _situation(rig, hands), tuple(options), _PACES, pace, then=took,
        known=wrong,
    )  # fmt: skip


def _first(session: Session, asked: Asked, hands: Mapping[str, float]) -> Question | str:
    """Which of several functions moves first when their levers go at once."""
    rig, functions = session.rig, _functions(session.rig)
    hands = {control: goal for control, goal in hands.items() if control in functions}
    if len(hands) < 2:
        return tr("Click two levers or more, each on the side it goes to, then put the question.")
    ahead = _ahead(session, hands)
    outputs: dict[str, tuple[str, str]] = {}
    for control in hands:
        part = functions[control][0]
        role = rig.parts[part].part.role
        assert isinstance(role, Actuator)
        outputs[control] = rig.line_of(part, role.output).name, "speed" if role.linear else "shaft speed"
    gone = dict.fromkeys(outputs, 0.0)  # a motor's shaft has no place of its own: its turns are summed up
    began: dict[str, float] = {}
    before = {line: ahead.readings.speed(line) for line, _ in outputs.values()}
    while ahead.time - session.time < FIRST:
        ahead.advance(_STEP)
        for control, (line, quantity) in outputs.items():
            speed = ahead.readings.speed(line)
            gone[control] += _STEP * (before[line] + speed) / 2
            before[line] = speed
            if control not in began and abs(gone[control]) > _MOVED[quantity]:
                began[control] = ahead.time - session.time
    if not began:
        return tr("None of them moves. Ask with other levers.")
    order = sorted(began, key=lambda control: began[control])
    together = len(order) > 1 and began[order[1]] - began[order[0]] < _TOGETHER
    options = [
        Option(began.get(control, math.inf), belief, why, not together and control == order[0], capital(word))
        for control, word, belief, why in of_first(rig, {c: functions[c] for c in hands}, began, ahead.readings)
    ][: len(LETTERS) - 1]
    told = tr("Each moves as soon as its own line has what its load asks, and the least is reached first.")
    options.append(
        Option(math.nan, tr("all get oil at once"), told, together, tr("All together")),
    )
    if not any(option.right for option in options):
        return tr(_TOO_FEW)
    seen = tuple(option.words for option in options)
    right = next(k for k, option in enumerate(options) if option.right)
    return Question(asked, hands, session.time, ahead.time, _situation(rig, hands), tuple(options), seen, right)


def _highest(session: Session, asked: Asked, hands: Mapping[str, float]) -> Question | str:
    """In which of some lines the highest pressure stands."""
    rig, at = session.rig, _instant(session, asked, hands)
    assert asked.scale is not None
    functions = _functions(rig)
    lines = dict.fromkeys([asked.line, pump_line(rig)])
    for id_ in [id_ for control in [*hands, *functions] for id_ in functions.get(control, ())]:
        role = rig.parts[id_].part.role
        assert isinstance(role, Actuator)
        lines |= dict.fromkeys(rig.line_of(id_, port).name for port in role.chambers)
    pressures = {name: at.then.pressure(name) for name in lines if name}
    highest = max(pressures, key=lambda name: pressures[name])
    options: list[Option] = []
    for name, belief, why in of_highest(rig, pressures, highest):
        if name == highest or pressures[highest] - pressures[name] >= asked.scale.apart:
            option = Option(pressures[name], belief, why, name == highest, capital(the_line(rig, name)))
            if option.right or len(options) < len(LETTERS) - (not any(one.right for one in options)):
                options.append(option)
    if len(options) < 3:
        return tr(_TOO_FEW)
    return Question(
        asked, hands, session.time, at.then.time, _situation(rig, hands, at, session.time),
        tuple(options[: len(LETTERS)]), *_seen(at.course, asked.scale),
    )  # fmt: skip
