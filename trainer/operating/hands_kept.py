"""What is kept of hands from one start to the next: of controllers, and the lever patterns of each rig."""

from __future__ import annotations

from pathlib import Path

import msgspec

from trainer import files
from trainer.language import tr
from trainer.operating.axes import Travel
from trainer.operating.patterns import Pattern

__all__ = ["LONGEST", "HandsKept", "PadKept", "RigHands", "keep_hands", "kept_hands"]

LONGEST = 40  # letters of a pattern's name
_LARGEST = 1 << 20  # bytes of the file


class RigHands(msgspec.Struct):
    """The patterns of a rig, and which is chosen."""

    patterns: list[Pattern] = []
    chosen: int = 0


class PadKept(msgspec.Struct):
    """What is known of a controller: the ``hand`` that a single stick is in, "" for not said, its axes' travels."""

    name: str = ""
    hand: str = ""
    travels: dict[str, Travel] = {}


class HandsKept(msgspec.Struct):
    """All that is kept of hands: of controllers by their keys, of rigs by their titles."""

    pads: dict[str, PadKept] = {}
    rigs: dict[str, RigHands] = {}


def kept_hands(path: Path) -> tuple[HandsKept, str]:
    """Return what a file keeps, and in a sentence why it is passed over, "" where it is used or not there."""
    try:
        kept = msgspec.json.decode(files.read(path, _LARGEST), type=HandsKept)
    except FileNotFoundError:
        return HandsKept(), ""
    except OSError as error:
        reason = files.reason(error)
        return HandsKept(), tr("Stick settings in {path} are passed over: {reason}.").format(path=path, reason=reason)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return HandsKept(), tr("Stick settings in {path} are passed over: they cannot be read.").format(path=path)
    for pad in kept.pads.values():
        pad.travels = {name: travel for name, travel in pad.travels.items() if travel.usable}
        pad.hand = pad.hand if pad.hand in ("left", "right") else ""
    for hands in kept.rigs.values():
        hands.patterns = [Pattern(one.name[:LONGEST], one.leads) for one in hands.patterns]
        hands.chosen = hands.chosen if 0 <= hands.chosen < len(hands.patterns) else 0
    return kept, ""


def keep_hands(kept: HandsKept, path: Path) -> str:
    """Write what is kept, all or nothing; return why it could not be written, or nothing."""
    try:
        files.own_folder(path.parent)
        files.write(path, msgspec.json.format(msgspec.json.encode(kept)), private=True)
    except OSError as error:
        return files.reason(error)
    return ""
