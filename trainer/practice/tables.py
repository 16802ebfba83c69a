"""The tables of a task file of lever practice: which keys each may hold, of which types."""

from __future__ import annotations

from typing import Annotated

from msgspec import UNSET, Meta, Struct, UnsetType

from trainer.language import mark
from trainer.lessons.tables import Text, Texts, Time
from trainer.rig.tables import Table, Written, YesNo

__all__ = ["FORMAT", "BandTable", "LapTable", "RolesTable", "StopTable", "TaskTable"]

FORMAT = 1

Letter = Annotated[str, Meta(description=mark('the letter of one of the readings, such as "x"'))]
Letters = Annotated[list[str], Meta(description=mark('letters of the readings, such as ["x", "y"]'))]
ConditionText = Annotated[str, Meta(description=mark('a condition, such as "x > target and v < moves"'))]
Lever = Annotated[str, Meta(description=mark('a lever, such as "3V1.lever"'))]
Levers = Annotated[list[str], Meta(description=mark('a list of levers, such as ["3V1.lever"]'))]
Numbers = Annotated[list[str], Meta(description=mark('a list of numbers with units, such as ["36 mm/s", "44 mm/s"]'))]


class TaskTable(Struct, kw_only=True):
    """The top level of a task file."""

    format: Annotated[int, Meta(description=f"format = {FORMAT}")]
    code: Text
    title: Text
    goal: Text
    counts: Text
    waits: Text = ""
    retention: YesNo = False
    rig: Annotated[str, Meta(description=mark("the name of a shipped rig, or of a file beside the task"))] = ""
    numbers: Table | UnsetType = UNSET
    start: Table | UnsetType = UNSET
    then: Table | UnsetType = UNSET
    levers: Levers = []
    readings: Table = {}
    roles: Table = {}
    laps: Table = {}
    shuffled: YesNo = False
    done: ConditionText | UnsetType = UNSET
    hold: Time = "0.5 s"
    after: Time | UnsetType = UNSET
    time: Time = "60 s"
    stops: Table = {}
    bands: Table = {}
    shown: Annotated[list[str], Meta(description=mark("three measures: one of error, of quality, of time"))] = []
    headline: Text = ""
    aids: Texts | UnsetType = UNSET
    covered: Text = "nothing"
    gauge: Text = ""
    cautions: Texts = []
    advice: Table = {}


class RolesTable(Struct, kw_only=True):
    """Which reading is what for the measures, and the numbers of the task."""

    place: Letter | UnsetType = UNSET
    speed: Letter | UnsetType = UNSET
    contact: Letter | UnsetType = UNSET
    sinking: Letter | UnsetType = UNSET
    pressure: Letter | UnsetType = UNSET
    behind: Letter | UnsetType = UNSET
    power: Letter | UnsetType = UNSET
    path: Letters | UnsetType = UNSET
    carried: Letters | UnsetType = UNSET
    relief: Letters | UnsetType = UNSET
    sway: Letters | UnsetType = UNSET
    second: Lever | UnsetType = UNSET
    target: Written | UnsetType = UNSET
    within: Written | UnsetType = UNSET
    band: Numbers | UnsetType = UNSET
    line: Numbers | UnsetType = UNSET
    spot: Numbers | UnsetType = UNSET
    link: Written | UnsetType = UNSET
    limit: Written | UnsetType = UNSET
    moves: Written | UnsetType = UNSET
    fine: Numbers | UnsetType = UNSET


class LapTable(Struct, kw_only=True):
    """What one lap has otherwise than the task."""

    words: Text
    numbers: Table | UnsetType = UNSET
    start: Table | UnsetType = UNSET
    then: Table | UnsetType = UNSET
    roles: Table = {}


class StopTable(Struct):
    """What ends an attempt."""

    when: ConditionText
    words: Text


class BandTable(Struct):
    """The limits of a measure, and what it is called in this task."""

    practised: Written
    usable: Written
    words: Text = ""
