"""The house: who may import whom, what every module has, what none of them does."""

from __future__ import annotations

import ast
import functools
import re
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from trainer.engine.kept import MADE_BY

ROOT = Path(__file__).parent.parent
Case = TypeVar("Case", str, Path)
PACKAGE = ROOT / "trainer"
ROWS = (  # a module imports from its own row or from those before it
    ("language", "units", "errors", "files", "journal", "private", "garbage", "rows"),
    ("formula",),
    ("parts",),
    ("rig",),
    ("resources", "screen"),
    ("engine",),
    ("energy",),
    ("drawing",),
    ("measuring", "working", "tracing", "operating", "sounding", "recording"),
    ("changing",),
    ("pairing",),
    ("lessons",),
    ("practice",),
    ("window",),
    ("before_qt", "bench", "cli", "console", "first_frame", "listings", "verbs"),
    ("__main__",),
)
WINDOW_ROWS = (  # rooms of the window, likewise
    ("painting",),
    ("controls",),
    ("session",),
    ("board",),
    ("dials", "ledgers", "hands", "sound"),
    ("strip", "rig"),
    ("compare", "working", "tracing", "time", "recovery", "explaining"),
    ("opening", "offers"),
    ("lesson",),
    ("class_view", "lessons_list", "practice"),
    ("first_start", "beside"),
    ("shell",),
    ("gallery", "costs", "practice_show"),
)
RANK = {name: rank for rank, row in enumerate(ROWS) for name in row}
WINDOW = RANK["window"]
WINDOW_RANK = {name: rank for rank, row in enumerate(WINDOW_ROWS) for name in row}
FILES = sorted(PACKAGE.rglob("*.py"))
NAMES = [".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__") for file in FILES]
SOURCES = dict(zip(NAMES, FILES, strict=True))


@functools.cache
def tree(name: str) -> ast.Module:
    """Return a module as it is written."""
    return ast.parse(SOURCES[name].read_text("utf-8"))


def over(cases: Sequence[Case]) -> Callable[[Callable[[Case], None]], Callable[[], None]]:
    """Hold something for all of some cases in one test: each by itself takes longer to be told than to be held."""

    def made(check: Callable[[Case], None]) -> Callable[[], None]:
        def test() -> None:
            faults = []
            for case in cases:
                try:
                    check(case)
                except AssertionError as error:
                    faults.append(f"{case}: {error}")
            assert not faults, "\n".join(faults)

        test.__name__, test.__doc__ = check.__name__, check.__doc__
        return test

    return made


def room(module: str) -> str:
    """Return the row's name of a module: "engine" for trainer.engine.session."""
    return module.split(".")[1] if "." in module else ""


@functools.cache
def imported(module: str) -> tuple[str, ...]:
    """Return what a module imports, as full names; "from a import b" gives a.b where that is a module."""
    return tuple(_imports(tree(module)))


def _imports(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are written in full"
            for alias in node.names:
                name = f"{node.module}.{alias.name}"
                yield name if name in SOURCES else str(node.module)


def test_every_room_has_its_row() -> None:
    assert {room(name) for name in NAMES} - {""} <= set(RANK)


@over(NAMES)
def test_direction_of_dependence(module: str) -> None:
    own = room(module)
    for name in imported(module):
        other = room(name) if name.startswith("trainer.") else ""
        if own and other:
            assert RANK[other] <= RANK[own], f"{module} imports {name}"
            assert (own, other) != ("drawing", "engine"), f"{module} imports {name}"
            if own == other == "window" and "." in name.removeprefix("trainer.window").strip("."):
                here, there = (WINDOW_RANK[full.split(".")[2]] for full in (module, name))
                assert there <= here, f"{module} imports {name}"


@over(NAMES)
def test_module_has_a_docstring(module: str) -> None:
    assert ast.get_docstring(tree(module)), f"{module} has no docstring"


@over([*FILES, *sorted((ROOT / "tests").rglob("*.py"))])
def test_an_exception_for_a_checker_says_why(file: Path) -> None:
    exception = re.compile(r"# (?:type: ignore|noqa)(?:\[[\w,-]+\]|: \w+)(.*)")
    for line in file.read_text("utf-8").splitlines():
        said = exception.search(line)
        assert said is None or re.search(r"\w{2,}", said[1]), f"{file.name}: {line.strip()}"


@over([name for name in NAMES if room(name) == "window"])
def test_public_methods_of_the_window_have_a_docstring(module: str) -> None:
    """All but those that Qt names and calls, which have capitals in the middle; a setter's property has its own."""
    methods = [
        method
        for class_ in tree(module).body
        if isinstance(class_, ast.ClassDef) and not class_.name.startswith("_")
        for method in class_.body
        if isinstance(method, ast.FunctionDef) and method.name.islower() and not method.name.startswith("_")
        if not any(isinstance(mark, ast.Attribute) and mark.attr == "setter" for mark in method.decorator_list)
    ]
    assert not [method.name for method in methods if ast.get_docstring(method) is None]


@over(NAMES)
def test_only_the_window_knows_qt(module: str) -> None:
    qt = {name for name in imported(module) if name.split(".")[0] in ("PySide6", "shiboken6", "pyqtgraph")}
    assert not qt or room(module) == "window"


@over([name for name in NAMES if room(name) and RANK[room(name)] < WINDOW])
def test_no_threads_and_no_clock_below_the_window(module: str) -> None:
    banned = {"threading", "time", "datetime", "concurrent", "asyncio", "multiprocessing", "sched", "signal"}
    if room(module) in ("lessons", "practice"):  # they tell days apart that they are given; no day is asked for
        banned.remove("datetime")
        asked = {node.attr for node in ast.walk(tree(module)) if isinstance(node, ast.Attribute)}
        assert not asked & {"now", "today", "utcnow"}
    assert not {name.split(".")[0] for name in imported(module)} & banned


@over(NAMES)
def test_nothing_runs_what_it_reads(module: str) -> None:
    assert not {name.split(".")[0] for name in imported(module)} & {
        "pickle",
        "marshal",
        "shelve",
        "pint",
    }
    called = {n.func.id for n in ast.walk(tree(module)) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}
    assert not called & {"eval", "exec", "compile", "__import__"}


@over([*FILES, *sorted((ROOT / "tests").rglob("*.py"))])
def test_a_file_is_about_one_thing(file: Path) -> None:
    """From 400 lines on a reader looks whether it still is; 600 is the stop."""
    lines = len(file.read_text("utf-8").splitlines())
    assert lines <= 600, f"{file.name} has {lines} lines"


_OF_UNITS = (
    0.0254,
    0.3048,
    0.45359237,
    9.80665,
    4.4482216152605,
    1055.05585262,
    4186.8,
    1.3558179483314,
    745.7,
    3.6e6,
)


@over([name for name in NAMES if name != "trainer.units"])
def test_one_table_of_units(module: str) -> None:
    """A unit is made in trainer.units alone, and no factor of one stands elsewhere."""
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Call):
            assert getattr(node.func, "attr", getattr(node.func, "id", "")) != "Unit", f"line {node.lineno}"
        elif isinstance(node, ast.Constant) and isinstance(node.value, float):
            assert node.value not in _OF_UNITS, f"line {node.lineno}"


def _asked(node: ast.AST) -> list[str]:
    """Return what a comparison or a match is about, "part.symbol.name" for one of ``part.symbol.name``."""
    found: list[ast.expr] = []
    if isinstance(node, ast.Compare):
        found = [node.left, *node.comparators]
    elif isinstance(node, ast.Match):
        found = [node.subject]
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "startswith":
        found = [node.func.value]
    return [ast.unparse(one.value if isinstance(one, ast.Subscript) else one) for one in found]


@over([name for name in NAMES if not name.startswith(("trainer.parts", "trainer.drawing.symbols"))])
def test_a_part_is_asked_for_what_it_is(module: str) -> None:
    """Nobody compares a part's symbol, a symbol's name or a part's letter: its role and its symbol's manner tell."""
    banned = ("part.symbol", "symbol.name", "symbol.title") + ("part.letter",) * (module != "trainer.rig.file")
    for node in ast.walk(tree(module)):
        for asked in _asked(node):
            assert not asked.endswith(banned), f"{module}, line {getattr(node, 'lineno', 0)}: {asked}"


_OF_THE_PROCESS = {  # what there is one of for each process, and nothing that is remembered of a rig or a session
    ("trainer.files", "_unfinished"),
    ("trainer.window.painting.picture", "_application"),
    ("trainer.drawing.scene", "_NONE"),  # stays empty
}


@over(NAMES)
def test_what_is_remembered_is_a_member(module: str) -> None:
    """No module keeps what it found for whoever asks next: no empty collection at its top, no ``global``."""
    for node in tree(module).body:
        if isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value is not None:
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            empty = ast.unparse(node.value).rpartition(".")[2] in (
                "{}",
                "[]",
                "set()",
                "dict()",
                "WeakKeyDictionary()",
            )
            assert not empty or (module, ast.unparse(target)) in _OF_THE_PROCESS, ast.unparse(node)
    assert not any(isinstance(node, ast.Global) for node in ast.walk(tree(module)))


def test_no_import_cycle() -> None:
    """Whatever is imported counts, also in a function or for the type checker alone."""
    graph = {name: set(imported(name)) & set(NAMES) for name in NAMES}
    done: set[str] = set()

    def visit(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, " -> ".join((*path, name))
        if name not in done:
            for other in graph[name]:
                visit(other, (*path, name))
            done.add(name)

    for name in graph:
        visit(name, ())


def test_what_a_settled_start_depends_on_is_known_by_its_versions() -> None:
    """A start is kept from run to run until a file changes that may change it: all that the engine imports."""
    found, left = set(), {name for name in NAMES if room(name) == "engine"}
    while left:
        name = left.pop()
        found.add(name)
        left |= set(imported(name)) & set(NAMES) - found
    assert {room(name) for name in found} - {""} <= set(MADE_BY)


def test_starting_imports_nothing_slow_and_no_qt() -> None:
    below = [name for name in NAMES if room(name) and RANK[room(name)] != WINDOW and room(name) != "__main__"]
    script = f"import sys, {', '.join(below)}; print(*sorted({{m.split('.')[0] for m in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"scipy", "pandas", "numba", "pint", "PySide6", "pyqtgraph"}


_READ = {  # what is called with words for people -> where these stand among what is given, and by which names
    "Words": ((2,), ()),
    "Label": ((1,), ()),
    "WordButton": ((1, 3), ("text", "tip")),
    "Offer": ((0,), ()),
    "set_tip": ((1,), ()),
    "tell": ((0,), ()),
    "setText": ((0,), ()),
    "setToolTip": ((0,), ()),
    "setWindowTitle": ((0,), ()),
    "setAccessibleName": ((0,), ()),
    "setAccessibleDescription": ((0,), ()),
    "setPlaceholderText": ((0,), ()),
    "Fault": ((2, 3), ("problem", "remedy")),
    "SpoolroomError": ((0,), ()),
    "UnitError": ((0, 1), ()),
    "term": ((3,), ("source",)),
    "reading": ((2,), ("source",)),
    "Working": ((1,), ("name", "note")),
    "balance": ((1,), ("name", "note")),
    "add_argument": ((), ("help",)),
    "add_parser": ((), ("help",)),
}


_NO_WORDS = {
    "A  000 bar",
    "  0000 r/min",
    "Title",
}  # as wide as a figure with its unit comes; the key of a text in a PNG file


def _plain(node: ast.expr) -> str:
    """Return words that stand in a call as they are, in one or the other case of it: not asked of the language."""
    if isinstance(node, ast.IfExp):
        return _plain(node.body) or _plain(node.orelse)
    if isinstance(node, ast.BoolOp):
        return next(filter(None, map(_plain, node.values)), "")
    if isinstance(node, ast.BinOp):
        return _plain(node.left) or _plain(node.right)
    pieces = node.values if isinstance(node, ast.JoinedStr) else [node]
    texts = [piece.value for piece in pieces if isinstance(piece, ast.Constant) and isinstance(piece.value, str)]
    words = (
        text for text in texts if text not in _NO_WORDS and re.search(r"[a-z]{2,}", text.replace("Spoolroom", ""))
    )
    return next(words, "")


@over([name for name in NAMES if room(name) != "bench" and not name.endswith(".costs")])
def test_what_a_person_reads_is_looked_up(module: str) -> None:
    """Words for people go through ``trainer.language`` where they are given to what shows or tells them."""
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Call):
            places, names = _READ.get(getattr(node.func, "attr", getattr(node.func, "id", "")), ((), ()))
            given = [node.args[k] for k in places if k < len(node.args)]
            given += [keyword.value for keyword in node.keywords if keyword.arg in names]
            assert not (words := [*filter(None, map(_plain, given))]), f"{module}, line {node.lineno}: {words}"
