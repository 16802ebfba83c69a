"""For all tests: Qt off-screen, and what happens where its system libraries are missing."""

from __future__ import annotations

import copy
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

import pytest

from trainer import resources, screen
from trainer.changing.changes import Changes
from trainer.engine import session
from trainer.engine.built import Built
from trainer.engine.machine_code import Translator, find_compiler
from trainer.engine.network import Network
from trainer.engine.session import Session
from trainer.engine.solver import Solver
from trainer.engine.topology import Vector
from trainer.rig import file as rig_file
from trainer.rig.rig import Rig

T = TypeVar("T")

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

_LARGE = 40  # states: a rig whose calls take long enough to be translated

WINDOW_TESTS = Path(__file__).parent / "window"


def _qt_trouble() -> str:
    try:
        import PySide6.QtWidgets  # noqa: F401 - whether it can be
    except ImportError as error:
        return str(error)
    return ""


QT_TROUBLE = _qt_trouble()


def pytest_addoption(pluginmanager: pytest.PytestPluginManager) -> None:
    """Leave the Qt plugin out where Qt cannot be imported: it would end the whole run."""
    if QT_TROUBLE and os.environ.get("SPOOLROOM_NEEDS_WINDOW") != "1":
        pluginmanager.unregister(name="pytest-qt")


def pytest_configure(config: pytest.Config) -> None:
    """Refuse to pass without the window's tests where they are asked for; have things made once for all processes."""
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", "") and config.cache:  # what the tests start would compile all anew
        os.environ["PYTHONPYCACHEPREFIX"] = str(config.cache.mkdir("bytecode"))
    if not hasattr(config, "workerinput"):  # the processes that it starts have its environment
        together = tempfile.TemporaryDirectory(prefix="spoolroom-tests-")
        os.environ["SPOOLROOM_TESTS_TOGETHER"] = together.name
        config.add_cleanup(together.cleanup)
    if QT_TROUBLE and os.environ.get("SPOOLROOM_NEEDS_WINDOW") == "1":
        raise pytest.UsageError(f"the window's tests are asked for, and Qt cannot be imported: {QT_TROUBLE}")


def pytest_ignore_collect(collection_path: Path) -> bool | None:
    """Do not collect the window's tests where Qt cannot be imported."""
    return True if QT_TROUBLE and WINDOW_TESTS in (collection_path, *collection_path.parents) else None


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """With -v print what was found beside what is printed; say which tests were left out, and what to install."""
    ended = terminalreporter.stats.get("", [])  # reports of set-ups and take-downs: the latter carry the rows
    rows = sorted(text for report in ended for name, text in report.user_properties if name == "found and printed")
    if rows and config.get_verbosity() > 0:
        terminalreporter.section("found and printed")
        for row in rows:
            terminalreporter.write_line(row)
    if QT_TROUBLE:
        terminalreporter.write_line(f"tests/window was left out: Qt cannot be imported ({QT_TROUBLE}).")
        terminalreporter.write_line(
            f"On Debian or Ubuntu: sudo apt-get install {' '.join(dict.fromkeys(screen.LIBRARIES.values()))}"
        )


class _Newest(dict[object, T]):
    """The newest few of what was made, so that it need not be made again for every test."""

    def keep(self, key: object, made: T) -> T:
        """Keep one more, and let the oldest go."""
        self[key] = made
        if len(self) > 4:
            del self[next(iter(self))]
        return made


@pytest.fixture(scope="session")
def translator(request: pytest.FixtureRequest) -> Translator | None:
    """What makes machine code, kept from run to run; None on a computer without a C compiler."""
    compiler, cache = find_compiler(), request.config.cache
    return Translator(compiler, Path(cache.mkdir("machine-code"))) if compiler and cache else None


@pytest.fixture(scope="session", autouse=True)
def cache_of_the_tests(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Let nothing be taken from the user's folders of what can be made again, and of answers, or be left there."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture(scope="session", autouse=True)
def sessions_begin_at_once(translator: Translator | None) -> Iterator[None]:
    """Build network and solver of a rig, and run it to its start, once for all tests of a process.

    Each session has a copy. A rig is known by being the very same one, which is kept so that no other has its number.
    Large rigs take machine code at their first call; it gives the same bits.
    """
    networks: _Newest[tuple[Rig, Network]] = _Newest()
    solvers: _Newest[tuple[Rig, Solver]] = _Newest()
    starts: _Newest[tuple[Rig, tuple[Vector, Vector, float, int]]] = _Newest()
    settle = Session._settle

    def quick(made: Solver) -> Solver:
        if translator is not None and len(made.network.states) >= _LARGE:
            translation = made.translate(translator, *made.network.start())
            assert translation is not None
            assert translation.wait(120), "the compiler takes minutes"
        return made

    def network(rig: Rig, built: Built | None = None) -> Network:
        if built is not None:
            return Network(rig, built)
        known = networks.get(id(rig)) or networks.keep(id(rig), (rig, Network(rig)))
        return copy.copy(known[1])

    def solver(network: Network, tolerance: float) -> Solver:
        if network.built is not None:
            return Solver(network, tolerance)
        key = (id(network.rig), tolerance)
        known = solvers.get(key) or solvers.keep(key, (network.rig, quick(Solver(network, tolerance))))
        made = copy.copy(known[1])
        made.network = network
        return made

    def settled(self: Session) -> None:
        key = (id(self.rig), self.solver.tolerance, self.x.tobytes(), self.pu.tobytes(), self.temperature)
        if key in starts and "call" not in vars(self.solver):  # a test's own solver is asked
            x, pu, self.state.temperature, self.rough_calls = starts[key][1]
            self.state.x, self.state.pu = x.copy(), pu.copy()
        else:
            settle(self)
            found = (self.x.copy(), self.pu.copy(), self.temperature, self.rough_calls)
            starts.keep(key, (self.rig, found))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(session, "Network", network)
        patch.setattr(session, "Solver", solver)
        patch.setattr(Session, "_settle", settled)
        yield


@pytest.fixture(scope="session")
def bench() -> Rig:
    """The shipped one-spool bench."""
    return rig_file.load(resources.path("rigs/one-spool-bench.toml"))


@pytest.fixture(scope="session")
def loader() -> Rig:
    """The shipped timber-trailer loader."""
    return rig_file.load(resources.path("rigs/timber-trailer-loader.toml"))


@pytest.fixture
def changes(bench: Rig) -> Changes:
    """The changes of a session of the bench."""
    return Changes(Session(bench))
