"""The verbs that list what there is: parts, one part's page, shipped rigs."""

from __future__ import annotations

import argparse
from pathlib import Path

from trainer import files
from trainer.changing import rig_shelf
from trainer.console import WrongUse
from trainer.errors import nearest
from trainer.language import tr
from trainer.parts import CATALOGUE
from trainer.rig import reference, reference_text
from trainer.rig.file import is_id
from trainer.verbs import require_new, system_of

__all__ = ["part", "parts", "rigs"]


def rigs(options: argparse.Namespace) -> int:
    """List the shipped rigs by what they teach, each with the sentence that says what it is for."""
    del options
    known = rig_shelf.shelf()
    wide = max((len(one.path.stem) for one in known), default=0) + 2
    for k, (heading, those) in enumerate(rig_shelf.by_topic(known).items()):
        print(("\n" if k else "") + heading)
        for one in those:
            title = one.title if one.title.endswith((".", "?", "!")) else f"{one.title}."
            print("\n".join(reference_text.wrapped(f"  {one.path.stem:{wide}}", f"{title} {one.about}")))
    return 0


def parts(options: argparse.Namespace) -> int:
    """List the parts by what they are, or write all their pages to a file."""
    if options.out is None:
        print("\n".join(reference_text.listed()))
        return 0
    out = Path(options.out)
    require_new(out, options)
    files.write(out, reference_text.all_parts())
    print(out)
    return 0


def part(options: argparse.Namespace) -> int:
    """Print the page of a part."""
    name = " ".join(options.name)
    found = reference.named(name)
    if found is None:
        raise WrongUse(
            tr("no part is called '{name}'. {near} (spoolroom parts lists them)").format(
                name=name[:40], near=_near(name)
            )
        )
    print("\n".join(reference_text.page(found, system_of(options))))
    return 0


def _near(name: str) -> str:
    """Return a sentence with the parts that may be meant by what is none."""
    if is_id(name):
        return tr("That is a place in a rig: write what stands behind its 'is' in the rig file, such as FixedPump.")
    having = reference.having(name)
    if having:
        return tr("Known here: {names}.").format(names=", ".join(part.__name__ for part in having))
    return nearest(name, CATALOGUE)
