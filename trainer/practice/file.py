"""Task files of lever practice: TOML 1.0, read as lessons are, with every fault found at once. Nothing in one is run.

``load`` gives a checked ``Task``; what only the engine can tell is wrong with one is found by
``trainer.practice.checking``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from trainer import resources, units
from trainer.errors import UnitError, nearest
from trainer.language import tr
from trainer.lessons.filling import asked, quantity
from trainer.lessons.formulas import Condition
from trainer.lessons.lesson import Run
from trainer.lessons.run_file import RunReader
from trainer.practice.advising import RULES
from trainer.practice.catalogue import MEASURES
from trainer.practice.tables import FORMAT, BandTable, LapTable, RolesTable, StopTable, TaskTable
from trainer.practice.task import AIDS, COVERS, Bands, Given, Lap, Roles, Stop, Task
from trainer.rig.rig import Rig
from trainer.rig.tables import read_table
from trainer.rig.text import Faults, Where, parse, quoted, read_text, require_format, what_is

__all__ = ["is_task", "ladder", "load", "loads", "read"]

_KINDS = ("error", "quality", "time")  # of the measures that are shown
_NEEDED = ("rig", "levers", "readings", "done", "shown", "bands", "headline")


def is_task(text: str) -> bool:
    """Return whether a TOML text is one of a task of lever practice; also one that has faults."""
    keys = {line.partition("=")[0].strip() for line in text.splitlines() if "=" in line and not line.startswith(" ")}
    return {"code", "goal"} <= keys


def ladder() -> list[Task]:
    """Return the shipped tasks in their order. Raises RigError for one with a fault."""
    return sorted((load(path) for path in resources.practice().values()), key=lambda task: task.order)


def load(path: Path) -> Task:
    """Return the task in a file. Raises RigError with every fault found."""
    return loads(read_text(path), path)


def loads(text: str, path: Path) -> Task:
    """Return the task in the text of a file. Raises RigError with every fault found."""
    task, faults = read(text, path)
    faults.stop()
    return task


def read(text: str, path: Path) -> tuple[Task, Faults]:
    """Return what can be used of a task, and the faults of the rest. Raises RigError where nothing can be read."""
    source = str(path)
    document, faults = parse(text, source), Faults(source, text)
    require_format(document, FORMAT, faults)
    good = read_table(document, TaskTable, [], faults)
    task = Task(
        path.stem,
        good.get("code", ""),
        good.get("title", ""),
        good.get("goal", "").strip(),
        good.get("counts", ""),
        waits=good.get("waits", "").strip(),
        retention=good.get("retention", False),
        cautions=tuple(good.get("cautions", ())),
        source=source,
    )
    _require_numbers(task.goal, ["goal"], faults)
    if task.waits or task.retention:
        return task, faults
    missing = [key for key in _NEEDED if key not in document]
    for key in missing:
        faults.add(
            "missing key",
            tr("the file"),
            tr("'{key}' is missing.").format(key=key),
            tr("Add it; a task without a run says what it waits for, or retention = true."),
        )
    return (_Reader(path, faults).task(task, good) if not missing else task), faults


def _require_numbers(text: str, where: Where, faults: Faults) -> None:
    """Note what stands in the brackets of a text and is no number with its unit."""
    for name in asked(text):
        if quantity(name) is None:
            problem = tr("{name} is no number with its unit.").format(name=quoted(name))
            faults.add("bad number", where, problem, tr('Write one in the brackets, such as "{40 mm/s}".'))


class _Reader:
    """Reads one task file."""

    def __init__(self, path: Path, faults: Faults) -> None:
        self.faults = faults
        self.runs = RunReader(path, faults)

    def task(self, task: Task, good: Mapping[str, Any]) -> Task:
        """Return a task with all that its run needs."""
        rig = self.runs.rig(good["rig"], ["rig"]) if "rig" in good else None
        if rig is None:
            return task
        readings = self._readings(good.get("readings", {}))
        run = self.runs.run(good, Run(), rig, [])
        levers = self._levers(good.get("levers", []), rig, ["levers"])
        if good.get("levers") == []:
            remedy = tr('Write which levers it is done with, such as ["3V1.lever"].')
            self.faults.add("no lever", ["levers"], tr("nothing can be moved."), remedy)
        roles = self._roles(good.get("roles", {}), readings, levers, ["roles"])
        laps = self._laps(good.get("laps", {}), run, roles, readings, levers, rig)
        letters = {*readings, *roles.numbers(), *(name for lap in laps for name in lap.roles.numbers())}
        covered = good.get("covered", COVERS[0])
        self._known(covered, COVERS, ["covered"])
        gauge = good.get("gauge", "")
        if gauge:
            self._known(gauge, rig.instruments, ["gauge"])
        bands, names = self._bands(good.get("bands", {}))
        made = replace(
            task,
            rig_name=good["rig"],
            rig=rig,
            laps=laps,
            shuffled=good.get("shuffled", False),
            levers=levers,
            readings=readings,
            done=self._condition(good["done"], letters, ["done"]) if "done" in good else None,
            hold=self.runs.time(good.get("hold", "0.5 s"), ["hold"]),
            after=self.runs.time(good["after"], ["after"]) if "after" in good else 0.0,
            time=self.runs.time(good.get("time", "60 s"), ["time"]),
            stops=self._stops(good.get("stops", {}), letters),
            bands=bands,
            names=names,
            shown=tuple(good.get("shown", ())),
            headline=good.get("headline", "").strip(),
            aids=self._aids(good.get("aids", list(AIDS))),
            covered=covered,
            gauge=gauge,
            advice=self._advice(good.get("advice", {})),
        )
        self._measured(made)
        return made

    # -- words, letters, numbers -----------------------------------------------------------------------------------

    def _known(self, written: str, known: Collection[str], where: Where) -> bool:
        if written in known:
            return True
        self.faults.add(
            "unknown word",
            where,
            tr("{written} is not known here.").format(written=quoted(written)),
            nearest(written, known) or tr("Write one of {options}.").format(options=", ".join(sorted(known)[:12])),
        )
        return False

    def _readings(self, table: Mapping[str, Any]) -> dict[str, str]:
        found = {}
        for letter, reading in self.runs.readings(table, {}, ["readings"]).items():
            if reading.when != "end" or reading.what == "moves":
                self.faults.add(
                    "bad reading",
                    ["readings", letter],
                    tr("{words} is not read at every instant.").format(words=quoted(reading.words)),
                    tr('Write what is read and where, such as "place rod1".'),
                )
                continue
            found[letter] = reading.course
        return found

    def _levers(self, names: Iterable[str], rig: Rig, where: Where) -> tuple[str, ...]:
        known = [name for name in rig.controls() if name.endswith(".lever")]
        return tuple(name for name in names if self._known(name, known, where))

    def _number(self, written: str | float, where: Where) -> Given | None:
        try:
            quantity = units.quantity_of(written) if isinstance(written, str) else "ratio"
            return units.read(written, quantity), quantity
        except UnitError as error:
            self.faults.add("bad number", where, error.problem, error.remedy)
            return None

    def _condition(self, words: str, letters: Collection[str], where: Where) -> Condition | None:
        try:
            found = Condition.of(words)
        except ValueError as error:
            self.faults.add("bad formula", where, f"{error}.", tr('Write it as "x > target and v < moves".'))
            return None
        fine = [self._known(letter, letters, where) for letter in sorted(found.letters)]
        return found if all(fine) else None

    def _roles(
        self,
        table: Mapping[str, Any],
        readings: Collection[str],
        levers: Collection[str],
        where: list[str],
        base: Roles | None = None,
    ) -> Roles:
        good = read_table(table, RolesTable, where, self.faults)
        found: dict[str, Any] = {}
        for role, written in good.items():
            at = [*where, role]
            if role == "second":
                found[role] = written if self._known(written, levers, at) else ""
            elif role in ("path", "carried", "relief", "sway"):
                found[role] = tuple(letter for letter in written if self._known(letter, readings, at))
            elif role in ("band", "line", "spot", "fine"):
                found |= self._pair(role, [self._number(one, at) for one in written], at)
            elif role in ("target", "within", "link", "limit", "moves"):
                found[role] = self._number(written, at)
            else:
                found[role] = written if self._known(written, readings, at) else ""
        return replace(base or Roles(), **found)

    def _pair(self, role: str, numbers: list[Given | None], where: Where) -> dict[str, Any]:
        real = [one for one in numbers if one is not None]
        if len(real) < len(numbers):
            return {}
        rising = role in ("line", "spot") or (len(real) == 2 and real[0][0] < real[1][0])
        if len(real) % 2 or not real or not rising or len({quantity for _, quantity in real}) > 1:
            self.faults.add(
                "bad pair",
                where,
                tr("these are no two ends of one kind."),
                tr("Write the low end and the high one; of a line all axes of its begin, then of its end."),
            )
            return {}
        return {role: tuple(value for value, _ in real) if role == "fine" else tuple(real)}

    # -- laps, ends, limits ----------------------------------------------------------------------------------------

    def _laps(
        self, table: Mapping[str, Any], run: Run, roles: Roles, readings: Collection[str], levers: Collection[str],
        rig: Rig,
    ) -> tuple[Lap, ...]:  # fmt: skip
        found = []
        for name, raw in table.items():
            where = ["laps", name]
            good = read_table(raw, LapTable, where, self.faults)
            own = self._roles(good.get("roles", {}), readings, levers, [*where, "roles"], roles)
            _require_numbers(good.get("words", ""), [*where, "words"], self.faults)
            found.append(Lap(name, good.get("words", name), self.runs.run(good, run, rig, where), own))
        return tuple(found) or (Lap("", "", run, roles),)

    def _stops(self, table: Mapping[str, Any], letters: Collection[str]) -> tuple[Stop, ...]:
        found = []
        for name, raw in table.items():
            good = read_table(raw, StopTable, ["stops", name], self.faults)
            if good.keys() >= {"when", "words"}:
                when = self._condition(good["when"], letters, ["stops", name, "when"])
                if when is not None:
                    found.append(Stop(name, when, good["words"]))
        return tuple(found)

    def _bands(self, table: Mapping[str, Any]) -> tuple[dict[str, Bands], dict[str, str]]:
        bands: dict[str, Bands] = {}
        names: dict[str, str] = {}
        for id_, raw in table.items():
            where = ["bands", id_]
            if not self._known(id_, MEASURES, where):
                continue
            good = read_table(raw, BandTable, where, self.faults)
            if good.get("words"):
                names[id_] = good["words"]
            if not good.keys() >= {"practised", "usable"}:
                continue
            limits = [self._number(good[key], [*where, key]) for key in ("practised", "usable")]
            if limits[0] is None or limits[1] is None:
                continue
            better, worse = limits if MEASURES[id_].less else limits[::-1]
            assert better is not None
            assert worse is not None
            if not better[0] < worse[0]:
                self.faults.add(
                    "bad pair",
                    where,
                    tr("what is practised is not better than what is usable."),
                    tr("Write the stricter limit as practised."),
                )
                continue
            bands[id_] = Bands(limits[0], limits[1])
        return bands, names

    def _aids(self, written: Iterable[str]) -> tuple[str, ...]:
        found = [aid for aid in written if self._known(aid, AIDS, ["aids"])]
        return tuple(aid for aid in AIDS if aid in found)

    def _advice(self, table: Mapping[str, Any]) -> dict[str, str]:
        found = {}
        for rule, words in table.items():
            if not self._known(rule, RULES, ["advice", rule]):
                continue
            if not isinstance(words, str):
                problem = tr("{value} cannot be used.").format(value=what_is(words))
                self.faults.add("wrong type", ["advice", rule], problem, tr("Write a sentence."))
                continue
            found[rule] = words
        return found

    def _measured(self, task: Task) -> None:
        """Note measures that are shown and cannot be, or are told and are not there."""
        kinds = [MEASURES[id_].kind for id_ in task.shown if self._known(id_, MEASURES, ["shown"])]
        if len(kinds) == len(task.shown) and (sorted(kinds) != sorted(_KINDS) or kinds[0] == "time"):
            self.faults.add(
                "wrong measures",
                ["shown"],
                tr("three are shown: one of error, one of quality, one of time, and that one is never the first."),
                tr("Of error are {names}.").format(
                    names=", ".join(id_ for id_, one in MEASURES.items() if one.kind == "error")
                ),
            )
        wanted = [(id_, ["shown"]) for id_ in task.shown if id_ in MEASURES]
        wanted += [(id_, ["bands", id_]) for id_ in task.bands if id_ not in task.shown]
        wanted += [(id_, ["headline"]) for id_ in asked(task.headline) if self._known(id_, MEASURES, ["headline"])]
        for id_, where in wanted:
            for lap in task.laps:
                lacking = [name for name in MEASURES[id_].needs if not getattr(lap.roles, name)]
                if lacking:
                    self.faults.add(
                        "no such measure",
                        where,
                        tr("{measure} cannot be found without {roles}.").format(
                            measure=quoted(id_), roles=", ".join(lacking)
                        ),
                        tr("Say it under roles."),
                    )
                    break
        self._counted(task)
        for id_ in task.shown:
            if id_ in MEASURES and id_ not in task.bands:
                self.faults.add(
                    "no limits",
                    ["shown"],
                    tr("{measure} has no limits.").format(measure=quoted(id_)),
                    tr("Add bands.{measure} = {{ practised = …, usable = … }}.").format(measure=id_),
                )

    def _counted(self, task: Task) -> None:
        """Note places whose axes are not as many as those of what is compared with them."""
        for lap in task.laps:
            roles = lap.roles
            for where, axes, ends, times in (
                ("line", roles.path, roles.line, 2),
                ("spot", roles.carried, roles.spot, 1),
            ):
                if axes and ends and len(ends) != times * len(axes):
                    self.faults.add(
                        "bad pair",
                        ["roles", where],
                        tr("{count} numbers stand here for {axes} axes.").format(count=len(ends), axes=len(axes)),
                        tr("Write {count} of them.").format(count=times * len(axes)),
                    )
