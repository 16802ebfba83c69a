"""What is kept from run to run changes nothing but the time: the same bits with it and without."""

from __future__ import annotations

import os
import platform
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import casadi as ca
import numpy as np
import pytest
from cases import first

from trainer import private
from trainer.engine import kept
from trainer.engine.kept import Kept
from trainer.engine.machine_code import Equations, Translator
from trainer.engine.network import Network
from trainer.engine.session import FRAME, Session
from trainer.engine.solver import LIVE, RECORD, Solver
from trainer.errors import SolverError
from trainer.parts.part import Choice, Parameter
from trainer.parts.restrictors import Orifice
from trainer.rig.rig import Rig


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder that is not there yet."""
    return tmp_path / "starts"


def opened(rig: Rig, folder: Path, tolerance: float = LIVE) -> Session:
    """Return a session as a program that starts now has it; what it has found is kept for the next."""
    known = Kept(folder)
    session = Session(rig, tolerance, kept=known)
    known.write()
    return session


def found_all(session: Session) -> bool:
    """Whether nothing of a session had to be made."""
    return session.network.built is not None and session.network._columns is None


def moved(session: Session, calls: int) -> list[bytes]:
    """Return all that there is to know after each of some calls, every lever and speed stepping now and then."""
    random, known = np.random.default_rng(1), []
    for call in range(calls):
        if call % 20 == 0:
            for name, control in session.rig.controls().items():
                session.set_control(name, float(random.uniform(control.low, control.high)))
        session.advance(FRAME)
        now = session.readings
        known.append(b"".join(one.tobytes() for one in (now.x, now.pu, now.values, now.skin_temperatures)))
        known.append(session.totals.tobytes() + repr(session.temperature).encode())
    return known


def with_numbers(rig: Rig, change: Callable[[str, float], float]) -> Rig:
    """Return a rig whose parts have other numbers."""
    parts = {}
    for id_, fitted in rig.parts.items():
        known = fitted.part.declared(Parameter)
        values = {name: change(f"{id_}.{name}", fitted.value(name)) for name in known}
        parts[id_] = replace(fitted, values=values)
    return replace(rig, parts=parts)


def files(folder: Path, ending: str) -> set[str]:
    """Return the names of what is kept."""
    return {path.name for path in folder.glob(f"*{ending}")}


@pytest.mark.parametrize("name", first(1, ["bench", "loader"]))
def test_the_same_bits(name: str, folder: Path, request: pytest.FixtureRequest) -> None:
    rig: Rig = request.getfixturevalue(name)
    fresh = opened(rig, folder)
    assert not found_all(fresh)
    known = opened(rig, folder)
    assert found_all(known)
    assert (known.x.tobytes(), known.pu.tobytes()) == (fresh.x.tobytes(), fresh.pu.tobytes())
    assert (known.temperature, known.rough_calls, known.time) == (fresh.temperature, fresh.rough_calls, 0.0)
    assert moved(known, 120) == moved(fresh, 120)
    assert found_all(known)
    for what in known.network.columns.of:
        given = [known.x, known.pu, np.full(len(known.network.content_lines), 5e5)][: 2 + (what == "filled")]
        one, other = (session.network.function(what)(*given) for session in (known, fresh))
        assert one.tobytes() == other.tobytes(), what


def test_the_ways_out_of_the_solver_are_the_same(bench: Rig, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The emergency step, and what is said where not even that can be done."""
    sessions = opened(bench, folder), opened(bench, folder)
    for session in sessions:
        session.set_control("1V1.lever", 1.0)

    def fails(solver: Solver, z: object, pu: object) -> object:
        raise RuntimeError("CV_TOO_MUCH_WORK")

    monkeypatch.setattr(Solver, "_integrate", fails)
    for session in sessions:
        session.advance(FRAME)
        assert session.rough_calls == 1
    assert sessions[0].x.tobytes() == sessions[1].x.tobytes()
    monkeypatch.setattr(Solver, "_backward_euler", lambda solver, z, pu: None)
    told = []
    for session in sessions:
        with pytest.raises(SolverError) as error:
            session.advance(FRAME)
        told.append(str(error.value))
    assert told[0] == told[1]
    assert found_all(sessions[1])


def test_machine_code_is_looked_for_without_writing_the_equations_down(
    bench: Rig, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Their digest is kept with them, and is that of the functions that are read again."""
    known, again = (opened(bench, folder).solver for _ in range(2))
    assert again.network.built is not None
    assert again.network.built.equations == known.equations.digest == Equations.of(again._integrator).digest
    translator = Translator(Path(sys.executable), tmp_path)  # any file: nothing is begun
    wanted = translator.key(known.equations)
    monkeypatch.setattr(Equations, "written", lambda _: pytest.fail("written down"))
    assert translator.key(again.equations) == wanted
    (tmp_path / "kept").mkdir(0o700)
    translator.folder = tmp_path / "kept"
    private.write(translator.folder / f"{wanted}.so", b"kept")
    session = opened(bench, folder)
    assert session.solver.translate(translator, session.x, session.pu) is not None


def test_the_start_is_not_run_again(bench: Rig, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = opened(bench, folder)
    monkeypatch.setattr(Solver, "call", lambda *_: pytest.fail("a call of the solver"))
    assert opened(bench, folder).x.tobytes() == wanted.x.tobytes()


def test_what_is_the_machines_may_change_after_a_kept_start(bench: Rig, folder: Path) -> None:
    """Reset with another number finds the start of that machine, as it does without anything kept."""
    opened(bench, folder)
    starts = []
    for session in (opened(bench, folder), Session(bench)):
        session.set_parameter("0V1.setting", 60e5)
        session.reset()
        starts.append(session.x.tobytes())
    assert starts[0] == starts[1]


def test_a_changed_number_is_another_start_of_the_same_equations(bench: Rig, folder: Path) -> None:
    opened(bench, folder)
    other = with_numbers(bench, lambda name, value: value * (1.01 if name == "0V1.setting" else 1.0))
    assert other.value("0V1", "setting") != bench.value("0V1", "setting")
    session = opened(other, folder)
    assert found_all(session)
    assert session.x.tobytes() == Session(other).x.tobytes()
    assert len(files(folder, ".built")) == 1
    assert len(files(folder, ".start")) == 2


def test_equations_do_not_depend_on_numbers(bench: Rig) -> None:
    """Why one of what was built serves all numbers: with every one of them changed the functions are the same."""
    warmer = replace(bench.oil, temperature=60.0, air=0.01, density=880.0, viscosity=3e-5, stiffness=1.2e9)
    lines = {
        name: replace(line, volume=line.volume * 1.1, hose=line.hose * 1.2, stiffness=3e8, test_point=False)
        for name, line in bench.lines.items()
    }
    other = replace(with_numbers(bench, lambda name, value: value * 0.99), oil=warmer, lines=lines)
    one, same = Network(bench), Network(other)
    assert one.names == same.names
    assert one.written() == same.written()
    assert Solver(one).written() == Solver(same).written()


def _other_choice(rig: Rig) -> Rig:
    id_, fitted = next((i, f) for i, f in rig.parts.items() if f.part.declared(Choice))
    name, choice = next(iter(fitted.part.declared(Choice).items()))
    word = next(word for word in choice.options if word != fitted.choice(name))
    return replace(rig, parts={**rig.parts, id_: replace(fitted, choices={**fitted.choices, name: word})})


def _other_order(rig: Rig) -> Rig:
    return replace(rig, parts=dict(reversed([*rig.parts.items()])))


def _other_oil(rig: Rig) -> Rig:
    return replace(rig, oil=replace(rig.oil, air_index=1.3))


_OTHERS: Mapping[str, Callable[[Rig], Rig]] = {
    "another word at a part": _other_choice,
    "parts in another order": _other_order,
    "another law of the oil's air": _other_oil,
}


@pytest.mark.parametrize("what", _OTHERS)
def test_other_equations_are_built_anew(bench: Rig, folder: Path, what: str) -> None:
    opened(bench, folder)
    assert Kept(folder).built(_OTHERS[what](bench), LIVE) is None
    assert Kept(folder).built(bench, RECORD) is None
    assert Kept(folder).built(bench, LIVE) is not None


def test_a_part_that_is_not_ours_is_never_known(bench: Rig, folder: Path) -> None:
    """Its class may have another law the next time, and the same name."""

    class Foreign(Orifice):
        """An orifice of somebody else."""

    id_ = next(iter(bench.parts))
    rig = replace(bench, parts={**bench.parts, id_: replace(bench.parts[id_], part=Foreign)})
    known = Kept(folder)
    known.keep_built(rig, LIVE, lambda: pytest.fail("it is not to be kept"))
    known.write()
    assert not folder.exists()
    assert known.built(rig, LIVE) is None


@pytest.mark.parametrize("what", ["casadi", "numpy", "computer", "our own files"])
def test_other_versions_know_nothing_of_it(
    bench: Rig, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    opened(bench, folder)
    if what == "our own files":
        package = tmp_path / "trainer"
        shutil.copytree(kept._PACKAGE, package, ignore=shutil.ignore_patterns("__pycache__", "window"))
        monkeypatch.setattr(kept, "_PACKAGE", package)
        assert Kept(folder).built(bench, LIVE) is not None  # they are the same
        law = package / "parts" / "laws.py"
        law.write_text(law.read_text("utf-8") + "#", "utf-8")
    elif what == "computer":
        monkeypatch.setattr(platform, "node", lambda: "another")
    else:
        monkeypatch.setattr(ca if what == "casadi" else np, "__version__", "0")
    assert Kept(folder).built(bench, LIVE) is None


def test_without_our_own_files_nothing_is_kept(
    bench: Rig, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept, "_PACKAGE", tmp_path)
    assert not found_all(opened(bench, folder))
    assert not folder.exists()


@pytest.mark.parametrize(
    "how",
    first(3, ["cut off", "other content", "no checksum", "a link", "for others to write", "another's format"]),
)
def test_what_is_not_as_it_was_left_is_made_anew(bench: Rig, folder: Path, tmp_path: Path, how: str) -> None:
    wanted = opened(bench, folder)
    for file in [*folder.glob("*.built"), *folder.glob("*.start")]:
        good = file.read_bytes()
        if how == "cut off":
            file.write_bytes(good[: len(good) // 2])
        elif how == "other content":
            file.write_bytes(good[:-1] + b"?")
        elif how == "no checksum":
            file.write_bytes(good[:-32])
        elif how == "a link":
            shutil.move(file, tmp_path / file.name)
            file.symlink_to(tmp_path / file.name)
        elif how == "for others to write":
            file.chmod(0o622)
        else:
            private.write(file, b"\x00")
    session = opened(bench, folder)
    assert not found_all(session)
    assert session.x.tobytes() == wanted.x.tobytes()
    assert all(stat.S_ISREG(path.lstat().st_mode) for path in folder.iterdir())
    assert found_all(opened(bench, folder))


def test_a_folder_that_cannot_be_is_no_hindrance(bench: Rig, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", "utf-8")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        session = opened(bench, folder)
        session.advance(FRAME)
        assert not found_all(session)


def test_a_folder_for_others_is_not_used(bench: Rig, folder: Path) -> None:
    opened(bench, folder)
    folder.chmod(0o777)
    assert not found_all(Session(bench, kept=Kept(folder)))


def test_the_newest_are_kept(bench: Rig, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "_MOST", 3)
    opened(bench, folder)
    (used,) = files(folder, ".built")
    for k in range(4):
        (folder / f"old{k}.built").write_text("x")
        os.utime(folder / f"old{k}.built", (k, k))
    opened(bench, folder, RECORD)
    assert len(files(folder, ".built")) == 3
    assert {used, "old3.built"} < files(folder, ".built")


@pytest.mark.soak
def test_two_programs_at_once(folder: Path) -> None:
    """Both find and leave the same; the next one finds it all."""
    script = """
import hashlib, sys
from pathlib import Path
from trainer import resources
from trainer.engine.kept import Kept
from trainer.engine.session import Session
from trainer.rig import file
for _ in range(3):
    known = Kept(Path(sys.argv[1]))
    session = Session(file.load(resources.path("rigs/one-spool-bench.toml")), kept=known)
    known.keep_built(session.rig, session.solver.tolerance, session._built)
    known.write()
session.advance(0.5)
print(hashlib.sha256(session.x.tobytes()).hexdigest(), session.network.built is not None)
"""
    command = [sys.executable, "-c", script, str(folder)]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    told = {one.communicate()[0] for one in both}
    told.add(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    assert len(told) == 1, told
    assert told.pop().endswith("True\n")
