"""Task files: the shipped ones are in order, and what is wrong with one is told all at once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from cases import first, rungs

from trainer import cli, resources
from trainer.errors import RigError
from trainer.practice import file
from trainer.practice.catalogue import MEASURES
from trainer.practice.checking import faults_of
from trainer.practice.task import AIDS, Task
from trainer.practice.telling import filled
from trainer.units import System

TASKS = rungs()
RUN = [task for task in TASKS if task.runs]
CODES = [task.code for task in RUN]


def test_the_ladder_is_in_order() -> None:
    assert [task.order for task in TASKS] == sorted(task.order for task in TASKS)
    for task in RUN:
        kinds = [MEASURES[id_].kind for id_ in task.shown]
        assert sorted(kinds) == ["error", "quality", "time"], task.code
        assert kinds[0] != "time", f"{task.code}: time is never the first"
        assert task.cautions, f"{task.code} says nothing of what may hurt"
        assert [aid for aid in AIDS if aid in task.aids] == list(task.aids)
        assert task.headline
        assert task.goal.endswith(".")


def test_numbers_in_texts_are_in_the_units_of_the_screen() -> None:
    bare = re.compile(r"\d (m|mm|mm/s|m/s²|kg|kN|bar|L/min|°C)\b")
    for task in TASKS:
        texts = [task.title, task.goal, *(lap.words for lap in task.laps), *(stop.words for stop in task.stops)]
        for text in texts:
            assert not bare.search(re.sub(r"{[^}]*}", "", text)), f"{task.code}: {text}"
            assert "{" not in filled(text, System.US)
    goal = next(task.goal for task in TASKS if task.code == "E14")
    assert filled(goal, System.METRIC).startswith("Hold the boom at 20 mm/s for")
    assert filled(goal, System.US).startswith("Hold the boom at 0.79 in/s for")


def test_what_is_no_number_in_a_text_is_a_fault() -> None:
    assert "bad number" in faults(changed(goal='goal = "Lift it at {v}."')).values()


def test_no_task_says_that_anyone_is_fit_for_a_machine() -> None:
    for path in resources.practice().values():
        assert not re.search(
            r"\b(certif|qualif|licen[cs]|fit to|ready for a)", path.read_text("utf-8"), re.IGNORECASE
        )


@pytest.mark.parametrize("task", first(1, RUN), ids=CODES)
def test_the_engine_finds_no_fault(task: Task) -> None:
    assert [*faults_of(task)] == []


def changed(**lines: str) -> str:
    """Return the text of the first task with some of its lines written otherwise, by what they begin with."""
    text = resources.path("practice/E01-find-the-crack-point.toml").read_text("utf-8")
    for key, line in lines.items():
        text, count = re.subn(rf"(?m)^{key} = .*$", line, text)
        assert count, key
    return text


def faults(text: str) -> dict[str, str]:
    """Return the faults of a text: where each is, and of which kind."""
    with pytest.raises(RigError) as caught:
        file.loads(text, Path("E01.toml"))
    assert all(fault.problem and fault.remedy for fault in caught.value.faults)
    return {fault.where: fault.kind for fault in caught.value.faults}


def test_all_faults_are_told_at_once() -> None:
    found = faults(
        changed(
            rig='rig = "one-spool-bench"\nhelps = ["path"]',
            levers='levers = ["1V1.leaver"]',
            done='done = "speed > moves"',
            hold='hold = "2 kg"',
            shown='shown = ["time", "jump", "reversals"]',
            gauge='gauge = "P9"',
            moves='moves = "0,3 mm/s"',
            v='v = "speed rod1 before"',
        )
    )
    assert found == {
        "key 'helps'": "unknown key",
        "key 'levers'": "unknown word",
        "key 'done'": "unknown word",
        "key 'hold'": "bad number",
        "key 'shown'": "no such measure",
        "key 'headline'": "no such measure",
        "key 'gauge'": "unknown word",
        "[roles] moves": "bad number",
        "[roles] speed": "unknown word",
        "[readings] v": "bad reading",
    }


@pytest.mark.parametrize(
    ("lines", "where", "kind"),
    [
        ({"shown": 'shown = ["jump", "reversals", "effort"]'}, "key 'shown'", "no limits"),
        ({"shown": 'shown = ["time", "jump", "reversals"]'}, "key 'shown'", "wrong measures"),
        ({"jump": 'jump = { practised = "3 mm/s", usable = "2 mm/s" }'}, "[bands] jump", "bad pair"),
        ({"headline": 'headline = "Swung {sway} far."'}, "key 'headline'", "no such measure"),
        ({"rig": 'rig = "two-spool-bench"'}, "key 'rig'", "unknown rig"),
        ({"done": 'done = "v"'}, "key 'done'", "bad formula"),
        ({"format": "format = 9"}, "key 'format'", "wrong format"),
        ({"gauge": 'gauge = "P1"\nadvice = { hurry = "Faster." }'}, "[advice] hurry", "unknown word"),
        ({"gauge": 'gauge = "P1"\naids = ["path", "ghosts"]'}, "key 'aids'", "unknown word"),
        ({"levers": "levers = []"}, "key 'levers'", "no lever"),
        ({"shown": 'shown = ["jump", "1 mm", "time"]'}, "key 'shown'", "unknown word"),
        ({"power": 'power = "w"\npath = ["x"]\nline = ["1 m", "2 m", "3 m", "4 m"]'}, "[roles] line", "bad pair"),
        ({"gauge": 'gauge = "P1"\ncovered = "all"'}, "key 'covered'", "unknown word"),
    ],
)
def test_a_fault_is_told_with_its_place(lines: dict[str, str], where: str, kind: str) -> None:
    assert faults(changed(**lines)).get(where) == kind


def test_a_task_without_a_run_says_what_it_waits_for() -> None:
    bare = 'format = 1\ncode = "E16"\ntitle = "T"\ngoal = "G."\ncounts = "c"\n'
    waits = file.loads(f'{bare}waits = "the twin"', Path("E16.toml"))
    assert (waits.waits, waits.runs) == ("the twin", False)
    assert set(faults(bare)) == {"the file"}


@pytest.mark.parametrize(
    ("lines", "kind"),
    [
        ({"x": 'x = "place rod2"'}, "bad reading"),
        ({"moves": 'moves = "3 mm"'}, "wrong quantity"),
        ({"jump": 'jump = { practised = "1 mm", usable = "2 mm" }'}, "wrong quantity"),
        ({"power": 'power = "w"\nlink = "2 deg"'}, "wrong quantity"),
        ({"done": 'done = "x > 0"'}, "done at once"),
        ({"when": 'when = "x > 0.01"'}, "over at once"),
    ],
)
def test_the_engine_finds_what_the_file_cannot_tell(lines: dict[str, str], kind: str) -> None:
    task = file.loads(changed(**lines), Path("E01.toml"))
    assert {fault.kind for fault in faults_of(task)} == {kind}


def test_check_knows_tasks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text(changed(), "utf-8")
    bad.write_text(changed(levers='levers = ["1V1.leaver"]'), "utf-8")
    assert cli.main(["check", str(good), str(bad)]) == 1
    told = capsys.readouterr().out
    assert "good.toml: in order (E1, Find the crack point" in told
    assert "Did you mean '1V1.lever'" in told
