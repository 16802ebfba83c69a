"""Rig files and lever scripts with mistakes made by chance, opened as the window opens them.

Run with a first and a last seed it opens one file for each, and prints in JSON what must not be.
"""

from __future__ import annotations

import json
import random
import re
import sys
import tempfile
import traceback
from collections import Counter
from pathlib import Path

from trainer import resources
from trainer.changing.opening import session_of
from trainer.errors import RigError, SpoolroomError
from trainer.rig import file as rig_file
from trainer.rig import levers

RIGS = {name: file.read_text("utf-8") for name, file in resources.rigs().items()}
SCRIPTS = {name: file.read_text("utf-8") for name, file in resources.levers().items()}
_MARKS = "\"'“”[]{}(),.=#;:%\\/-+*\t\0\r\u202e é0aZ"
_VALUES = ("0", "-1", "1e9", "1e-12", "nan", "inf", "true", '""', '"x"', "[]", "{}", "[1]", "[1, 2, 3]", "[[1, 2]]",
           "1979-05-27", '"50 bar"', '"50 mm"', '"3 kg"', '"-5 %"', "'0 %'", '"\'0 %"', '"1e400 bar"')  # fmt: skip
_VALUE = re.compile(r'"[^"\n]*"|\[[^\[\]\n]*\]|(?<== )[\w.+-]+')
_PORT = re.compile(r"\d[A-Z]\d\.\w+")
_ROUTE = '{0} = [["{1}", [{2}, {3}], "{4}"], [[{3}, {2}], "{1}"]]'


def _one_more(lines: list[str], draw: random.Random) -> None:
    """Make one mistake of the kinds that hands, editors and other programs make."""
    k = draw.randrange(len(lines))
    text = "\n".join(lines)
    match draw.randrange(13):
        case 0:
            del lines[k]
        case 1:
            lines.insert(draw.randrange(len(lines)), lines[k])
        case 2:
            j = draw.randrange(len(lines))
            lines[k], lines[j] = lines[j], lines[k]
        case 3 | 4:
            at = draw.randrange(len(lines[k]) + 1)
            lines[k] = lines[k][:at] + draw.choice(["", draw.choice(_MARKS)]) + lines[k][at + draw.randint(0, 2) :]
        case 5 | 6:
            lines[k] = _VALUE.sub(lambda m: draw.choice([m[0], *draw.sample(_VALUES, 2)]), lines[k])
        case 7:
            found = _PORT.findall(text)
            lines[k] = _PORT.sub(lambda m: draw.choice([m[0], draw.choice(found or ["0P1.P"])]), lines[k])
        case 8:
            words = re.findall(r"\w+", text)
            lines[k] = re.sub(r"\w+", lambda m: m[0] if draw.random() < 0.8 else draw.choice(words), lines[k])
        case 9:
            lines[k] = re.sub(r"\d+(\.\d+)?", lambda m: f"{float(m[0]) * draw.choice([0, 0.1, 3, 100]):g}", lines[k])
        case 10:
            del lines[draw.randrange(len(lines)) :]
            lines.append("")
        case 11:
            lines[k] = draw.choice(["the pump is weak", "[lines]", "[drawing.routes]", "x = 1", lines[k].upper()])
        case 12:
            ports = draw.choices(_PORT.findall(text) or ["0P1.P"], k=2)
            name = draw.choice(re.findall(r"^(\w+) = ", text, re.MULTILINE) or ["P1"])
            numbers = [draw.choice([0, 7, 7.5, 41, -30, 400, 4000]) for _ in "xy"]
            lines.append(_ROUTE.format(name, ports[0], *numbers, ports[1]))
    if not lines:
        lines.append("")


def mutant(seed: int) -> tuple[str, str, bytes]:
    """Return the name of what a seed's file was made of, its ending, and its bytes."""
    draw = random.Random(seed)
    script = seed % 4 == 3
    known = SCRIPTS if script else RIGS
    name = "one-spool-bench" if draw.random() < 0.8 else draw.choice(sorted(known))
    text = known[name]
    if not script and draw.random() < 0.4:  # drawn by itself
        text = text.partition("\n[drawing")[0] + "\n\n[drawing.routes]\n"
    lines = text.split("\n")
    for _ in range(draw.choice([1, 1, 1, 2, 3, 6])):
        _one_more(lines, draw)
    coding = draw.choice(["utf-8"] * 12 + ["utf-8-sig", "utf-16", "utf-16-le", "latin-1"])
    end = draw.choice(["\n"] * 10 + ["\r\n", "\r"])
    return name, ".csv" if script else ".toml", end.join(lines).encode(coding, "replace")


def complaint(seed: int, folder: Path) -> tuple[str, str]:
    """Return how a seed's file was met, and what must not be about it, or nothing."""
    name, ending, content = mutant(seed)
    file = folder / f"mutant{ending}"
    file.write_bytes(content)
    try:
        if ending == ".csv":
            own = next(rig for rig in RIGS if name.startswith(rig))
            levers.load(file).checked(rig_file.loads(RIGS[own]))
        else:
            session_of(file).advance(0.1)
    except RigError as error:
        if not str(error).startswith(f"{file}: "):
            return "refused", f"does not name the file: {error}"
        for fault in error.faults:
            told = str(fault)
            if not fault.advice or not fault.problem.endswith(".") or "\n" in told or len(told) > 900:
                return "refused", f"no remedy or no sentence: {told!r}"
            if not fault.place and fault.kind not in _OF_THE_WHOLE:
                return "refused", f"no place: {told!r}"
            if re.search(r"''|: (\S+): \1:", told):
                return "refused", f"doubled: {told!r}"
        numbers = [fault.line for fault in error.faults if fault.line]
        return "refused", "" if numbers == sorted(numbers) else f"out of order: {numbers}"
    except SpoolroomError as error:
        return "stopped", f"nobody foresaw: {error}" if "Compare it with a shipped rig" in str(error) else ""
    except Exception:
        return "broken", traceback.format_exc(limit=-3)
    return "opened", ""


_OF_THE_WHOLE = ("not UTF-8", "binary", "too large", "missing file", "more faults", "no rows", "number too long")


def main() -> None:
    """Open the files of the seeds and print what was met."""
    met, wrong = Counter[str](), {}
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(int(sys.argv[1]), int(sys.argv[2])):
            how, words = complaint(seed, Path(folder))
            met[how] += 1
            if words:
                wrong[seed] = words
    print(json.dumps({"met": met, "wrong": wrong}))


if __name__ == "__main__":
    main()
