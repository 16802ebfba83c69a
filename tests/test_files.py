"""Files: whole or not at all, private where they are, never waited for; no other module writes any."""

from __future__ import annotations

import ast
import os
import re
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from trainer import files

PACKAGE = Path(__file__).parent.parent / "trainer"
POSIX = pytest.mark.skipif(os.name != "posix", reason="modes and pipes of POSIX")


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_is_written_is_there(tmp_path: Path) -> None:
    files.write(tmp_path / "a.txt", "first\n")
    files.write(tmp_path / "a.txt", "zweitens: ü\n")
    files.write(tmp_path / "b", b"\0\1")
    assert (tmp_path / "a.txt").read_bytes() == "zweitens: ü\n".encode()
    assert (tmp_path / "b").read_bytes() == b"\0\1"
    assert names(tmp_path) == ["a.txt", "b"]


@pytest.mark.parametrize("call", ["fsync", "replace", "open"])
def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    files.write(tmp_path / "a.txt", "as it was")
    with monkeypatch.context() as patch:
        patch.setattr(os, call, full)
        with pytest.raises(OSError, match="No space left on device") as caught:
            files.write(tmp_path / "a.txt", "new")
    assert caught.value.filename == str(tmp_path / "a.txt")
    assert (tmp_path / "a.txt").read_text("utf-8") == "as it was"
    assert names(tmp_path) == ["a.txt"]


def test_what_fails_while_it_is_written_leaves_nothing(tmp_path: Path) -> None:
    def fail() -> None:
        with files.writing(tmp_path / "a.txt") as file:
            file.write(b"half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert names(tmp_path) == []


@POSIX
def test_modes_are_those_of_the_old_file_or_private(tmp_path: Path) -> None:
    plain, private = tmp_path / "plain", tmp_path / "private"
    files.write(plain, "a")
    plain.chmod(0o640)
    files.write(plain, "b")
    assert stat.S_IMODE(plain.stat().st_mode) == 0o640
    private.write_text("a")
    private.chmod(0o644)
    files.write(private, "b", private=True)
    assert stat.S_IMODE(private.stat().st_mode) == 0o600
    folder = tmp_path / "x"
    folder.mkdir(mode=0o755)
    assert stat.S_IMODE(files.own_folder(folder).stat().st_mode) == 0o700
    assert stat.S_IMODE(files.own_folder(tmp_path / "y" / "z").stat().st_mode) == 0o700


@POSIX
def test_what_is_no_file_is_neither_replaced_nor_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    for name, said in (("pipe", "it is no ordinary file"), ("folder", "it is a folder")):
        with pytest.raises(OSError, match=said):
            files.write(tmp_path / name, "new")
        with pytest.raises(OSError, match=said):
            files.read(tmp_path / name, 100)
    assert names(tmp_path) == ["folder", "pipe"]
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)


def test_reading_has_a_limit(tmp_path: Path) -> None:
    files.write(tmp_path / "a", "x" * 100)
    assert files.read(tmp_path / "a", 100) == b"x" * 100
    with pytest.raises(OSError, match="it is too large"):
        files.read(tmp_path / "a", 99)


def test_what_may_not_be_overwritten_stays(tmp_path: Path) -> None:
    def write_late() -> None:
        with files.writing(tmp_path / "b", overwrite=False) as file:
            (tmp_path / "b").write_text("came meanwhile")
            file.write(b"new")

    files.write(tmp_path / "a", "old")
    with pytest.raises(FileExistsError):
        write_late()
    with pytest.raises(OSError, match="it exists"):
        files.write(tmp_path / "a", "new", overwrite=False)
    assert [(tmp_path / name).read_text() for name in names(tmp_path)] == ["old", "came meanwhile"]


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(OSError, match=r"its folder does not exist.*none"):
        files.write(tmp_path / "none" / "a.txt", "new")


WRITER = """
import sys
from pathlib import Path
from trainer import files
k = 0
while True:
    k += 1
    files.write(Path(sys.argv[1]), f"{k}\\n" * 50_000)
    if k == 1:
        print("begun", flush=True)
"""


def kill_while_writing(folder: Path, milliseconds: float) -> None:
    """Kill a program that writes one file again and again; the file is whole."""
    place = folder / "a.txt"
    with subprocess.Popen([sys.executable, "-c", WRITER, str(place)], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "begun\n"
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(milliseconds / 1000)
        process.kill()
    lines = place.read_text("utf-8").splitlines()
    assert len(lines) == 50_000
    assert len(set(lines)) == 1


@pytest.mark.parametrize("milliseconds", [3, 8, 17])
def test_killed_while_writing_the_file_is_whole(tmp_path: Path, milliseconds: float) -> None:
    kill_while_writing(tmp_path, milliseconds)


@pytest.mark.soak
@pytest.mark.parametrize("milliseconds", [k * 1.7 for k in range(1, 21)])
def test_killed_twenty_times_while_writing(tmp_path: Path, milliseconds: float) -> None:
    kill_while_writing(tmp_path, milliseconds)


@POSIX
def test_a_program_stopped_while_it_writes_leaves_nothing(tmp_path: Path) -> None:
    script = (
        "import os, signal, sys; from pathlib import Path; from trainer import files\n"
        "from trainer.console import stop\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "with stop.listening(), files.writing(Path(sys.argv[1])) as file:\n"
        "    file.write(b'half'); os.kill(os.getpid(), signal.SIGINT); print('not reached')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "a")], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (
        128 + signal.SIGINT,
        "",
        "spoolroom: stopped before it began; nothing was written\n",
    )
    assert names(tmp_path) == []


QT_FILES = {"QSaveFile", "QFile", "QSettings", "QTemporaryFile"}
MODE = re.compile("[rwax][bt+]{0,2}")


def written_otherwise(tree: ast.AST) -> list[str]:
    """Return what of a module writes or renames a file."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, (ast.Name, ast.Attribute)) and ast.unparse(node).split(".")[-1] in QT_FILES:
            found.append(ast.unparse(node))
        if not isinstance(node, ast.Call):
            continue
        owner, _, name = ast.unparse(node.func).rpartition(".")
        words = [word.value for word in node.args if isinstance(word, ast.Constant)]
        words += [keyword.value.value for keyword in node.keywords if isinstance(keyword.value, ast.Constant)]
        modes = [word for word in words if isinstance(word, str) and MODE.fullmatch(word)]
        first = ast.unparse(node.args[0]) if node.args else ""
        if (
            (name in ("open", "fdopen") and any(set(mode) & set("wax+") for mode in modes))
            or name in ("write_text", "write_bytes", "tofile", "savetxt")
            or (owner in ("os", "shutil") and name in ("replace", "rename", "renames", "move", "copy", "copyfile"))
            or (name in ("save", "QPdfWriter") and ("path" in first or "file" in first))
        ):
            found.append(ast.unparse(node))
    return found


def test_one_module_writes_all_files() -> None:
    """The rule that files are whole or not there holds where there is one writer; standard output is no file."""
    found = {
        file.relative_to(PACKAGE).as_posix(): calls
        for file in sorted(PACKAGE.rglob("*.py"))
        if (calls := written_otherwise(ast.parse(file.read_text("utf-8"))))
    }
    assert found.pop("files.py")
    assert found == {}


def test_other_ways_to_write_are_seen() -> None:
    for line in (
        'path.open("w")',
        'open(name, mode="ab")',
        "path.write_text(text)",
        "os.replace(a, b)",
        "image.save(str(path))",
        "QSaveFile(name)",
        "QtCore.QSettings(name)",
        "QPdfWriter(str(path))",
    ):
        assert written_otherwise(ast.parse(line)), line
    for line in ("path.open('rb')", "image.save(buffer, 'PNG')", "text.replace('w', 'a')", "painter.save()"):
        assert not written_otherwise(ast.parse(line)), line
