"""Machine code gives the same bits, takes over between two calls, and is never what somebody else has put there."""

from __future__ import annotations

import ctypes
import os
import re
import shlex
import shutil
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

import casadi as ca
import msgspec
import numpy as np
import pytest
from cases import first

from trainer.engine import machine_code
from trainer.engine.machine_code import _COMPARED, DISAGREES, Equations, Translation, Translator, find_compiler
from trainer.engine.network import Network
from trainer.engine.session import FRAME, Session
from trainer.engine.solver import LIVE, RECORD, Solver
from trainer.errors import SolverError
from trainer.rig.rig import Rig

COMPILER = find_compiler()
pytestmark = pytest.mark.skipif(
    COMPILER is None, reason="no C compiler here: casadi's virtual machine alone is tried"
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of translations that is not there yet."""
    return tmp_path / "machine-code"


@pytest.fixture
def session(bench: Rig) -> Iterator[Session]:
    """The bench with a solver of its own, which nobody else has given machine code."""
    made = Session(bench)
    made.solver = made.state.solver = Solver(made.network, LIVE)
    yield made
    made.solver.give_up_translation()


def ours(folder: Path) -> Translator:
    """Return a translator with this computer's compiler."""
    assert COMPILER is not None
    return Translator(COMPILER, folder)


def compiler_that(folder: Path, *commands: str) -> Path:
    """Return a compiler that does something of its own; ``$real`` is this computer's."""
    script = folder / "compiler"
    script.write_text("\n".join(["#!/bin/sh", f"real={shlex.quote(str(COMPILER))}", *commands]), "utf-8")
    script.chmod(0o700)
    return script


def translated(session: Session, translator: Translator) -> Translation:
    """Return the ended translation of a session's equations."""
    translation = session.solver.translate(translator, session.x, session.pu)
    assert translation is not None, session.solver.no_machine_code
    assert translation.wait(120)
    return translation


def moved(session: Session, calls: int = 60, seed: int = 1) -> list[bytes]:
    """Return the states after each of some calls, the lever going to a new place every third of a second."""
    random, states = np.random.default_rng(seed), []
    levers = [name for name in session.rig.controls() if name.endswith(".lever")]
    for call in range(calls):
        if call % 20 == 0:
            for name in levers:
                session.set_control(name, float(random.uniform(-1, 1)))
        session.advance(FRAME)
        states.append(session.x.tobytes() + session.totals.tobytes())
    return states


def test_the_same_bits_from_the_call_on_that_takes_it_over(bench: Rig, session: Session, folder: Path) -> None:
    plain = Session(bench)
    plain.solver = plain.state.solver = Solver(plain.network, LIVE)
    wanted = moved(plain, 120)
    found = moved(session, 50)
    translated(session, ours(folder))
    assert not session.solver.machine_code
    session.solver.call(session.x, session.pu)
    assert session.solver.machine_code
    session = again = Session(bench)
    again.solver = again.state.solver = Solver(again.network, LIVE)
    moved_before, random = [], np.random.default_rng(1)
    for call in range(120):
        if call % 20 == 0:
            again.set_control("1V1.lever", float(random.uniform(-1, 1)))
        if call == 50:
            translated(again, ours(folder))
        again.advance(FRAME)
        moved_before.append(again.x.tobytes() + again.totals.tobytes())
        assert again.solver.machine_code == (call >= 50)
    assert found == wanted[:50]
    assert moved_before == wanted


@pytest.mark.soak
@pytest.mark.parametrize("tolerance", [LIVE, RECORD])
def test_the_same_bits_on_the_loader(loader: Rig, folder: Path, tolerance: float) -> None:
    """150 calls with all five levers jumping: none differs by a bit."""
    runs = []
    for translator in (None, ours(folder)):
        session = Session(loader)
        session.solver = session.state.solver = Solver(session.network, tolerance)
        if translator is not None:
            translated(session, translator)
        runs.append(moved(session, 150))
        assert session.solver.machine_code == (translator is not None)
    assert runs[0] == runs[1]


def test_what_was_translated_is_kept(bench: Rig, session: Session, folder: Path) -> None:
    translated(session, ours(folder))
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    kept = {path.name: path.stat().st_ino for path in folder.iterdir()}
    assert len(kept) == 1
    other = Session(bench)
    other.solver = other.state.solver = Solver(other.network, RECORD)  # another tolerance, the same equations
    translation = other.solver.translate(ours(folder), other.x, other.pu)
    assert translation is not None
    assert translation.ended()
    other.advance(FRAME)
    assert other.solver.machine_code
    assert {path.name: path.stat().st_ino for path in folder.iterdir()} == kept


@pytest.mark.parametrize(
    "planted", first(1, ["other content", "a link", "for others to write", "no checksum", "nothing"])
)
def test_what_is_not_ours_is_never_loaded(session: Session, folder: Path, tmp_path: Path, planted: str) -> None:
    """A library that was changed, or stands there in another way, is translated anew; what is loaded is that."""
    translation = translated(session, ours(folder))
    library = translation.file
    good = library.read_bytes()
    if planted == "other content":
        library.write_bytes(good[:-1] + b"?")
    elif planted == "a link":
        shutil.move(library, tmp_path / "elsewhere.so")
        library.symlink_to(tmp_path / "elsewhere.so")
    elif planted == "for others to write":
        library.chmod(0o622)
    elif planted == "no checksum":
        library.write_bytes(good[:-32])
    else:
        library.unlink()
    assert translation.loaded() is None
    assert "not as it was left" in translation.trouble
    session.solver.give_up_translation()
    again = translated(session, ours(folder))
    assert not library.is_symlink()
    assert library.read_bytes() == good
    assert again.loaded() is not None


def test_a_folder_that_is_a_link_is_not_used(session: Session, folder: Path, tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    folder.symlink_to(tmp_path / "real")
    assert session.solver.translate(ours(folder), session.x, session.pu) is None
    assert "not a folder of this user alone" in session.solver.no_machine_code
    before = session.time
    session.advance(FRAME)
    assert session.time > before


def test_a_compiler_that_fails_is_told_and_changes_nothing(session: Session, folder: Path, tmp_path: Path) -> None:
    failing = compiler_that(tmp_path, "echo 'no space left for me' >&2", "exit 1")
    translated(session, Translator(failing, folder))
    session.advance(FRAME)
    assert not session.solver.machine_code
    assert session.solver.no_machine_code == "no space left for me"
    assert [*folder.iterdir()] == []


# Every sum of two variables may be off by a ten-millionth, one at a time. A truth, 0 or 1, stays one.
_SLIP = r"""
int wrong = %d, slips = 0;
static double slip(int number, double sum) {
  if (number != wrong || sum == 0 || sum == 1) return sum;
  ++slips;
  return sum * 1.0000001;
}
"""


def slipping(folder: Path, wrong: int = -1) -> Path:
    """Return a compiler that is wrong in one addition, by its number: in ``wrong``, which its libraries have too."""
    (folder / "slip.c").write_text(_SLIP % wrong, "utf-8")
    change = r"s/\(a[0-9]*\)=(\(a[0-9]*[+]a[0-9]*\));/\1=slip(__COUNTER__, \2);/"
    return compiler_that(
        folder,
        f'sed \'{change}\' "$6" > "$6.changed"',
        f'cat {shlex.quote(str(folder / "slip.c"))} "$6.changed" > "$6"',
        'exec "$real" "$@" -w',
    )


@pytest.mark.soak
def test_each_single_addition_that_is_wrong_is_seen(session: Session, folder: Path, tmp_path: Path) -> None:
    """Every tenth of them; at the instant of the call nearly half of these make no difference."""
    library = translated(session, Translator(slipping(tmp_path), folder)).file
    wrong, slips = (ctypes.c_int.in_dll(ctypes.CDLL(str(library)), name) for name in ("wrong", "slips"))
    found = Equations(*(ca.external(name, str(library)) for name in ("dae", "jac_dae")))
    right, z = session.solver.equations, (session.x / session.network.nominal)[session.solver.order]
    assert right.agree(found, z, session.solver._fixed, _COMPARED)
    additions = len(re.findall(r"a\d+=\(a\d+\+a\d+\);", right.source()))
    unseen: dict[int, set[int]] = {1: set(), _COMPARED: set()}
    tried = set()
    for wrong.value in range(0, additions, 10):
        slips.value = 0
        for points, numbers in unseen.items():
            if right.agree(found, z, session.solver._fixed, points):
                numbers.add(wrong.value)
        if slips.value:
            tried.add(wrong.value)
    assert len(tried) > 30
    assert len(unseen[1] & tried) >= 10
    assert not unseen[_COMPARED] & tried


@pytest.mark.soak
@pytest.mark.parametrize("wrong", first(1, [0, 100, 210, 310]))  # none is a truth
def test_code_that_is_wrong_never_takes_over(
    bench: Rig, session: Session, folder: Path, tmp_path: Path, wrong: int
) -> None:
    translated(session, Translator(slipping(tmp_path, wrong), folder))
    plain = Session(bench)
    assert moved(session, 3) == moved(plain, 3)
    assert not session.solver.machine_code
    assert session.solver.no_machine_code == DISAGREES
    assert [*folder.iterdir()] == []


@pytest.mark.soak
def test_kept_code_that_is_wrong_does_not_take_over(session: Session, folder: Path, tmp_path: Path) -> None:
    """What was right when it was made is looked at again: at some points, of which the call is only one."""
    library = translated(session, Translator(slipping(tmp_path), folder)).file
    wrong = ctypes.c_int.in_dll(ctypes.CDLL(str(library)), "wrong")
    z, right = (session.x / session.network.nominal)[session.solver.order], session.solver.equations
    found = Equations(*(ca.external(name, str(library)) for name in ("dae", "jac_dae")))
    for wrong.value in range(400):
        if right.agree(found, z, session.solver._fixed, 1) and not right.agree(found, z, session.solver._fixed, 4):
            break
    session.advance(FRAME)
    assert not session.solver.machine_code
    assert session.solver.no_machine_code == DISAGREES


def test_junk_is_not_loaded(session: Session, folder: Path, tmp_path: Path) -> None:
    junk = compiler_that(tmp_path, 'echo junk > "$5"')
    translation = translated(session, Translator(junk, folder))
    session.advance(FRAME)
    assert not session.solver.machine_code
    assert (
        translation.trouble == session.solver.no_machine_code == "this computer does not load what its compiler made"
    )


@pytest.mark.soak
def test_the_child_stands_back(session: Session, folder: Path, tmp_path: Path) -> None:
    """Its priority is low, so that what is shown live goes before."""
    asks = compiler_that(tmp_path, f"nice > {shlex.quote(str(tmp_path / 'nice'))}", 'exec "$real" "$@"')
    translated(session, Translator(asks, folder))
    assert int((tmp_path / "nice").read_text()) >= min(19, os.nice(0) + 10)


def test_a_translation_can_be_given_up(session: Session, folder: Path, tmp_path: Path) -> None:
    slow = compiler_that(tmp_path, "exec sleep 600")
    translation = session.solver.translate(Translator(slow, folder), session.x, session.pu)
    assert translation is not None
    assert not translation.ended()
    session.advance(FRAME)
    session.solver.give_up_translation()
    assert translation.ended()
    assert not [*folder.glob("*.equations")]
    session.advance(FRAME)
    assert not session.solver.machine_code


def test_a_compiler_that_hangs_is_ended(
    session: Session, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(machine_code, "_LONGEST", 0.1)
    monkeypatch.setattr(os, "nice", lambda _: 0)
    slow, written = compiler_that(tmp_path, "exec sleep 600"), tmp_path / "a.equations"
    written.write_bytes(msgspec.json.encode(machine_code._Task(session.solver.equations.written(), [], [])))
    assert machine_code.main([str(slow), str(written), str(tmp_path / "a.so")]) == 1
    assert capsys.readouterr().err == "the compiler was not done after 0 minutes\n"
    assert [path.name for path in tmp_path.iterdir()] == ["compiler"]


def test_why_a_folder_cannot_be_is_told_in_words(session: Session, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", "utf-8")
    assert session.solver.translate(ours(tmp_path / "file"), session.x, session.pu) is None
    assert session.solver.no_machine_code == f"{tmp_path / 'file'}: File exists"


def test_only_the_newest_are_kept(session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine_code, "_KEPT", 3)
    folder.mkdir(mode=0o700)
    for k in range(5):
        (folder / f"old{k}.so").write_text("x")
        os.utime(folder / f"old{k}.so", (k, k))
    (folder / f"translating-{2**22 + 1}-x").mkdir()  # of a child that is dead: no process has so large a number
    translated(session, ours(folder))
    kept = {path.name for path in folder.iterdir()}
    assert {"old4.so", "old3.so"} < kept
    assert len(kept) == 3


def test_other_equations_or_another_compiler_are_another_translation(bench: Rig, tmp_path: Path) -> None:
    translator = ours(tmp_path)
    network = Network(bench)
    one, other = (Equations.of(Solver(network, tolerance)._integrator) for tolerance in (LIVE, RECORD))
    assert translator.key(one) == translator.key(other)
    assert translator.key(one) != translator.key(Equations(one.dae, one.dae))
    assert translator.key(one) != Translator(compiler_that(tmp_path, ""), tmp_path).key(one)


def test_equations_that_no_integrator_takes_are_told_once_and_not_tried_again(
    session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A translation that loads and has another form than the solver's: the virtual machine goes on."""
    translation, asked = translated(session, ours(folder)), []
    x = ca.SX.sym("x")

    whole = translation.loaded

    def loaded() -> object:
        asked.append(whole())
        return ca.Function("dae", [x], [x])

    monkeypatch.setattr(translation, "loaded", loaded)
    session.advance(0.1)
    assert len(asked) == 1
    assert not session.solver.machine_code
    assert not session.solver.translating
    assert session.solver.no_machine_code


@pytest.mark.soak
def test_a_call_that_fails_is_no_measure(session: Session, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The translation is kept waiting, and taken by the next call that does not fail."""
    translated(session, ours(folder))
    with monkeypatch.context() as patch:
        patch.setattr(session.solver, "_once", lambda: (_ for _ in ()).throw(RuntimeError("CV_TOO_MUCH_WORK")))
        with pytest.raises((RuntimeError, SolverError)):
            session.solver.call(session.x, session.pu)
    assert session.solver.translating
    session.advance(FRAME)
    assert session.solver.machine_code


def test_where_there_is_no_compiler_everything_is_as_before(
    bench: Rig, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    if sys.platform != "darwin":
        assert find_compiler() is None
    session = Session(bench)
    session.solver = session.state.solver = Solver(session.network, LIVE)
    session.advance(FRAME)
    assert not session.solver.machine_code


@pytest.mark.soak
def test_it_can_be_switched_off_again(session: Session, folder: Path) -> None:
    translated(session, ours(folder))
    session.advance(FRAME)
    assert session.solver.machine_code
    session.solver.use_virtual_machine()
    session.advance(FRAME)
    assert not session.solver.machine_code
    translated(session, ours(folder))
    session.advance(FRAME)
    assert session.solver.machine_code
