"""Pages as one PNG, one under the other: smooth lines in grey, the same bytes for the same document every time."""

from __future__ import annotations

import io
from functools import cache
from itertools import pairwise
from math import ceil, cos, hypot, radians, sin
from pathlib import Path
from typing import Any

from ribwright.adapters.write_pdf import printable
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Arc, Circle, Clip, Document, Item, Line, Page, Pair, Polyline, Stroke, Text

DOTS_PER_MM = 8.0
OVER = 3  # drawn so many times as large and averaged: that is what smooths the lines
FACES = {"regular": "Vera.ttf", "bold": "VeraBd.ttf", "mono": "Vera.ttf"}
CHORD = 0.02  # arcs are drawn in chords this close to them [mm]
MOST_DOTS = 20_000_000  # a larger picture is made coarser: nine times as many are held while a page is drawn


def write_png(document: Document, dots_per_mm: float = DOTS_PER_MM) -> bytes:
    """The document's pages as PNG, `dots_per_mm` dots to the millimetre: round(width x dots) wide, and as high as the
    pages' rounded heights together. A picture of more than 20 million dots is made coarser, not refused."""
    from PIL import Image

    wide, high = max(p.width for p in document.pages), sum(p.height for p in document.pages)
    dots = min(dots_per_mm, (MOST_DOTS / (wide * high)) ** 0.5)
    sizes = [(round(p.width * dots), round(p.height * dots)) for p in document.pages]
    whole = Image.new("L", (max(w for w, _ in sizes), sum(h for _, h in sizes)), 255)
    top = 0
    for page, size in zip(document.pages, sizes, strict=True):
        whole.paste(_page(page, size, dots * OVER), (0, top))
        top += size[1]
    out = io.BytesIO()
    whole.save(out, "PNG", dpi=(dots * 25.4, dots * 25.4))
    return out.getvalue()


def _page(page: Page, size: tuple[int, int], scale: float) -> Any:
    from PIL import Image

    image = Image.new("L", (size[0] * OVER, size[1] * OVER), 255)
    brush = _Brush(image, scale, 0.0, image.height / scale)
    for item in page.items:
        brush.draw(item)
    return image.reduce(OVER)


class _Brush:
    """Draws on an image: the point (x, y) [mm] lies at ((x + dx) scale, (top - y) scale) dots."""

    def __init__(self, image: Any, scale: float, dx: float, top: float) -> None:
        from PIL import ImageDraw

        self.image, self.scale, self.dx, self.top = image, scale, dx, top
        self.pen: Any = ImageDraw.Draw(image)

    def at(self, x: float, y: float) -> Pair:
        return (x + self.dx) * self.scale, (self.top - y) * self.scale

    def draw(self, item: Item) -> None:
        match item:
            case Line():
                self.line([self.at(item.x0, item.y0), self.at(item.x1, item.y1)], item.stroke)
            case Polyline():
                self.area([self.at(*p) for p in item.points], item.closed, item.stroke, item.fill)
            case Arc():
                self.line(self.arc(item.cx, item.cy, item.r, item.start_deg, item.end_deg), item.stroke)
            case Circle():
                self.area(self.arc(item.cx, item.cy, item.r, 0.0, 360.0), True, item.stroke, item.fill)
            case Text():
                self.text(item)
            case Clip():
                self.clip(item)

    def area(self, dots: list[Pair], closed: bool, stroke: Stroke | None, fill: float | None) -> None:
        if fill is not None and len(dots) > 2:
            self.pen.polygon(dots, fill=_grey(fill))
        if stroke is not None and dots:
            self.line([*dots, dots[0]] if closed else dots, stroke)

    def line(self, dots: list[Pair], stroke: Stroke) -> None:
        """Each chord as a four-sided area of the line's width; full lines get round ends, which also close the joints."""
        half, grey = max(0.5 * stroke.width * self.scale, 0.5), _grey(stroke.grey)
        for run in _dashes(dots, [d * self.scale for d in stroke.dash]):
            for (x0, y0), (x1, y1) in pairwise(run):
                long = hypot(x1 - x0, y1 - y0)
                if long > 0.0:
                    u, v = half * (y1 - y0) / long, -half * (x1 - x0) / long
                    self.pen.polygon(
                        [(x0 + u, y0 + v), (x1 + u, y1 + v), (x1 - u, y1 - v), (x0 - u, y0 - v)], fill=grey
                    )
            for x, y in run[1:-1] if stroke.dash else run:
                self.pen.ellipse((x - half, y - half, x + half, y + half), fill=grey)

    def arc(self, cx: float, cy: float, r: float, start: float, end: float) -> list[Pair]:
        turn = 2.0 * (2.0 * CHORD / max(r, CHORD)) ** 0.5
        n = max(2, ceil(radians(end - start) / turn))
        angles = [radians(start + (end - start) * k / n) for k in range(n + 1)]
        return [self.at(cx + r * cos(a), cy + r * sin(a)) for a in angles]

    def text(self, item: Text) -> None:
        from PIL import Image

        words = printable(item.text)
        if not words.strip():
            return
        mask, base = _lettered(words, item.font, item.size_pt, self.scale)
        left = {"start": 0.0, "middle": mask.width / 2, "end": float(mask.width)}[item.anchor]
        x, y = self.at(item.x, item.y)
        if item.angle_deg:
            # turned about its place on a square with that place in the middle
            side = 2 * ceil(hypot(mask.width, mask.height)) + 2
            square = Image.new("L", (side, side), 0)
            square.paste(mask, (round(side / 2 - left), round(side / 2 - base)))
            mask, left, base = square.rotate(item.angle_deg, Image.Resampling.BICUBIC), side / 2, side / 2
        self.image.paste(_grey(item.grey), (round(x - left), round(y - base)), mask)

    def clip(self, item: Clip) -> None:
        (x0, y1), (x1, y0) = self.at(item.x, item.y), self.at(item.x + item.w, item.y + item.h)
        box = (round(x0), round(y0), round(x1), round(y1))
        inner = self.image.crop(box)
        shift = (self.dx + item.dx - box[0] / self.scale, self.top - item.dy - box[1] / self.scale)
        brush = _Brush(inner, self.scale, *shift)
        for one in item.items:
            brush.draw(one)
        self.image.paste(inner, box[:2])


def _dashes(dots: list[Pair], pattern: list[float]) -> list[list[Pair]]:
    """The polyline cut into its dashes; in one piece where there is no pattern."""
    if not pattern or sum(pattern) <= 0.0:
        return [dots]
    runs: list[list[Pair]] = [[dots[0]]]
    k, left = 0, pattern[0]
    for (x0, y0), (x1, y1) in pairwise(dots):
        long, done = hypot(x1 - x0, y1 - y0), 0.0
        while long - done > left:
            done += left
            point = (x0 + (x1 - x0) * done / long, y0 + (y1 - y0) * done / long)
            if k % 2 == 0:
                runs[-1].append(point)
            else:
                runs.append([point])
            k += 1
            left = pattern[k % len(pattern)]
        left -= long - done
        if k % 2 == 0:
            runs[-1].append((x1, y1))
    return [run for run in runs if len(run) > 1]


def _lettered(words: str, font: str, size_pt: float, scale: float) -> tuple[Any, float]:
    """Print as a mask exactly as wide as the layout counts it, whatever face it is drawn in, and its base line's row."""
    from PIL import Image, ImageDraw

    face = _face(FACES[font], max(4, round(size_pt * MM_PER_POINT * scale)))
    up, down = face.getmetrics()
    long = max(1, ceil(face.getlength(words)))
    if font == "mono":  # the face is not: each letter is set in the middle of its own place
        step = text_width("0", size_pt, font) * scale
        mask = Image.new("L", (ceil(step * len(words)), up + down), 0)
        for k, letter in enumerate(words):
            ImageDraw.Draw(mask).text(((k + 0.5) * step, up), letter, fill=255, font=face, anchor="ms")
        return mask, float(up)
    mask = Image.new("L", (long, up + down), 0)
    ImageDraw.Draw(mask).text((0, up), words, fill=255, font=face, anchor="ls")
    wide = max(1, round(text_width(words, size_pt, font) * scale))
    return mask.resize((wide, mask.height), Image.Resampling.LANCZOS), float(up)


@cache
def _face(name: str, dots: int) -> Any:
    """A face of the set that comes with the PDF library, so that a picture needs no font of the machine's."""
    import reportlab
    from PIL import ImageFont

    return ImageFont.truetype(str(Path(reportlab.__file__).parent / "fonts" / name), dots)


def _grey(level: float) -> int:
    return round(255 * min(max(level, 0.0), 1.0))
