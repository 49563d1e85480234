"""Pages as PDF: vector lines at true size, the same bytes for the same document every time."""

from __future__ import annotations

import io
import unicodedata
from math import ceil
from typing import Any

from ribwright.documents.page import Arc, Circle, Clip, Document, Item, Line, Page, Polyline, Stroke, Text

POINTS_PER_MM = 72 / 25.4
FACES = {"regular": "Helvetica", "bold": "Helvetica-Bold", "mono": "Courier"}
ARC_STEP = 30.0  # a cubic over 30 deg strays from the circle by 4e-7 of its radius, over 90 deg by 3e-4
# letters that do not come apart into a plain letter and an accent
PLAIN = {"ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "ı": "i", "≤": "<=", "≥": ">=", "⌀": "Ø", "−": "-", "″": '"', "′": "'"}
PLAIN |= {"→": "->", "←": "<-", "≈": "~"}


def write_pdf(document: Document) -> bytes:
    """The document as PDF, one page each of its own size; viewers are asked to print it without scaling.

    The three faces hold the Western European letters; any other letter is printed without its accent or as "?".
    """
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=1, invariant=1)
    canvas.setTitle(document.title)
    canvas.setAuthor("ribwright")
    canvas.setCreator("ribwright")
    canvas.setSubject(document.name)
    canvas.setViewerPreference("PrintScaling", "None")
    _leave_out_dates(canvas)
    for page in document.pages:
        _draw_page(canvas, page)
    canvas.save()
    return out.getvalue()


def _leave_out_dates(canvas: Any) -> None:
    """Without this the file would claim a date of its own making, and a made-up date is worse than none."""
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString

    class Undated(PDFInfo):
        def format(self, document: Any) -> Any:
            words = {"Title": self.title, "Author": self.author, "Subject": self.subject, "Creator": self.creator}
            return PDFDictionary({k: PDFString(v) for k, v in words.items()}).format(document)

    canvas._doc.info.__class__ = Undated


def _draw_page(canvas: Any, page: Page) -> None:
    canvas.setPageSize((page.width * POINTS_PER_MM, page.height * POINTS_PER_MM))
    if page.name:
        canvas.bookmarkPage(page.name)
        canvas.addOutlineEntry(printable(page.name), page.name)
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    for item in page.items:
        _draw(canvas, item)
    canvas.showPage()


def _draw(canvas: Any, item: Item) -> None:
    match item:
        case Line():
            _stroke(canvas, item.stroke)
            canvas.line(item.x0, item.y0, item.x1, item.y1)
        case Polyline():
            _draw_polyline(canvas, item)
        case Arc():
            _stroke(canvas, item.stroke)
            path = canvas.beginPath()
            _arc(path, item.cx, item.cy, item.r, item.start_deg, item.end_deg)
            canvas.drawPath(path, stroke=1, fill=0)
        case Circle():
            path = canvas.beginPath()
            _arc(path, item.cx, item.cy, item.r, 0.0, 360.0)
            path.close()
            _paint(canvas, path, item.stroke, item.fill)
        case Text():
            _draw_text(canvas, item)
        case Clip():
            _draw_clip(canvas, item)


def _draw_polyline(canvas: Any, item: Polyline) -> None:
    if not item.points:
        return
    path = canvas.beginPath()
    path.moveTo(*item.points[0])
    for point in item.points[1:]:
        path.lineTo(*point)
    if item.closed:
        path.close()
    _paint(canvas, path, item.stroke, item.fill)


def _draw_text(canvas: Any, item: Text) -> None:
    canvas.saveState()
    canvas.translate(item.x, item.y)
    canvas.rotate(item.angle_deg)
    canvas.setFillGray(item.grey)
    # the page is scaled to mm, so the size in points is too
    canvas.setFont(FACES[item.font], item.size_pt / POINTS_PER_MM)
    show = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    show[item.anchor](0, 0, printable(item.text))
    canvas.restoreState()


def _draw_clip(canvas: Any, item: Clip) -> None:
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(item.x, item.y, item.w, item.h)
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.translate(item.dx, item.dy)
    for inner in item.items:
        _draw(canvas, inner)
    canvas.restoreState()


def _arc(path: Any, cx: float, cy: float, r: float, start: float, end: float) -> None:
    """The arc in short cubics, added to the path."""
    n = max(1, ceil((end - start) / ARC_STEP - 1e-9))
    step = (end - start) / n
    for i in range(n):
        at = (cx - r, cy - r, cx + r, cy + r, start + i * step, step)
        path.arc(*at) if i == 0 else path.arcTo(*at)


def _paint(canvas: Any, path: Any, stroke: Stroke | None, fill: float | None) -> None:
    if stroke is not None:
        _stroke(canvas, stroke)
    if fill is not None:
        canvas.setFillGray(fill)
    canvas.drawPath(path, stroke=int(stroke is not None), fill=int(fill is not None))


def _stroke(canvas: Any, stroke: Stroke) -> None:
    canvas.setLineWidth(stroke.width)
    canvas.setStrokeGray(stroke.grey)
    canvas.setDash(list(stroke.dash), 0) if stroke.dash else canvas.setDash()
    # round ends close the joints of an outline drawn piece by piece; on dashes they would eat the gaps
    canvas.setLineCap(0 if stroke.dash else 1)
    canvas.setLineJoin(1)


def printable(text: str) -> str:
    """The text in letters that the three faces hold (the code page cp1252)."""
    return "".join(_letter(c) for c in unicodedata.normalize("NFC", text))


def _letter(c: str) -> str:
    for tried in (c, PLAIN.get(c, ""), unicodedata.normalize("NFKD", c).encode("ascii", "ignore").decode()):
        if tried and tried.isprintable() and tried.encode("cp1252", "ignore").decode("cp1252") == tried:
            return tried
    return " " if c.isspace() else "?"
