"""What a task says of its runs, read so that every fault is found: rig, numbers, start, hands, readings.

Lessons and tasks of lever practice are read by it alike.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from trainer import resources, units
from trainer.errors import RigError, nearest
from trainer.language import tr
from trainer.lessons.lesson import Run
from trainer.lessons.readings import NoReading, Reading
from trainer.parts.part import Choice, Control, Parameter, State, Wear
from trainer.rig import file as rig_file
from trainer.rig import levers
from trainer.rig.levers import LeverScript
from trainer.rig.rig import Rig
from trainer.rig.tables import SCALES, flat, number
from trainer.rig.text import Faults, Where, quoted, what_is

__all__ = ["RunReader", "declared", "numbers_of"]

_OIL = {"temperature": ("-20 C", "110 C"), "air": ("0.01 %", "20 %")}
_FAR = 1e3  # times its nominal value, beyond which no state starts
_TIMES = re.compile(r"x\s?(\d{1,4}(?:\.\d{1,4})?)")
_LONGEST = 600.0  # s of a run


@lru_cache(maxsize=64)
def _shipped(path: Path) -> Rig:
    """Return a shipped rig; all lessons and tasks of one on it share it."""
    return rig_file.load(path)


class RunReader:
    """Reads the runs of one file; a rig is read once. What is wrong is noted among the ``faults`` of the file."""

    def __init__(self, path: Path, faults: Faults) -> None:
        self.path, self.faults = path, faults
        self._rigs: dict[str, Rig | None] = {}

    def rig(self, name: str, where: Where) -> Rig | None:
        """Return a rig by the name of a shipped one or of a file beside the one read; None, with a fault noted."""
        if name not in self._rigs:
            self._rigs[name] = self._rig(name, where)
        return self._rigs[name]

    def _rig(self, name: str, where: Where) -> Rig | None:
        known = resources.rigs()
        try:
            if name in known:
                return _shipped(known[name])
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

    def run(self, good: Mapping[str, Any], base: Run, rig: Rig, where: Where) -> Run:
        """Return a run from the entries of its table; what they do not say is as in another run."""
        numbers, words = self.numbers(good.get("numbers", {}), rig, [*where, "numbers"])
        start = self.starts(good.get("start", {}), rig, [*where, "start"])
        then = self.then(good.get("then", {}), rig, [*where, "then"])
        hands = base.hands
        if "hands" in good:
            hands = self.hands(good["hands"], rig, [*where, "hands"])
        begin = self.time(good["begin"], [*where, "begin"]) if "begin" in good else base.begin
        until = self.time(good["until"], [*where, "until"]) if "until" in good else base.until
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

    def on(self, rig: Rig, run: Run, where: Where, own_hands: bool) -> Run:
        """Return what of a run can be on another rig: the numbers and starts that this one has, too, and the hands.

        ``own_hands``: it has hands of its own, and those of the run are left out.
        """
        numbers, states = numbers_of(rig, True), rig.starts()
        hands = LeverScript()
        if not own_hands:
            try:
                hands = run.hands.checked(rig)
            except RigError as error:
                for fault in error.faults:
                    self.faults.add(fault.kind, [*where, "rig"], f"{fault.where}: {fault.problem}", fault.remedy)
        return replace(
            run,
            numbers={name: value for name, value in run.numbers.items() if name in numbers},
            words={name: word for name, word in run.words.items() if _chooses(rig, name)},
            start={name: value for name, value in run.start.items() if name in states},
            then={name: value for name, value in run.then.items() if name in numbers},
            hands=hands,
        )

    def hands(self, text: str, rig: Rig, where: Where) -> LeverScript:
        """Return the lever script in a text of the file."""
        try:
            return levers.loads(text, self.faults.source).checked(rig)
        except RigError as error:
            for fault in error.faults:
                self.faults.add(fault.kind, where, f"{fault.where}: {fault.problem}", fault.remedy)
            return LeverScript()

    def time(self, written: str, where: Where) -> float:
        """Return a time [s] of at most ten minutes."""
        found = number(written, "time", "0 s", f"{_LONGEST:g} s", where, self.faults)
        return 0.0 if found is None else found

    def numbers(self, table: Mapping[str, Any], rig: Rig, where: Where) -> tuple[dict[str, float], dict[str, str]]:
        """Return numbers [SI] and choices of a rig by "part.name"."""
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
            elif (value := self.number(key, written, rig, at, True)) is not None:
                found[key] = value
        return found, words

    def number(self, key: str, written: Any, rig: Rig, where: Where, control: bool = False) -> float | None:
        """Return a number of a rig [SI]; None, with a fault noted, where there is none or it is out of its range."""
        known = numbers_of(rig, control)
        if key not in known:
            self.unknown(key, known, where)
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
        degrees = declared.degrees(rig.value(part, own)) if declared is not None else {}
        return number(written, *known[key], where, self.faults, degrees)

    def unknown(self, key: str, known: Iterable[str], where: Where) -> None:
        """Note a number that a rig does not have."""
        known = set(known)
        own = {name for name in known if name.partition(".")[0] == key.partition(".")[0]} or known
        self.faults.add(
            "unknown number",
            where,
            tr("this rig has no {written}.").format(written=quoted(key)),
            nearest(key, own) or tr("Write part and name, such as 1W1.mass."),
        )

    def then(self, table: Mapping[str, Any], rig: Rig, where: Where) -> dict[str, float]:
        """Return what is set once the run has settled [SI]."""
        found = {}
        for key, written in flat(table):
            if key == "oil.air":
                self.unknown(key, [name for name in numbers_of(rig, True) if name != key], [*where, key])
            else:
                found[key] = self.number(key, written, rig, [*where, key], True)
        return {key: value for key, value in found.items() if value is not None}

    def starts(self, table: Mapping[str, Any], rig: Rig, where: Where) -> dict[str, float]:
        """Return where the states of a rig start [SI]."""
        known = rig.starts()
        found = {}
        for key, written in flat(table):
            declared = known.get(key)
            if declared is None:
                self.unknown(key, known, [*where, key])
                continue
            low, high = _limits(declared)
            if (value := number(written, declared.quantity, low, high, [*where, key], self.faults)) is not None:
                found[key] = value
        return found

    def ranges(self, table: Mapping[str, Any], rig: Rig, where: Where) -> dict[str, float]:
        """Return other ends of scales [SI] by instrument."""
        found = {}
        for name, written in table.items():
            item = rig.instruments.get(name)
            if item is None:
                self.unknown(name, rig.instruments, [*where, name])
            elif (value := number(written, *SCALES[item.kind], [*where, name], self.faults)) is not None:
                found[name] = value
        return found

    def readings(self, table: Mapping[str, Any], runs: Mapping[str, Run], where: Where) -> dict[str, Reading]:
        """Return readings by their letters."""
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


def _chooses(rig: Rig, name: str) -> bool:
    part, _, own = name.partition(".")
    return part in rig.parts and own in rig.parts[part].part.declared(Choice)


def declared(rig: Rig) -> dict[str, str]:
    """Return the quantities of the numbers of a rig, by "part.parameter"."""
    return {name: told[0] for name, told in numbers_of(rig, True).items()}


def numbers_of(rig: Rig, control: bool) -> dict[str, tuple[str, str, str]]:
    """Return the numbers of a rig by "part.parameter": quantity, and its limits as they are written.

    ``control``: controls among them.
    """
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
