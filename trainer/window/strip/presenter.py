"""The strip's tools: the list of its traces, its export, and the run before."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QFileDialog

from trainer.errors import SpoolroomError
from trainer.window.compare.pane import RunsPane
from trainer.window.compare.run import START, KeptRun, keep
from trainer.window.session.presenter import Presenter
from trainer.window.strip import export as strip_export
from trainer.window.strip.picture import Before
from trainer.window.strip.trace_list import TracesPane

__all__ = ["StripPresenter"]


class StripPresenter(Presenter):
    """Chooses what the strip shows, writes it into files, keeps a run and lays it over the next one."""

    actions = {"traces": "show_traces", "export": "export", "runs": "show_runs"}
    kept: KeptRun | None = None  # the run before
    aligned = START  # where both runs are laid on each other: their start, or a mark's name
    _covered: frozenset[str] = frozenset()
    _lines: set[str] = set()
    _list: TracesPane | None = None
    _runs: RunsPane | None = None
    _wanted: list[str] | None = None  # columns that the user has chosen

    def take(self) -> None:
        """Listen to the strip of the new page; a kept run of the same rig, and the traces chosen there, stay."""
        window, strip = self.window, self.window.strip
        wanted = self._wanted
        self._list = self._runs = None
        if self.kept is not None and self.kept.title != window.session.rig.title:
            self.kept, wanted = None, None
        strip.latest = self._latest
        strip.hidden_lines = self._hidden_lines
        strip.record.needle = window.board.needles.stands
        strip.traces_asked.connect(self.show_traces)
        strip.runs_asked.connect(self.show_runs)
        strip.export_asked.connect(self.export)
        strip.said.connect(window.tell)
        strip.changed.connect(self._remember)
        window.dials.dropped.connect(self.drop)
        if wanted is not None:
            strip.want(wanted)
        self._lay_over()

    def _remember(self) -> None:
        self._wanted = self.window.strip.record.traces.wanted

    def _latest(self) -> float:
        return self.window.session.history.end

    def _hidden_lines(self) -> set[str]:
        """Return the lines whose pressures have been hidden since these instruments were covered."""
        drawing = self.window.drawing
        covered = frozenset(drawing.state.covered)
        if covered != self._covered:
            self._covered, self._lines = covered, set()
        self._lines |= drawing.scene.hidden(self.window.session.readings, drawing.state)
        return self._lines

    def refit(self) -> None:
        """Take the instruments that are fitted now."""
        self.window.strip.refit(self.window.session.rig, self.window.session.readings)
        if self._list is not None:
            self._list.fill()

    def show_figures(self, seconds: float) -> None:
        """Bring the two runs up to date; a mark that they are laid on each other at may be new."""
        laid = self.window.strip.picture.before
        if laid is not None and laid.shift != self.shift():
            self._lay_over()
        if self._runs is not None and self._runs.isVisible():
            self._runs.refresh()

    def new_look(self) -> None:
        """Print units and colours anew."""
        for pane in (self._list, self._runs):
            if pane is not None and pane.isVisible():
                pane.arrange()

    # -- which traces --------------------------------------------------------------------------------------

    def show_traces(self) -> None:
        """Show the list of traces, or close it."""
        if self._list is None:
            self._list = TracesPane(self.window.board.beside, self.window.strip, self.window.board)
        if self._list.isVisible():
            self.window.close_pane(self._list)
        else:
            self._list.show_ticks()
            self.window.open_pane(self._list)

    def drop(self, name: str, place: QPoint) -> None:
        """Add an instrument's reading where its dial was let go on the strip; ``place`` is of the screen."""
        window, strip = self.window, self.window.strip
        if not strip.rect().contains(strip.mapFromGlobal(place)):
            return
        trace = strip.record.traces.of_instrument(name)
        if trace is None:
            window.tell(f"The strip does not record what {name} reads.")
        elif trace in strip.traces:
            window.tell(f"{name} is on the strip already.")
        else:
            strip.change(trace.column)

    # -- into a file ---------------------------------------------------------------------------------------

    def export(self) -> None:
        """Ask for a file and write the shown stretch there."""
        window = self.window
        proposed = window.places.proposed("strip", window.session.rig.title, " strip.csv")
        kinds = ";;".join(strip_export.KINDS.values())
        name, chosen = QFileDialog.getSaveFileName(window, "Export the strip", proposed, kinds)
        if not name:
            return
        path = Path(name)
        if not path.suffix:
            endings = {words: ending for ending, words in strip_export.KINDS.items()}
            path = path.with_name(path.name + endings.get(chosen, ".csv"))
        self.write(path)

    def write(self, path: Path) -> bool:
        """Write the shown stretch into a file; say where it is, or why not. Return whether it was written."""
        window, picture = self.window, self.window.strip.picture
        window.print_figures()
        try:
            strip_export.write(picture, path, f"{window.session.rig.title}, strip", window.caption())
        except SpoolroomError as error:
            window.tell(str(error))
            return False
        window.places.went("strip", path)
        covered = [picture.record.traces.all[place].name for place in picture.places if place in picture.hidden]
        left_out = f" {' and '.join(covered)} is covered and was left out." if covered else ""
        window.tell(f"The strip is in {path.name}.{left_out}")
        return True

    # -- two runs ------------------------------------------------------------------------------------------

    def show_runs(self) -> None:
        """Show the kept run beside the present one, or close that."""
        if self._runs is None:
            self._runs = RunsPane(self.window.look, self, self.window.board)
        if self._runs.isVisible():
            self.window.close_pane(self._runs)
        else:
            self.window.open_pane(self._runs)
            self._runs.refresh()

    def keep_run(self) -> None:
        """Keep the present run as the run before, in the place of an older one."""
        window = self.window
        if len(window.strip.record.series) < 2:
            window.tell("Nothing has run yet. Run the machine first, then keep the run.")
            return
        self.kept = keep(window.session, window.strip.record, window.marks)
        self.aligned = START
        self._lay_over()
        window.tell("The run is kept. Return to the start (Ctrl+Home), change something, and run again.")

    def forget_run(self) -> None:
        """Drop the run before."""
        self.kept, self.aligned = None, START
        self._lay_over()

    def places_to_align(self) -> list[str]:
        """Return where both runs can be laid on each other: their start, and the marks that both have."""
        common = [name for _, name in self.window.marks if self.kept is not None and name in self.kept.marks]
        return [START, *common]

    def next_alignment(self) -> None:
        """Lay the runs on each other at the next mark that both have, or at their start."""
        places = self.places_to_align()
        if len(places) == 1:
            self.window.tell("Only the start is common to both. Set a mark (Ctrl+K) of the same name in both runs.")
        at = places.index(self.aligned) if self.aligned in places else -1
        self.aligned = places[(at + 1) % len(places)]
        self._lay_over()

    def shift(self) -> float:
        """Return how much later the run before is laid [s]."""
        own = {name: time for time, name in self.window.marks}
        if self.kept is None or self.aligned not in own or self.aligned not in self.kept.marks:
            return 0.0
        return own[self.aligned] - self.kept.marks[self.aligned]

    def _lay_over(self) -> None:
        before = None if self.kept is None else Before(self.kept.series, self.shift())
        self.window.strip.lay_over(before)
        if self._runs is not None and self._runs.isVisible():
            self._runs.arrange()
