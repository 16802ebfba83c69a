"""Tables on paper: pages of A4 as PDF, with their title and number, black on white in the type of the window."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from html import escape

from PySide6.QtCore import QMarginsF, QRectF, QSizeF, Qt
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter, QTextDocument

from trainer.language import tr
from trainer.window.painting import fonts
from trainer.window.painting.picture import pdf

__all__ = ["table_pdf"]

_DOTS, _SIZE, _SMALL = 96, 13, 12  # dots to the inch, sizes of type
_MARGIN = 14.0  # mm
_STYLE = """
h1 { font-size: 22px; margin-bottom: 2px; }
p { color: #3a3a3a; margin-top: 2px; }
th { text-align: left; border-bottom: 2px solid #000000; }
td { border-bottom: 1px solid #a8a8a8; }
"""


def table_pdf(title: str, notes: Sequence[str], heads: Sequence[str], rows: Sequence[Sequence[str]]) -> bytes:
    """Return a table as PDF, a page broad: its title, a line for each note, then the rows under their heads."""
    return pdf(title, _DOTS, partial(_draw, title, _html(title, notes, heads, rows)))


def _draw(title: str, html: str, writer: QPdfWriter) -> None:
    margins = QMarginsF(_MARGIN, _MARGIN, _MARGIN, _MARGIN)
    page = QPageSize(QPageSize.PageSizeId.A4)
    writer.setPageLayout(QPageLayout(page, QPageLayout.Orientation.Landscape, margins, QPageLayout.Unit.Millimeter))
    foot = 2.0 * _SMALL
    across, down = float(writer.width()), writer.height() - foot
    document = QTextDocument()
    document.setDocumentMargin(0.0)
    font = fonts.font(_SIZE)
    document.setDefaultFont(font)
    document.setDefaultStyleSheet(_STYLE)
    document.setHtml(html)
    document.setPageSize(QSizeF(across, down))
    painter = QPainter(writer)
    try:
        for k in range(document.pageCount()):
            if k:
                writer.newPage()
            painter.save()
            painter.translate(0.0, -k * down)
            document.drawContents(painter, QRectF(0.0, k * down, across, down))
            painter.restore()
            painter.setFont(fonts.font(_SMALL))
            told = tr("{title}, page {page} of {count}").format(title=title, page=k + 1, count=document.pageCount())
            painter.drawText(QRectF(0.0, down, across, foot), Qt.AlignmentFlag.AlignRight, told)
    finally:
        painter.end()


def _html(title: str, notes: Sequence[str], heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    head = "".join(f"<th>{escape(one)}</th>" for one in heads)
    body = "".join(f"<tr>{''.join(f'<td>{_cell(cell)}</td>' for cell in row)}</tr>" for row in rows)
    told = "".join(f"<p>{escape(one)}</p>" for one in notes)
    table = f'<table width="100%" cellpadding="4" cellspacing="0"><thead><tr>{head}</tr></thead>{body}</table>'
    return f"<h1>{escape(title)}</h1>{told}{table}"


def _cell(words: str) -> str:
    return escape(words).replace("\n", "<br/>")
