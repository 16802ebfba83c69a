"""The equations of a call as machine code, where this computer has a C compiler: the same numbers, sooner.

Rates and their Jacobian are written as C, translated in a child process of low priority and loaded by the same CVODES
with the same linear solver; what they return is what the virtual machine returns, number for number. The child
compares both at many points before it gives a translation away, and who loads one at some more (``Solver``).
Translations are kept in a folder of the user's own, by content.

What is loaded is ours, as ``trainer.private`` has it.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import platform
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import casadi as ca
import msgspec
import numpy as np

from trainer import files, private
from trainer.engine.agreement import agree
from trainer.engine.topology import Vector
from trainer.language import mark, tr

__all__ = ["DISAGREES", "FLAGS", "Equations", "Translation", "Translator", "cache_folder", "find_compiler", "main"]

DISAGREES = mark("it does not agree with the virtual machine")
_NOT_LOADED = mark("this computer does not load what its compiler made")

FLAGS = ("-O1", "-fPIC", "-shared")  # -O2 takes half as long again and gains nothing; never -ffast-math
_NAMES = ("cc", "gcc", "clang")
_APPLE = Path(
    "/Library/Developer/CommandLineTools/usr/bin/cc"
)  # Apple's own cc asks to be installed where this is not
_LIBRARY, _EQUATIONS = ".so", ".equations"
_PLACE = "translating-"  # and the child's process number: where it works
_KEPT = 40  # libraries
_FILLED = "jac_ode_x"  # block of the Jacobian
_COMPARED = 256  # points: reached in a tenth of a second, and hardly more is seen at ten times as many
_KILL = 9  # POSIX: cannot be refused
_LONGEST = 900.0  # s for a compiler: the largest rig takes half a minute of a processor
_LOW_PRIORITY = 10  # of a nice value


def cache_folder() -> Path:
    """Return where translations are kept for this user."""
    return private.cache("machine-code")


def find_compiler() -> Path | None:
    """Return the C compiler of this computer, or None; nothing is asked of it yet."""
    if os.name != "posix" or (sys.platform == "darwin" and not _APPLE.exists()):
        return None
    found = [str(_APPLE)] if sys.platform == "darwin" else list(filter(None, map(shutil.which, _NAMES)))
    return Path(found[0]).resolve() if found else None


class Equations:
    """Rates and totals (``dae``) and the Jacobian of the rates, as casadi functions.

    ``digest`` tells them from others by how casadi writes them down, which takes a while; it may be known before.
    """

    def __init__(self, dae: Any, jacobian: Any, digest: str = "") -> None:
        self.dae, self.jacobian = dae, jacobian
        self._digest = digest

    @classmethod
    def of(cls, integrator: Any, digest: str = "") -> Equations:
        """Return those of a casadi integrator."""
        return cls(integrator.get_function("dae"), integrator.get_function("jacF"), digest)

    @classmethod
    def read(cls, written: tuple[str, str]) -> Equations:
        """Return those that were written down. Raises RuntimeError."""
        dae, jacobian = map(ca.Function.deserialize, written)
        return cls(dae, jacobian)

    def written(self) -> tuple[str, str]:
        """Return both as casadi writes functions down."""
        texts = str(self.dae.serialize()), str(self.jacobian.serialize())
        self._digest = _digest(*map(_digest, texts))
        return texts

    @property
    def digest(self) -> str:
        """What they are told from others by."""
        if not self._digest:
            self.written()
        return self._digest

    def agree(self, other: Equations, z: Vector, fixed: Vector, count: int) -> bool:
        """Whether others are the same, as ``agreement`` has it, from an instant of scaled states on."""
        filled = other.jacobian.index_out(_FILLED), self.jacobian.index_out(_FILLED)
        same = other.jacobian.sparsity_out(filled[0]) == self.jacobian.sparsity_out(filled[1])
        pairs = [(self.dae, other.dae, ["ode", "quad"]), (self.jacobian, other.jacobian, [_FILLED])]
        return same and agree(pairs, z, fixed, count)

    def source(self) -> str:
        """Return them as C: ``dae``, and ``jac_dae`` of which only the block of the states is filled."""
        dae, jacobian = self.dae, self.jacobian
        ins = [ca.SX.sym(dae.name_in(i), dae.sparsity_in(i)) for i in range(dae.n_in())]
        outs = {dae.name_out(i): dae.size_out(i) for i in range(dae.n_out())}
        blocks = {
            f"jac_{out}_{dae.name_in(i)}": ca.SX(dae.numel_out(out), dae.numel_in(i))
            for out in outs
            for i in range(dae.n_in())
        }
        blocks[_FILLED] = jacobian.call(ins)[jacobian.index_out(_FILLED)]
        given = [ca.SX.sym(f"out_{name}", ca.Sparsity(*size)) for name, size in outs.items()]
        names = [*dae.name_in(), *(f"out_{name}" for name in outs)]
        generator = ca.CodeGenerator("equations.c")
        generator.add(dae)
        generator.add(ca.Function("jac_dae", ins + given, [*blocks.values()], names, [*blocks]))
        return str(generator.dump())


class _Task(msgspec.Struct):
    """What a child is given: equations as casadi writes them down, and an instant to compare them from."""

    written: tuple[str, str]
    z: list[float]
    fixed: list[float]


class Translation:
    """One translation on its way. ``trouble`` says in a few words why there is none."""

    def __init__(self, library: Path, child: subprocess.Popen[bytes] | None = None) -> None:
        self.file = library
        self.trouble = ""
        self._child = child

    def ended(self) -> bool:
        """Whether there is nothing more to wait for. Asking costs microseconds."""
        return self._child is None or self._child.poll() is not None

    def wait(self, seconds: float) -> bool:
        """Wait for the end for so long at most, and return whether it has come."""
        if self._child is not None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._child.wait(seconds)
        return self.ended()

    def loaded(self) -> Any:
        """Return the equations as a casadi function, once the translation has ended; None where there are none."""
        self._close()
        if not self.trouble and private.read(self.file) is None:
            self.trouble = tr("what was translated is not there or not as it was left")
        if self.trouble:
            return None
        try:
            return ca.external("dae", str(self.file))
        except RuntimeError:
            self.trouble = tr(_NOT_LOADED)
            return None

    def give_up(self) -> None:
        """End the child and its compiler, if they still work."""
        if self._child is not None and self._child.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._child.pid, _KILL)
            self.trouble = tr("it was given up")
            with contextlib.suppress(OSError):
                self.file.with_suffix(_EQUATIONS).unlink(missing_ok=True)  # the child cannot do it any more
        self._close()

    def __del__(self) -> None:
        """End what nobody waits for any more, so that no pipe to it is left open."""
        with contextlib.suppress(Exception):  # the interpreter may be on its way down
            self.give_up()

    def _close(self) -> None:
        child, self._child = self._child, None
        if child is not None:
            _, said = child.communicate()
            if child.returncode and not self.trouble:
                lines = said.decode("utf-8", "replace").strip().splitlines()
                self.trouble = (lines or [tr("the compiler ended with an error")])[-1][:200]


class Translator:
    """Translates equations with one compiler, and keeps what it has made in one folder."""

    def __init__(self, compiler: Path, folder: Path) -> None:
        self.compiler, self.folder = compiler, folder

    @classmethod
    def of_this_computer(cls) -> Translator | None:
        """Return one with the compiler and the folder of this computer, None where there is no compiler."""
        compiler = find_compiler()
        return cls(compiler, cache_folder()) if compiler is not None else None

    def key(self, equations: Equations) -> str:
        """Return what a translation is known by: equations, compiler, flags, versions, kind of computer."""
        found = self.compiler.stat()
        of = (
            ca.__version__, platform.machine(), sys.platform, self.compiler, found.st_size, found.st_mtime_ns, *FLAGS,
        )  # fmt: skip
        return _digest(*map(str, of), equations.digest)

    def begin(self, equations: Equations, z: Vector, fixed: Vector) -> Translation:
        """Return a translation: one that was kept, or one that a child process begins now. Raises OSError.

        What the child makes it compares from an instant on: of scaled states and what is fixed during a call.
        """
        folder = private.require(self.folder)
        library = folder / f"{self.key(equations)}{_LIBRARY}"
        if private.read(library) is not None:
            return Translation(library)
        private.remove(library)
        _forget(folder)
        written = library.with_suffix(_EQUATIONS)
        task = _Task(equations.written(), z.tolist(), fixed.tolist())
        files.write(written, msgspec.json.encode(task), private=True)
        command = [sys.executable, "-m", __name__, str(self.compiler), str(written), str(library)]
        root = Path(__file__).resolve().parents[2]
        environment = os.environ | {"PYTHONPATH": os.pathsep.join([str(root), *filter(None, sys.path)])}
        child = subprocess.Popen(
            command, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
            cwd=folder, start_new_session=True,
        )  # fmt: skip
        return Translation(library, child)


def _digest(*texts: str) -> str:
    return hashlib.sha256("\n".join(texts).encode()).hexdigest()


def _forget(folder: Path) -> None:
    """Take away the oldest libraries beyond what is kept, and what a child that was killed has left."""
    private.keep_newest(folder, _LIBRARY, _KEPT - 1)
    for left in folder.glob(f"{_PLACE}*"):
        maker = left.name.removeprefix(_PLACE).partition("-")[0]
        if maker.isdecimal() and not _alive(int(maker)):
            shutil.rmtree(left, ignore_errors=True)


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _trouble(equations: Equations, made: Path, task: _Task) -> str:
    """Return in a few words why what a compiler has made is of no use, or nothing."""
    try:
        found = Equations(*(ca.external(name, str(made)) for name in ("dae", "jac_dae")))
        same = equations.agree(found, np.array(task.z), np.array(task.fixed), _COMPARED)
    except RuntimeError:
        return tr(_NOT_LOADED)
    return "" if same else tr(DISAGREES)


def main(arguments: list[str]) -> int:
    """Translate, in a child process: compiler, file of equations, library to be made."""
    with contextlib.suppress(OSError):
        os.nice(_LOW_PRIORITY)
    compiler, written, library = arguments[0], Path(arguments[1]), Path(arguments[2])
    try:
        task = msgspec.json.decode(written.read_bytes(), type=_Task)
        equations = Equations.read(task.written)
        with tempfile.TemporaryDirectory(prefix=f"{_PLACE}{os.getpid()}-", dir=library.parent) as place:
            source, made = Path(place) / "equations.c", Path(place) / "equations.so"
            files.write(source, equations.source(), private=True)
            command = [compiler, *FLAGS, "-o", str(made), str(source), "-lm"]
            done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=_LONGEST)
            if done.returncode:
                print(done.stderr.strip() or tr("the compiler ended with an error"), file=sys.stderr)
                return 1
            if trouble := _trouble(equations, made, task):
                print(trouble, file=sys.stderr)
                return 1
            content = made.read_bytes()
        private.write(library, content)
    except subprocess.TimeoutExpired:
        print(
            tr("the compiler was not done after {minutes:.0f} minutes").format(minutes=_LONGEST / 60), file=sys.stderr
        )
        return 1
    except OSError as error:
        print(files.which_and_why(error), file=sys.stderr)
        return 1
    except (ValueError, RuntimeError) as error:
        print(error, file=sys.stderr)
        return 1
    finally:
        written.unlink(missing_ok=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
