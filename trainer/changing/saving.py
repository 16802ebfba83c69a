"""A changed rig as a rig file: in its author's words, read back before it is written."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from pathlib import Path

from trainer import files, resources
from trainer.errors import Fault, RigError, SpoolroomError
from trainer.language import tr
from trainer.rig import file as rig_file
from trainer.rig.rewriter import rewrite
from trainer.rig.rig import Rig
from trainer.rig.text import read_text
from trainer.rig.writer import drawn, dump

__all__ = ["save", "text_of"]


def save(rig: Rig, path: Path) -> Rig:
    """Write a rig into a file and return it as it is read back from there.

    Raises SpoolroomError with a sentence where that cannot be, or where what would be read back is not the rig; the
    file that was there is then as it was.
    """
    name = path.name
    if path.suffix.lower() != ".toml":
        raise SpoolroomError(tr("{name} is no name for a rig. Let it end in .toml.").format(name=name))
    if resources.is_shipped(path):
        raise SpoolroomError(
            tr("{name} came with Spoolroom and stays as it is. Choose another name.").format(name=name)
        )
    if path.is_dir():
        raise SpoolroomError(tr("{name} is a folder. Choose another name.").format(name=name))
    text, read = text_of(rig, path)
    try:
        files.write(path, text)
    except OSError as error:
        raise SpoolroomError(
            tr("{name} could not be written ({reason}). Choose another folder.").format(
                name=name, reason=files.reason(error)
            )
        ) from error
    return read


def text_of(rig: Rig, path: Path) -> tuple[str, Rig]:
    """Return the text of a rig, in its author's words where its file is at hand, and the rig as it is read back.

    Raises SpoolroomError with a sentence where what would be read back is not the rig.
    """
    texts = [dump(rig)]
    with contextlib.suppress(RigError):
        before = read_text(Path(rig.source))
        texts.insert(0, rewrite(before, rig_file.loads(before, rig.source), rig))
    faults: list[Fault] = []
    for text in texts:
        try:
            read = rig_file.loads(text, str(path))
        except RigError as error:
            faults += error.faults
            continue
        if replace(read, source=rig.source) == replace(rig, drawing=drawn(rig)):
            return text, read
    why = (
        tr("the rig could not be read back. {faults}").format(faults=faults[-1])
        if faults
        else tr("what is read back would not be the same rig.")
    )
    raise SpoolroomError(tr("{name} was not written: {why}").format(name=path.name, why=why))
