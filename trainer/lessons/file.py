"""Lesson files: tasks as TOML 1.0, read as rig files are, with every fault found at once. Nothing in one is run.

``load`` gives a checked ``Lesson``; what only the engine can tell is wrong with one is found by
``trainer.lessons.checking``.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from typing import Any

from trainer import resources, units
from trainer.errors import RigError, nearest
from trainer.language import tr
from trainer.lessons import bank
from trainer.lessons.bank import Bank, read_slip
from trainer.lessons.filling import asked, quantity
from trainer.lessons.lesson import COVERS, MOST_HINTS, Exercise, Lesson, Run, Slip, Variation
from trainer.lessons.question_file import letters_of, read_question, texts_of
from trainer.lessons.readings import NoReading, Reading
from trainer.lessons.running import with_ranges
from trainer.lessons.tables import FORMAT, ExerciseTable, LessonTable, RunTable
from trainer.parts.part import Choice, Control, Parameter, State, Wear
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.levers import LeverScript
from trainer.rig.rig import Rig
from trainer.rig.tables import SCALES, flat, named, number, read_table
from trainer.rig.text import Faults, Where, parse, quoted, read_text, shown, what_is

__all__ = ["declared", "is_lesson", "load", "loads", "read"]

_OIL = {"temperature": ("-20 C", "110 C"), "air": ("0.01 %", "20 %")}
_FAR = 1e3  # times its nominal value, beyond which no state starts
_TIMES = re.compile(r"x\s?(\d{1,4}(?:\.\d{1,4})?)")
_LONGEST = 600.0  # s of a run
_STEPS = 5  # values of a number that varies between two


def is_lesson(text: str) -> bool:
    """Return whether a TOML text is one of a lesson, rather than of a rig; also one that has faults."""
    lines = [line.strip() for line in text.splitlines()]
    return any(line.startswith(("[exercises", "exercises.")) for line in lines)


def load(path: Path, of: Bank | None = None) -> Lesson:
    """Return the lesson in a file. Raises RigError with every fault found."""
    return loads(read_text(path), path, of)


def loads(text: str, path: Path, of: Bank | None = None) -> Lesson:
    """Return the lesson in the text of a file. Raises RigError with every fault found."""
    lesson, faults = read(text, path, of)
    faults.stop()
    return lesson


def read(text: str, path: Path, of: Bank | None = None) -> tuple[Lesson, Faults]:
    """Return what can be used of a lesson, and the faults of the rest. Raises RigError where nothing can be read."""
    source = str(path)
    document, faults = parse(text, source), Faults(source, text)
    version = document.get("format")
    if isinstance(version, int) and version != FORMAT:
        problem = tr("format {version} is not known here.").format(version=version)
        faults.add("wrong format", ["format"], problem, tr("Write format = {format}.").format(format=FORMAT))
        faults.stop()
    top = read_table(document, LessonTable, [], faults)
    known = _Known(path, of or bank.shipped(), top.get("depth", 1), tuple(top.get("outcomes", ())), faults)
    known.outcomes_of(known.outcomes, ["outcomes"])
    exercises: dict[str, Exercise] = {}
    for id_, raw in named(top.get("exercises", {}), "exercises", faults):
        if (made := known.exercise(id_, raw)) is not None:
            exercises[id_] = made
    if "exercises" in top and not top["exercises"]:
        faults.add("no tasks", ["exercises"], tr("there is no task."), tr("Add [exercises.NAME]."))
    lesson = Lesson(
        path.stem,
        top.get("title", ""),
        top.get("minutes", 1),
        known.depth,
        known.outcomes,
        exercises,
        top.get("before", "").strip(),
        source,
    )
    return lesson, faults


class _Known:
    """What stands above the tasks of a file, and rigs that are read once."""

    def __init__(self, path: Path, of: Bank, depth: int, outcomes: tuple[str, ...], faults: Faults) -> None:
        self.path, self.bank, self.depth, self.outcomes, self.faults = path, of, depth, outcomes, faults
        self._rigs: dict[str, Rig | None] = {}
        self._known_outcomes = bank.outcomes()

    def exercise(self, id_: str, raw: object) -> Exercise | None:
        """Return a task; None where it has a fault."""
        faults, where = self.faults, ["exercises", id_]
        before = len(faults.found)
        good = read_table(raw, ExerciseTable, where, faults)
        rig = self.rig(good.get("rig", ""), [*where, "rig"]) if "rig" in good else None
        if rig is None:
            return None
        ranges = self._ranges(good.get("ranges", {}), rig, [*where, "ranges"])
        ranged = with_ranges(rig, ranges)
        run = self._run(good, Run(), rig, where)
        runs = {
            name: self._run(
                read_table(one, RunTable, [*where, "runs", name], faults), run, rig, [*where, "runs", name]
            )
            for name, one in good.get("runs", {}).items()
        }
        readings = self._readings(good.get("readings", {}), runs, [*where, "readings"])
        slips = self._slips(good.get("slips", {}), [*where, "slips"])
        question = read_question(good.get("question", {}), [*where, "question"], ranged, self.bank, faults)
        cover = good.get("covered", COVERS[0])
        if cover not in COVERS:
            faults.add(
                "unknown word",
                [*where, "covered"],
                tr("{written} covers nothing known here.").format(written=quoted(cover)),
                tr("Write one of {options}.").format(options=", ".join(COVERS)),
            )
        outcomes = tuple(good.get("outcomes", self.outcomes))
        if "outcomes" in good:
            self.outcomes_of(outcomes, [*where, "outcomes"])
        reason = good.get("reason", "")
        if reason and reason not in self.bank.reasons:
            faults.add(
                "unknown reason",
                [*where, "reason"],
                tr("{written} is no reason in the bank.").format(written=quoted(reason)),
                nearest(reason, self.bank.reasons) or tr("Reasons are called K1, K2 …"),
            )
        moved = {track.control for one in (run, *runs.values()) for track in one.hands.tracks}
        vary = self._vary(good.get("vary", {}), rig, moved, [*where, "vary"])
        hints = tuple(good.get("hints", ()))
        if len(hints) > MOST_HINTS:
            faults.add("too many hints", [*where, "hints"], tr("a task has two hints."), tr("Take some out."))
        if question is None or len(faults.found) > before:
            return None
        made = Exercise(
            id_,
            good["rig"],
            rig,
            good["situation"].strip(),
            question,
            run,
            runs,
            good.get("minutes", 3),
            good.get("depth", self.depth),
            outcomes,
            tuple(good.get("beliefs", ())),
            cover,
            good.get("own_hands", False),
            ranges,
            readings,
            reason,
            slips,
            good.get("seen", ""),
            good["why"].strip(),
            good.get("caution", "").strip(),
            hints,
            self._working(good.get("working", []), rig, [*where, "working"]),
            vary,
            self._time(good["settles"], [*where, "settles"]) if "settles" in good else 0.3,
        )
        self._names(made, where)
        return made if len(faults.found) == before else None

    # -- what a task refers to -------------------------------------------------------------------------------------

    def rig(self, name: str, where: Where) -> Rig | None:
        """Return a rig by the name of a shipped one or of a file beside the lesson; None, with a fault noted."""
        if name not in self._rigs:
            self._rigs[name] = self._rig(name, where)
        return self._rigs[name]

    def _rig(self, name: str, where: Where) -> Rig | None:
        known = resources.rigs()
        try:
            if name in known:
                return rig_file.load(known[name])
            if name.lower().endswith(".toml") and (beside := self.path.parent / name).is_file():
                return rig_file.load(beside)
        except RigError as error:
            problem = tr("{rig} has a fault: {fault}").format(rig=quoted(name), fault=error.faults[0])
            self.faults.add("faulty rig", where, problem, tr("See spoolroom check {rig}.").format(rig=name))
            return None
        self.faults.add(
            "unknown rig",
            where,
            tr("{written} is no shipped rig and no file beside this lesson.").format(written=quoted(name)),
            nearest(name, known),
        )
        return None

    def outcomes_of(self, ids: tuple[str, ...], where: Where) -> None:
        """Note outcomes that are not in the list."""
        for id_ in ids:
            if id_ not in self._known_outcomes:
                self.faults.add(
                    "unknown outcome",
                    where,
                    tr("{written} is no outcome of the list.").format(written=quoted(id_)),
                    nearest(id_, self._known_outcomes) or tr("Outcomes are called O1, O2 …"),
                )

    def _slips(self, table: Mapping[str, Any], where: Where) -> tuple[Slip, ...]:
        found = []
        for id_, raw in table.items():
            known = self.bank.slips.get(id_)
            if known is None and not (isinstance(raw, dict) and {"idea", "why"} <= raw.keys()):
                self.faults.add(
                    "unknown slip",
                    [*where, id_],
                    tr("{written} is no wrong idea in the bank.").format(written=quoted(id_)),
                    nearest(id_, self.bank.slips) or tr("Take one of the bank, or say its idea and why here."),
                )
                continue
            if (slip := read_slip(raw, id_, [*where, id_], self.faults, known)) is not None:
                found.append(slip)
        return tuple(found)

    # -- runs ------------------------------------------------------------------------------------------------------

    def _run(self, good: Mapping[str, Any], base: Run, rig: Rig, where: Where) -> Run:
        numbers, words = self._numbers(good.get("numbers", {}), rig, [*where, "numbers"])
        start = self._starts(good.get("start", {}), rig, [*where, "start"])
        then = self._then(good.get("then", {}), rig, [*where, "then"])
        hands = base.hands
        if "hands" in good:
            hands = self._hands(good["hands"], rig, [*where, "hands"])
        begin = self._time(good["begin"], [*where, "begin"]) if "begin" in good else base.begin
        until = self._time(good["until"], [*where, "until"]) if "until" in good else base.until
        if not begin < until:
            self.faults.add(
                "time out of order",
                [*where, "until"],
                tr("the run ends before what is asked begins."),
                tr("Write until after begin."),
            )
        return Run(
            {**base.numbers, **numbers}, {**base.words, **words}, {**base.start, **start}, {**base.then, **then},
            hands, begin, until,
        )  # fmt: skip

    def _hands(self, text: str, rig: Rig, where: Where) -> LeverScript:
        try:
            return levers.loads(text, self.faults.source).checked(rig)
        except RigError as error:
            for fault in error.faults:
                self.faults.add(fault.kind, where, f"{fault.where}: {fault.problem}", fault.remedy)
            return LeverScript()

    def _time(self, written: str, where: Where) -> float:
        found = number(written, "time", "0 s", f"{_LONGEST:g} s", where, self.faults)
        return 0.0 if found is None else found

    def _numbers(self, table: Mapping[str, Any], rig: Rig, where: Where) -> tuple[dict[str, float], dict[str, str]]:
        found: dict[str, float] = {}
        words: dict[str, str] = {}
        for key, written in flat(table):
            at = [*where, key]
            part, _, own = key.partition(".")
            choice = rig.parts[part].part.declared(Choice).get(own) if part in rig.parts else None
            if choice is not None:
                if written in choice.options:
                    words[key] = written
                else:
                    self.faults.add(
                        "unknown word",
                        at,
                        tr("{written} is no choice here.").format(written=quoted(written)),
                        tr("Write one of {options}.").format(options=", ".join(choice.options)),
                    )
            elif (value := self._number(key, written, rig, at, True)) is not None:
                found[key] = value
        return found, words

    def _number(self, key: str, written: Any, rig: Rig, where: Where, control: bool = False) -> float | None:
        """Return a number of a rig [SI]; None, with a fault noted, where there is none or it is out of its range."""
        known = _declared(rig, control)
        if key not in known:
            self._unknown(key, known, where)
            return None
        if not isinstance(written, (str, int, float)) or isinstance(written, bool):
            self.faults.add(
                "wrong type",
                where,
                tr("{value} cannot be used.").format(value=what_is(written)),
                tr('Write a number with its unit, such as "80 mm".'),
            )
            return None
        part, _, own = key.partition(".")
        declared = rig.parts[part].part.declared(Wear).get(own) if part in rig.parts else None
        times = _TIMES.fullmatch(written.strip()) if isinstance(written, str) and declared is not None else None
        if times is not None:  # worn: so many times what the rig has
            value = f"{rig.value(part, own) * float(times[1]):.9g} {_symbol(known[key][0])}".strip()
            return number(value, *known[key], where, self.faults)
        return number(written, *known[key], where, self.faults)

    def _unknown(self, key: str, known: Iterable[str], where: Where) -> None:
        known = set(known)
        own = {name for name in known if name.partition(".")[0] == key.partition(".")[0]} or known
        self.faults.add(
            "unknown number",
            where,
            tr("this rig has no {written}.").format(written=quoted(key)),
            nearest(key, own) or tr("Write part and name, such as 1W1.mass."),
        )

    def _then(self, table: Mapping[str, Any], rig: Rig, where: Where) -> dict[str, float]:
        found = {}
        for key, written in flat(table):
            if key == "oil.air":
                self._unknown(key, [name for name in _declared(rig, True) if name != key], [*where, key])
            else:
                found[key] = self._number(key, written, rig, [*where, key], True)
        return {key: value for key, value in found.items() if value is not None}

    def _starts(self, table: Mapping[str, Any], rig: Rig, where: Where) -> dict[str, float]:
        known = rig.starts()
        found = {}
        for key, written in flat(table):
            declared = known.get(key)
            if declared is None:
                self._unknown(key, known, [*where, key])
                continue
            low, high = _limits(declared)
            if (value := number(written, declared.quantity, low, high, [*where, key], self.faults)) is not None:
                found[key] = value
        return found

    def _ranges(self, table: Mapping[str, Any], rig: Rig, where: Where) -> dict[str, float]:
        found = {}
        for name, written in table.items():
            item = rig.instruments.get(name)
            if item is None:
                self._unknown(name, rig.instruments, [*where, name])
            elif (value := number(written, *SCALES[item.kind], [*where, name], self.faults)) is not None:
                found[name] = value
        return found

    def _varied(self, key: str, written: Any, rig: Rig, where: Where) -> float | None:
        """Return a value of what varies [SI]: a number of the rig, or where a part of it starts."""
        if key in rig.states():
            return self._starts({key: written}, rig, where[:-1]).get(key)
        return self._number(key, written, rig, where, True)

    def _vary(
        self, table: Mapping[str, Any], rig: Rig, moved: Collection[str], where: Where
    ) -> tuple[Variation, ...]:
        found = []
        for key, raw in flat(table):
            at = [*where, key]
            if not isinstance(raw, list) or len(raw) < 2:
                self.faults.add(
                    "wrong type",
                    at,
                    tr("{value} cannot be used.").format(value=what_is(raw)),
                    tr('Write from and to, such as ["220 kg", "300 kg"], or three values and more.'),
                )
                continue
            if key in moved:
                self.faults.add(
                    "varied and moved",
                    at,
                    tr("the hands of this task set it, whatever a seat has."),
                    tr("Take it out of the lever script, or out of vary."),
                )
                continue
            values = [self._varied(key, one, rig, at) for one in raw]
            real = [value for value in values if value is not None]
            if len(real) == len(raw):
                if len(real) == 2:
                    low, high = real
                    real = [low + (high - low) * k / (_STEPS - 1) for k in range(_STEPS)]
                found.append(Variation(key, tuple(real)))
        return tuple(found)

    # -- readings, and whether everything that is named is there ---------------------------------------------------

    def _readings(self, table: Mapping[str, Any], runs: Mapping[str, Run], where: Where) -> dict[str, Reading]:
        found = {}
        for letter, words in table.items():
            at = [*where, letter]
            if not (letter[:1].isalpha() and letter.isidentifier()):
                self.faults.add(
                    "bad name",
                    at,
                    tr("{written} is no letter of a formula.").format(written=quoted(letter)),
                    tr("Begin with a letter, then letters and digits, such as p1."),
                )
                continue
            if not isinstance(words, str):
                self.faults.add(
                    "wrong type", at, tr("{value} cannot be used.").format(value=what_is(words)),
                    tr('Write what is read, such as "pressure P1".'),
                )  # fmt: skip
                continue
            try:
                reading = Reading.of(words)
            except NoReading as error:
                self.faults.add("bad reading", at, error.problem, error.remedy)
                continue
            if reading.run and reading.run not in runs:
                self.faults.add(
                    "unknown run",
                    at,
                    tr("there is no run {written}.").format(written=quoted(reading.run)),
                    nearest(reading.run, runs) or tr("Describe it under runs."),
                )
                continue
            found[letter] = reading
        return found

    def _working(self, found: list[str], rig: Rig, where: Where) -> tuple[tuple[str, str], ...]:
        pairs = []
        for one in found:
            kind, _, name = one.partition(" ")
            there = {"part": rig.parts, "line": rig.lines, "instrument": rig.instruments}.get(kind, {})
            if name in there:
                pairs.append((kind, name))
            else:
                self.faults.add(
                    "unknown place",
                    where,
                    tr("{written} cannot be opened.").format(written=quoted(one)),
                    nearest(name, there) or tr('Write "part 1A1", "line P1" or "instrument P1".'),
                )
        return tuple(pairs)

    def _names(self, made: Exercise, where: Where) -> None:
        """Note letters and numbers that formulas and texts name and that are not there."""
        letters: set[str] = set()
        for slip in made.slips:
            letters |= slip.formula.letters if slip.formula is not None else set()
        letters |= letters_of(made.question) | ({made.seen} if made.seen else set())
        for letter in sorted(letters - made.readings.keys()):
            self.faults.add(
                "unknown letter",
                where,
                tr("{written} is none of its readings.").format(written=quoted(letter)),
                nearest(letter, made.readings) or tr("Describe it under readings."),
            )
        own = _declared(made.rig, True).keys()
        numbers = made.readings.keys() | own | {f"{name} in {run}" for name in own for run in made.runs}
        texts = [made.situation, made.why, *made.hints, made.caution, *texts_of(made.question)]
        texts += [text for slip in made.slips for text in (slip.idea, slip.why)]
        for name in sorted({name for text in texts for name in asked(text)} - numbers - {"N", "most", "unit"}):
            if quantity(name) is not None:
                continue
            self.faults.add(
                "unknown number",
                where,
                tr("a text names {{{name}}}, which is no reading and no number of the rig.").format(name=shown(name)),
                nearest(name, numbers),
            )


def declared(rig: Rig) -> dict[str, str]:
    """Return the quantities of the numbers of a rig, by "part.parameter"."""
    return {name: told[0] for name, told in _declared(rig, True).items()}


def _declared(rig: Rig, control: bool) -> dict[str, tuple[str, str, str]]:
    """Return the numbers of a rig by "part.parameter": quantity, and its limits as they are written."""
    found = {}
    for id_, fitted in rig.parts.items():
        for name, parameter in fitted.part.declared(Parameter).items():
            found[f"{id_}.{name}"] = (parameter.quantity, *parameter.range_written)
        if control:
            for name, declared in fitted.part.declared(Control).items():
                found[f"{id_}.{name}"] = (declared.quantity, *_limits(declared))
    for name, ends in _OIL.items():
        found[f"oil.{name}"] = ("temperature" if name == "temperature" else "ratio", *ends)
    return found


def _limits(declared: State | Control) -> tuple[str, str]:
    low, high = (
        (-_FAR * declared.nominal, _FAR * declared.nominal)
        if isinstance(declared, State)
        else (declared.low, declared.high)
    )
    symbol = _symbol(declared.quantity)
    return f"{low:.9g} {symbol}".strip(), f"{high:.9g} {symbol}".strip()


def _symbol(quantity: str) -> str:
    """Return the symbol of the SI unit of a quantity, "" of a plain number."""
    return units.symbols_of(quantity)[0] if quantity != "ratio" else ""
