"""Lesson files: tasks as TOML 1.0, read as rig files are, with every fault found at once. Nothing in one is run.

``load`` gives a checked ``Lesson``; what only the engine can tell is wrong with one is found by
``trainer.lessons.checking``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from trainer.errors import nearest
from trainer.language import tr
from trainer.lessons import bank
from trainer.lessons.bank import Bank, read_slip
from trainer.lessons.filling import asked, quantity
from trainer.lessons.lesson import COVERS, MOST_HINTS, Exercise, Lesson, Run, Slip, Variation
from trainer.lessons.question_file import letters_of, read_question, texts_of
from trainer.lessons.run_file import RunReader, numbers_of
from trainer.lessons.running import with_ranges
from trainer.lessons.tables import FORMAT, ExerciseTable, LessonTable, RunTable
from trainer.rig.rig import Rig
from trainer.rig.tables import flat, named, read_table
from trainer.rig.text import Faults, Where, parse, quoted, read_text, require_format, shown, what_is

__all__ = ["is_lesson", "load", "loads", "read"]

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
    require_format(document, FORMAT, faults)
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
    """What stands above the tasks of a file."""

    def __init__(self, path: Path, of: Bank, depth: int, outcomes: tuple[str, ...], faults: Faults) -> None:
        self.bank, self.depth, self.outcomes, self.faults = of, depth, outcomes, faults
        self.reader = RunReader(path, faults)
        self._known_outcomes = bank.outcomes()

    def exercise(self, id_: str, raw: object) -> Exercise | None:
        """Return a task; None where it has a fault."""
        faults, where = self.faults, ["exercises", id_]
        before = len(faults.found)
        good = read_table(raw, ExerciseTable, where, faults)
        rig = self.reader.rig(good.get("rig", ""), [*where, "rig"]) if "rig" in good else None
        if rig is None:
            return None
        ranges = self.reader.ranges(good.get("ranges", {}), rig, [*where, "ranges"])
        ranged = with_ranges(rig, ranges)
        run = self.reader.run(good, Run(), rig, where)
        runs = {
            name: self._other_run(one, run, rig, [*where, "runs", name]) for name, one in good.get("runs", {}).items()
        }
        readings = self.reader.readings(good.get("readings", {}), runs, [*where, "readings"])
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
            self.reader.time(good["settles"], [*where, "settles"]) if "settles" in good else 0.3,
        )
        self._names(made, where)
        return made if len(faults.found) == before else None

    # -- what a task refers to -------------------------------------------------------------------------------------

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

    def _other_run(self, raw: object, run: Run, rig: Rig, where: Where) -> Run:
        """Return a run to compare with, from what it says that is different."""
        good = read_table(raw, RunTable, where, self.faults)
        other = self.reader.rig(good["rig"], [*where, "rig"]) if "rig" in good else None
        if other is None:
            return self.reader.run(good, run, rig, where)
        base = self.reader.on(other, run, where, own_hands="hands" in good)
        return replace(self.reader.run(good, base, other, where), rig=other)

    def _varied(self, key: str, written: Any, rig: Rig, where: Where) -> float | None:
        """Return a value of what varies [SI]: a number of the rig, or where a part of it starts."""
        if key in rig.states():
            return self.reader.starts({key: written}, rig, where[:-1]).get(key)
        return self.reader.number(key, written, rig, where, True)

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
        numbers = made.readings.keys() | numbers_of(made.rig, True).keys()
        for name, run in made.runs.items():
            numbers |= {f"{number} in {name}" for number in numbers_of(made.rig_in(run), True)}
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
