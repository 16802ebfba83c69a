"""What can be done with a thing of the window, as a list: each entry an action that the window has anyway."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Protocol

from PySide6.QtCore import QPointF

from trainer.changing.put_in import cup_ports, takes_tester
from trainer.drawing.picking import Pick
from trainer.energy.ledger import Entry
from trainer.engine.session import Session
from trainer.language import tr
from trainer.parts.part import Kind
from trainer.parts.roles import Pump
from trainer.rig.names import part_words, port_words
from trainer.window.board.drawing_view import DrawingView
from trainer.window.board.lever_view import LeverView
from trainer.window.board.machine_pane import MachinePane
from trainer.window.board.rack_view import RackView
from trainer.window.board.setting_view import SettingView
from trainer.window.board.steps_view import StepsView, Switch
from trainer.window.controls.actions import Actions
from trainer.window.controls.keys import key_of
from trainer.window.dials.dials import DialsView
from trainer.window.dials.places import Target, target_at
from trainer.window.dials.presenter import DialsPresenter
from trainer.window.dials.rail import KINDS
from trainer.window.explaining.presenter import ExplainingPresenter
from trainer.window.ledgers.presenter import LedgersPresenter
from trainer.window.ledgers.view import LedgerView
from trainer.window.opening.put_in import PutInPresenter
from trainer.window.rig.presenter import RigPresenter
from trainer.window.strip.traces import Trace
from trainer.window.strip.view import StripView
from trainer.window.tracing.presenter import TracingPresenter
from trainer.window.working.presenter import WorkingPresenter
from trainer.working import Subject

__all__ = ["Offer", "Offers", "Page", "Tools"]

_MOST = 3  # traces and parts that are offered of one thing


@dataclass(frozen=True, slots=True)
class Offer:
    """One entry: what it does in words, the key that does the same, and the doing; without it the entry is a rule.

    ``refusal`` says why it cannot be done now.
    """

    words: str = ""
    do: Callable[[], object] | None = None
    key: str = ""
    refusal: str = ""


RULE = Offer()


class Page(Protocol):
    """The views that are asked of a page."""

    drawing: DrawingView
    machine: MachinePane
    rack: RackView
    dials: DialsView
    strip: StripView


@dataclass(frozen=True, slots=True)
class Tools:
    """What offers do: the presenters, all actions of the window, and asking for a rig file."""

    working: WorkingPresenter
    rig: RigPresenter
    dials: DialsPresenter
    ledgers: LedgersPresenter
    tracing: TracingPresenter
    actions: Actions
    open_file: Callable[[], None]
    explaining: ExplainingPresenter
    put_in: PutInPresenter


class Offers:
    """Lists what is offered; every method yields the offers of one kind of thing."""

    def __init__(self, session: Session, page: Page, tools: Tools) -> None:
        self.session, self.page, self.tools = session, page, tools

    def _act(self, action: str, words: str) -> Offer:
        own = self.tools.actions[action]
        return Offer(words, own.trigger, own.key, own.refusal)

    # -- things of the rig ---------------------------------------------------------------------------------------

    def part(self, id_: str, point: QPointF | None = None) -> Iterator[Offer]:
        """Yield what can be done with a part; ``point`` is where it was pointed at [px of the drawing]."""
        told = self.tools.actions["part page"]
        yield Offer(
            tr("What it is, and how it works"),
            partial(self.tools.explaining.show_part, id_),
            told.key,
            told.refusal,
        )
        yield Offer(
            tr("Show the working"),
            partial(self.tools.working.show, Subject("part", id_)),
            key_of("working"),
        )
        yield Offer(tr("Change its numbers"), partial(self.tools.rig.show_part, id_), key_of("numbers"))
        yield from self._outlet(id_)
        if self.tools.put_in.can_take_out(id_):
            yield Offer(tr("Take it out again"), partial(self.tools.put_in.take_out, id_))
        yield from self._fit(point)
        yield from self._traces(
            [trace for trace in self.page.strip.record.traces.all if self._reads_part(trace, id_)]
        )

    def line(self, name: str, point: QPointF | None = None) -> Iterator[Offer]:
        """Yield what can be done with a line."""
        if self.session.rig.lines[name].kind is Kind.OIL:
            told = self.tools.actions["part page"]
            yield Offer(tr("What it is"), partial(self.tools.explaining.show_word, "line"), "", told.refusal)
        yield Offer(
            tr("Show the working"),
            partial(self.tools.working.show, Subject("line", name)),
            key_of("working"),
        )
        if self.session.rig.lines[name].kind is Kind.OIL:
            yield from self._oil(name)
        yield from self._fit(point)
        traces = self.page.strip.record.traces.all
        yield from self._traces([trace for trace in traces if trace.column == f"pressure {name}"])

    def instrument(self, name: str) -> Iterator[Offer]:
        """Yield what can be done with an instrument that is fitted."""
        view = self.page.dials.dial(name)
        if view is not None:
            place = self.page.dials.dials.index(view) + 1
            words = tr("Uncover it") if view.covered else tr("Cover it")
            yield Offer(words, partial(self.page.dials.toggle, place), f"Alt+{place}" if place <= 9 else "")
        yield Offer(
            tr("Show the working"),
            partial(self.tools.working.show, Subject("instrument", name)),
            key_of("working"),
        )
        trace = self.page.strip.record.traces.of_instrument(name)
        yield from self._traces([] if trace is None else [trace])
        key, told = self.session.rig.instruments[name].kind.replace(" ", "-"), self.tools.actions["part page"]
        yield Offer(tr("What it is"), partial(self.tools.explaining.show_word, key), "", told.refusal)
        change = partial(self.tools.dials.open_change, name)
        yield Offer(tr("Change its range, class or damping"), change, key_of("change instrument"))
        yield Offer(tr("Take it off"), partial(self.tools.dials.take_off, name), "Delete")

    def entry(self, view: LedgerView, entry: Entry) -> Iterator[Offer]:
        """Yield what can be done with an entry of a ledger."""
        rig = self.session.rig
        kept = view.kept == entry.id
        yield Offer(
            tr("Let its parts go dark") if kept else tr("Keep its parts lit"),
            partial(view.picked.emit, entry),
            "Enter",
        )
        yield Offer(tr("Show the working"), partial(view.opened.emit, entry), key_of("working"))
        for id_ in entry.parts[:_MOST]:
            if id_ in rig.parts:
                yield Offer(
                    tr("Numbers of the {part}").format(part=part_words(rig, id_)),
                    partial(self.tools.rig.show_part, id_),
                )
        yield from self.ledger()

    def ledger(self) -> Iterator[Offer]:
        """Yield what can be done with a whole ledger."""
        pane = self.tools.ledgers.pane
        yield self._act(
            "ledgers", tr("Put the ledgers over time away") if pane.isVisible() else tr("Ledgers over time")
        )

    def trace(self, trace: Trace | None) -> Iterator[Offer]:
        """Yield what can be done with a trace of the strip, or with the strip."""
        if trace is not None:
            yield from self._traces([trace])
        strip = self.page.strip
        frozen = strip.picture.time.frozen
        yield self._act("traces", tr("Choose the traces"))
        yield Offer(
            tr("Let it follow time") if frozen else tr("Pause it while the machine goes on"),
            partial(strip.freeze, not frozen),
            key_of("strip freeze"),
        )
        yield Offer(tr("Show it as at first"), strip.home, "Home")
        yield self._act("runs", tr("Keep and compare runs"))
        yield self._act("export", tr("Write it as a table or a picture"))

    # -- what is moved -------------------------------------------------------------------------------------------

    def lever(self, view: LeverView) -> Iterator[Offer]:
        """Yield what can be done with a lever of the rack, and with its section."""
        motion = view.motion
        yield Offer(
            tr("Let it spring back") if motion.held else tr("Hold it where it is"), view.hold.toggle, key_of("hold")
        )
        yield Offer(tr("Write an exact place"), view.ask_exactly, "Enter")
        yield Offer(tr("Mirror it to the other side"), partial(self._moved, view, motion.turn_over), key_of("mirror"))
        yield Offer(tr("Back to the centre"), partial(self._moved, view, motion.centre), "Home")
        yield RULE
        yield from self.part(view.control_name.partition(".")[0])

    def setting(self, view: SettingView | StepsView | Switch, control: str) -> Iterator[Offer]:
        """Yield what can be done with a scale, a row of steps or a switch."""
        if isinstance(view, SettingView):
            yield Offer(tr("Write an exact value"), view.ask_exactly, "Enter")
        elif isinstance(view, StepsView):
            yield Offer(tr("The next one"), partial(view.next, 1), key_of("load"))
            yield Offer(tr("The one before"), partial(view.next, -1), f"Shift+{key_of('load')}")
        else:
            yield Offer(tr("Switch it off") if view.isChecked() else tr("Switch it on"), view.click, "Enter")
        yield RULE
        yield from self.part(control.partition(".")[0])

    @staticmethod
    def _moved(view: LeverView, do: Callable[[], object]) -> None:
        do()
        view.moved.emit()

    # -- what is always there ------------------------------------------------------------------------------------

    def rail(self, kind: str) -> Iterator[Offer]:
        """Yield what can be done with a kind of instrument of the rail."""
        if kind == "stopwatch":
            yield self._act("stopwatch", tr("Start or stop it"))
            yield self._act("stopwatch condition", tr("What starts and stops it"))
        else:
            yield Offer(tr("Choose its place"), partial(self.page.dials.rail.items[kind].opened.emit, kind))
        yield self._act("cover all", tr("Cover or uncover all instruments"))

    def time(self) -> Iterator[Offer]:
        """Yield what can be done with time."""
        yield self._act("run", tr("Freeze") if self.session.running else tr("Run"))
        yield self._act("mark", tr("Mark this instant"))
        yield self._act("earlier mark", tr("To the mark before"))
        yield self._act("later mark", tr("To the mark after"))
        yield self._act("reset", tr("Back to the start"))

    def ground(self) -> Iterator[Offer]:
        """Yield what can be done with the drawing as a whole."""
        yield self._act("fit", tr("Fit the whole drawing"))
        if self.page.machine.exists:
            yield self._act("view", tr("Drawing, machine or both"))
        yield self._act("trace", tr("Trace the oil step by step"))
        yield self._act("fit instrument", tr("Fit an instrument"))
        yield self._act("copy", tr("Copy it as a picture"))
        yield self._act("picture", tr("Save it as a picture"))

    def rest(self) -> Iterator[Offer]:
        """Yield what can be done anywhere."""
        yield RULE
        yield Offer(tr("Open a rig file"), self.tools.open_file)
        yield self._act("numbers", tr("Numbers of the rig"))
        yield self._act("save", tr("Save the rig"))
        yield self._act("beside", tr("Beside another rig"))
        yield self._act("lessons", tr("Lessons"))
        yield self._act("glossary", tr("Parts and words"))
        yield self._act("first page", tr("First page"))
        yield self._act("help", tr("All keys"))
        yield self._act("about", tr("About Spoolroom"))

    def asked(self) -> Iterator[Offer]:
        """Yield what can be done while the oil's path is asked for: nothing that would tell it."""
        yield self._act("trace", tr("Show a step"))
        yield self._act("ask path", tr("End the questions"))

    # -- pieces --------------------------------------------------------------------------------------------------

    def picked(self, thing: Pick, point: QPointF | None) -> Iterator[Offer]:
        """Yield what can be done with a thing of the drawing."""
        if thing.kind == "instrument":
            return self.instrument(thing.name)
        return self.line(thing.name, point) if thing.kind == "line" else self.part(thing.name, point)

    def _oil(self, line: str) -> Iterator[Offer]:
        presenter = self.tools.tracing
        if presenter.count is not None and presenter.line == line:
            yield Offer(tr("Light the oil's path no more"), presenter.stop)
        else:
            yield Offer(tr("Follow the oil from here"), partial(presenter.follow, line))

    def _outlet(self, id_: str) -> Iterator[Offer]:
        rig = self.session.rig
        role = rig.parts[id_].part.role
        if isinstance(role, Pump):
            yield from self._oil(rig.line_of(id_, role.outlet).name)

    def _fit(self, point: QPointF | None) -> Iterator[Offer]:
        """Yield what could be fitted where something was pointed at."""
        if point is None:
            return
        presenter, scene = self.tools.dials, self.page.drawing.scene
        for kind in KINDS:
            if kind != "stopwatch" and (target := target_at(scene, kind, point.x(), point.y())).on:
                yield Offer(
                    tr("Fit a {kind}: {words}").format(kind=tr(kind), words=target.words),
                    partial(presenter.fit_at, kind, target.on),
                )
        yield from self._put_in(target_at(scene, "flow meter", point.x(), point.y()))

    def _put_in(self, target: Target) -> Iterator[Offer]:
        """Yield what can be put in at a port: a tester where it does no harm; a cup where its part leaks."""
        rig, put_in = self.session.rig, self.tools.put_in
        part, _, port = target.on.partition(".")
        if not port:
            return
        if takes_tester(rig, part, port):
            words = tr("Put in a flow tester: {words}").format(words=target.words)
            yield Offer(words, partial(put_in.put_tester, part, port))
        elif isinstance(role := rig.parts[part].part.role, Pump) and takes_tester(rig, part, role.outlet):
            words = tr("Put in a flow tester: {words}").format(words=port_words(rig, part, role.outlet))
            yield Offer(words, partial(put_in.put_tester, part, role.outlet))
        for leaks in cup_ports(rig, part):
            words = tr("Catch what runs out in a cup: {port}").format(port=port_words(rig, part, leaks))
            yield Offer(words, partial(put_in.put_cup, part, leaks))

    def _traces(self, traces: list[Trace]) -> Iterator[Offer]:
        strip = self.page.strip
        shown = {trace.column for trace in strip.traces}
        for trace in traces[:_MOST]:
            words = tr("Take {} off the strip") if trace.column in shown else tr("Show {} on the strip")
            yield Offer(words.format(trace.name), partial(strip.change, trace.column))

    def _reads_part(self, trace: Trace, id_: str) -> bool:
        rig = self.session.rig
        for key in trace.reads:
            if key[0] in ("flow", "value", "control", "skin") and key[1] == id_:
                return True
            if key[0] in ("speed", "place") and any(owner == id_ for owner, _ in rig.lines[key[1]].joins):
                return True
        return False
