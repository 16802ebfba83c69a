"""The strip's tools: the list of its traces, and its export."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QFileDialog

from trainer.errors import SpoolroomError
from trainer.language import tr
from trainer.measuring.needles import Needles
from trainer.window.board.drawing_view import DrawingView
from trainer.window.dials.dials import DialsView
from trainer.window.painting.look import Look
from trainer.window.session.presenter import Presenter
from trainer.window.session.stage import Stage
from trainer.window.strip.view import StripView

if TYPE_CHECKING:
    from trainer.window.strip.trace_list import TracesPane

__all__ = ["StripPresenter", "file_asked"]


def file_asked(stage: Stage, title: str, ending: str) -> Path | None:
    """Ask for a file that a strip is written into, and return it, None for none; the kind chosen ends its name."""
    from trainer.window.strip.export import KINDS

    proposed = stage.places.proposed("strip", title, ending)
    kinds = ";;".join(map(tr, KINDS.values()))
    name, chosen = QFileDialog.getSaveFileName(stage.frame, tr("Export the strip"), proposed, kinds)
    path = Path(name) if name else None
    if path is not None and not path.suffix:
        endings = {tr(words): ending for ending, words in KINDS.items()}
        path = path.with_name(path.name + endings.get(chosen, ".csv"))
    return path


class Page(Protocol):
    """The views that are asked of a page."""

    beside: Look
    strip: StripView
    dials: DialsView
    drawing: DrawingView
    needles: Needles


class StripPresenter(Presenter[Page]):
    """Chooses what the strip shows, and writes it into files."""

    actions = {"traces": "show_traces", "export": "export"}
    _covered: frozenset[str] = frozenset()
    _lines: set[str] = set()
    _list: TracesPane | None = None
    _wanted: tuple[str, list[str] | None] = ("", None)  # the rig, and its columns that the user has chosen

    def take(self, page: Page) -> None:
        """Listen to the strip of the new page; the traces chosen for the same rig stay."""
        super().take(page)
        strip = page.strip
        self._list = None
        strip.latest = self._latest
        strip.hidden_lines = self._hidden_lines
        strip.record.needle = page.needles.stands
        strip.traces_asked.connect(self.show_traces)
        strip.export_asked.connect(self.export)
        strip.said.connect(self.stage.tell)
        strip.changed.connect(self._remember)
        page.dials.dropped.connect(self.drop)
        title, wanted = self._wanted
        if wanted is not None and title == self.session.rig.title:
            strip.want(wanted)

    def _remember(self) -> None:
        self._wanted = self.session.rig.title, self.page.strip.record.traces.wanted

    def _latest(self) -> float:
        return self.session.history.end

    def _hidden_lines(self) -> set[str]:
        """Return the lines whose pressures have been hidden since these instruments were covered."""
        drawing = self.page.drawing
        covered = frozenset(drawing.state.covered)
        if covered != self._covered:
            self._covered, self._lines = covered, set()
        self._lines |= drawing.scene.hidden(self.session.readings, drawing.state)
        return self._lines

    def refit(self) -> None:
        """Take the instruments that are fitted now."""
        self.page.strip.refit(self.session.rig, self.session.readings)
        if self._list is not None:
            self._list.fill()

    def new_look(self) -> None:
        """Print units and colours anew."""
        if self._list is not None and self._list.isVisible():
            self._list.arrange()

    # -- which traces --------------------------------------------------------------------------------------

    def show_traces(self) -> None:
        """Show the list of traces, or close it."""
        if self._list is None:
            from trainer.window.strip.trace_list import TracesPane

            self._list = TracesPane(self.page.beside, self.page.strip, self.stage.ground)
        if self._list.isVisible():
            self.stage.close_pane(self._list)
        else:
            self._list.fill()
            self.stage.open_pane(self._list)

    def drop(self, name: str, place: QPoint) -> None:
        """Add an instrument's reading where its dial was let go on the strip; ``place`` is of the screen."""
        strip = self.page.strip
        if not strip.rect().contains(strip.mapFromGlobal(place)):
            return
        trace = strip.record.traces.of_instrument(name)
        if trace is None:
            self.stage.tell(tr("The strip does not record what {name} reads.").format(name=name))
        elif trace in strip.traces:
            self.stage.tell(tr("{name} is on the strip already.").format(name=name))
        else:
            strip.change(trace.column)

    # -- into a file ---------------------------------------------------------------------------------------

    def export(self) -> None:
        """Ask for a file and write the shown stretch there."""
        path = file_asked(self.stage, self.session.rig.title, " strip.csv")
        if path is not None:
            self.write(path)

    def write(self, path: Path) -> bool:
        """Write the shown stretch into a file; say where it is, or why not. Return whether it was written."""
        from trainer.window.strip import export

        picture = self.page.strip.picture
        self.controller.changed.emit()
        try:
            export.write(
                picture, path, tr("{title}, strip").format(title=self.session.rig.title), self.stage.caption()
            )
        except SpoolroomError as error:
            self.stage.tell(str(error))
            return False
        self.stage.places.went("strip", path)
        covered = [picture.record.traces.all[place].name for place in picture.places if place in picture.hidden]
        left_out = (
            tr(" {covered} is covered and was left out.").format(covered=" and ".join(covered)) if covered else ""
        )
        self.stage.tell(tr("The strip is in {name}.{left_out}").format(name=path.name, left_out=left_out))
        return True
