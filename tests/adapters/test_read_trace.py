"""Outlines traced from pictures with marks of known place: what is borne, what is refused with a sentence, how near the truth.

The pictures are made by tests/pictures.py from known outlines; no real photo was compared.
"""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image

from pictures import CROSS, DISC, Faults, mark, picture, seen_by
from ribwright.adapters.picture import read_picture
from ribwright.adapters.read_trace import parse_marks, read_trace
from ribwright.errors import InputError
from ribwright.features.inspected import BLANK
from ribwright.geometry.outline_distance import OutlineDistance

pytest.importorskip("skimage", reason="the extra `trace` is not installed")

HEAD = "# units = mm\n# part = T-1\n# what = blank\n# image = p.png\n# uncertainty = 0.06 mm\n"
SHEET = np.array([(5, 5), (275, 5), (275, 175), (5, 175), (140, 5)], float)
# unequal scale, a turn, perspective
LOOK = np.array([[2.06, 0.1, 60], [-0.08, -1.96, 440], [1e-4, -2e-4, 1]])
SIZE = (700, 500)
PLAIN = Faults()
A = np.linspace(0, 2 * np.pi, 90, endpoint=False)


def _ring(points: list[tuple[float, float]]) -> np.ndarray:
    return np.array(shapely.segmentize(shapely.LinearRing(points), 4.0).coords)[:-1]


OUTER = _ring([(30, 30), (250, 30), (250, 110), (140, 150), (30, 110)])
HOLE = np.array((100, 70)) + 6 * np.column_stack([np.cos(-A), np.sin(-A)])


def _written(
    folder: Path, faults: Faults = PLAIN, kind: str = DISC, marks: int = 4, head: str = HEAD, typed: np.ndarray | None = None,
    seen: np.ndarray | None = None, outline: np.ndarray = OUTER, units: float = 1.0,
) -> Path:  # fmt: skip
    """A picture of OUTER and HOLE and the file of its marks, in a folder."""
    at = SHEET[:marks]
    (folder / "p.png").write_bytes(picture(LOOK, SIZE, [outline, HOLE], [mark(kind, tuple(p)) for p in at], faults, 3))
    true = at if typed is None else typed
    px = seen_by(LOOK, at) + 2.0 if seen is None else seen
    rows = "".join(
        f"M{i}, {p[0]:.0f}, {p[1]:.0f}, {q[0] / units}, {q[1] / units}\n"
        for i, (p, q) in enumerate(zip(px, true, strict=True))
    )
    file = folder / "m.csv"
    file.write_text(head + "mark, px, py, x, y\n" + rows)
    return file


def _refused(file: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_trace(file)
    return str(caught.value)


# ---------------------------------------------------------------- what is borne

CASES = {
    "plain": PLAIN,
    "out of focus": Faults(blur=2.0),
    "noisy, light falling off by half, JPEG": Faults(fall=0.5, noise=0.03, quality=80),
    "soft shadow, specks": Faults(shadow=(6.0, 4.0, 0.25), specks=15),
    "bright metal on dark paper": Faults(paper=0.1, metal=0.7),
    "another light curve": Faults(exponent=1.8),
}


@pytest.mark.parametrize(
    ("name", "kind"), [*((name, DISC) for name in CASES), ("plain", CROSS), ("out of focus", CROSS)]
)
def test_the_outline_is_where_it_was_drawn_within_the_stated_uncertainty(name: str, kind: str, tmp_path: Path) -> None:
    found = read_trace(_written(tmp_path, CASES[name], kind))
    assert len(found.rings) == 2
    u = found.said.uncertainty
    assert u is not None
    assert u < 0.6  # a pixel is 0.5 mm
    for ring, true in zip(found.rings, (OUTER, HOLE), strict=True):
        off = OutlineDistance([true]).of(ring).deviation
        clear = (
            np.min(
                [np.hypot(*(ring - c).T) for c in shapely.get_coordinates(shapely.LinearRing(OUTER).simplify(0.01))],
                axis=0,
            )
            > 3.0
        )
        assert (np.abs(off[clear]) <= u).mean() >= 0.95
        # of the mean, which noise and the rows of pixels do not blur: a fifth of a pixel
        assert abs(off[clear].mean()) < 0.1


def test_a_small_opening_is_not_closed_by_the_blur(tmp_path: Path) -> None:
    found = read_trace(_written(tmp_path, Faults(blur=2.0)))
    off = OutlineDistance([HOLE]).of(found.rings[1]).deviation
    # the level half way stands b^2/(2 r) = 1.0^2/12 = 0.09 mm inside a hole of 6 mm radius; taken off, 0.03 is left
    assert abs(off.mean()) < 0.03


def test_inches_are_read_by_the_head_and_by_the_column(tmp_path: Path) -> None:
    mm = read_trace(_written(tmp_path)).rings[0]
    by_head = read_trace(_written(tmp_path, head=HEAD.replace("units = mm", "units = in"), units=25.4)).rings[0]
    file = _written(tmp_path, units=25.4)
    file.write_text(file.read_text().replace("x, y\n", "x [in], y [in]\n"))
    assert by_head == pytest.approx(mm, abs=1e-6)
    assert read_trace(file).rings[0] == pytest.approx(mm, abs=1e-6)


def test_a_fifth_mark_proves_the_others_and_its_miss_is_told(tmp_path: Path) -> None:
    assert "a fifth would prove them" in read_trace(_written(tmp_path)).note
    note = read_trace(_written(tmp_path, marks=5)).note
    assert "5 marks agree within" in note


def test_a_mark_in_an_opening_of_the_part_is_a_mark_like_any_other(tmp_path: Path) -> None:
    file = _written(tmp_path)
    at = np.vstack([SHEET[:4], (100.0, 70.0)])
    whole = picture(LOOK, SIZE, [OUTER, HOLE], [mark(DISC, tuple(p), 2.0) for p in at], PLAIN, 3)
    (tmp_path / "p.png").write_bytes(whole)
    px = seen_by(LOOK, at[4:])[0]
    file.write_text(file.read_text() + f"E, {px[0]:.0f}, {px[1]:.0f}, 100, 70\n")
    found = read_trace(file)
    assert "5 marks agree" in found.note
    assert np.abs(OutlineDistance([OUTER]).of(found.rings[0]).deviation).mean() < 0.1


def test_places_known_less_well_make_the_outline_less_sure(tmp_path: Path) -> None:
    fine = read_trace(_written(tmp_path))
    rough = read_trace(_written(tmp_path, head=HEAD.replace("0.06 mm", "1 mm")))
    silent = read_trace(_written(tmp_path, head=HEAD.replace("# uncertainty = 0.06 mm\n", "")))
    assert rough.said.uncertainty > 1.0 > fine.said.uncertainty
    assert "was not said: 0.1 mm is taken" in silent.note


def test_a_photo_that_the_camera_turned_is_read_as_a_person_sees_it(tmp_path: Path) -> None:
    file = _written(tmp_path, head=HEAD.replace("p.png", "p.jpg"))
    image = Image.open(tmp_path / "p.png")
    exif = Image.Exif()
    exif[0x0112] = 6  # stored lying, to be turned a quarter to the right
    image.transpose(Image.Transpose.ROTATE_90).save(tmp_path / "p.jpg", quality=95, exif=exif)
    off = OutlineDistance([OUTER]).of(read_trace(file).rings[0]).deviation
    assert np.abs(off).mean() < 0.1


def test_a_camera_without_enough_marks_is_less_sure_by_what_its_lens_may_bend(tmp_path: Path) -> None:
    file = _written(tmp_path, head=HEAD.replace("p.png", "p.jpg"))
    image = Image.open(tmp_path / "p.png")
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x920A] = 4.2  # focal length
    image.save(tmp_path / "p.jpg", quality=95)
    plain = read_trace(file)
    image.save(tmp_path / "p.jpg", quality=95, exif=exif)
    taken = read_trace(file)
    allowed = 0.003 * np.hypot(270.0, 170.0) / 2.0
    assert taken.said.uncertainty == pytest.approx(np.hypot(plain.said.uncertainty, allowed), rel=1e-6)
    assert "lens bends" in taken.note


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "I;16", "LA"])
def test_every_way_a_file_holds_a_picture_gives_the_same_light(mode: str, tmp_path: Path) -> None:
    grey = np.asarray(Image.open(io.BytesIO(picture(LOOK, SIZE, [OUTER], [], Faults(noise=0.0), 0))))
    file = tmp_path / "x.png"
    if mode == "I;16":
        Image.fromarray(grey.astype(np.uint16) * 257).save(file)
    elif mode == "P":
        Image.fromarray(grey).convert("RGB").quantize(256, dither=Image.Dither.NONE).save(file)
    else:
        Image.fromarray(grey).convert(mode).save(file)
    plain = tmp_path / "l.png"
    Image.fromarray(grey).save(plain)
    apart = np.abs(read_picture(file).light.astype(int) - read_picture(plain).light.astype(int))
    assert apart.max() <= (2500 if mode == "P" else 2)  # a palette of 256 colours rounds


def test_a_blue_part_on_a_grey_table_is_seen_in_the_channel_that_shows_it(tmp_path: Path) -> None:
    grey = np.asarray(
        Image.open(io.BytesIO(picture(LOOK, SIZE, [OUTER], [], Faults(paper=0.25, metal=0.25, noise=0.01), 0)))
    )
    part = np.asarray(
        Image.open(io.BytesIO(picture(LOOK, SIZE, [OUTER], [], Faults(paper=0.2, metal=0.6, noise=0.01), 0)))
    )
    Image.fromarray(np.dstack([255 - part, grey, part])).save(tmp_path / "x.png")
    assert read_picture(tmp_path / "x.png").channel in ("red", "blue")


# ---------------------------------------------------------------- what is refused


def test_a_file_without_an_image_or_marks_says_what_is_missing() -> None:
    with pytest.raises(InputError, match="a picture beside this file"):
        parse_marks("# units = mm\n# part = T-1\nmark, px, py, x, y\n" + "A, 1, 1, 0, 0\n" * 1)
    for text, says in (
        (HEAD, "no marks"),
        (HEAD + "mark, px, py, x\nA, 1, 1, 1\n", "no column y"),
        (HEAD + "mark, px, py, x, y\nA, 1, 2, 3, 4\n", "4 to 20"),
        (HEAD + "mark, px, py, x, y\nA, nan, 2, 3, 4\n", "a pixel, counted from the upper left"),
        (HEAD + "mark, px, py, x, y\nA, 1, 2, 3, inf\n", "a number with a point"),
        (HEAD + "mark, px, py, x, y\nA, -1, 2, 3, 4\n", "a pixel, counted from the upper left"),
        (HEAD + "mark, px, py, x [cm], y\nA, 1, 2, 3, 4\n", "unit 'cm'"),
        (HEAD + "mark, px, py, x, y\n" + "A, 1, 2, 3, 4\n" * 4, "A again"),
        (HEAD.replace("p.png", "../p.png") + "mark, px, py, x, y\n", "a picture beside this file"),
        (HEAD.replace("# units = mm\n", "") + "mark, px, py, x, y\n", "nothing is guessed"),
    ):
        with pytest.raises(InputError, match=says):
            parse_marks(text)


def test_a_pixel_without_a_mark_or_outside_the_picture_is_told_by_its_line(tmp_path: Path) -> None:
    px = seen_by(LOOK, SHEET[:4])
    px[1] = (400, 60)
    assert "mark M1: found no mark near pixel 400, 60" in _refused(_written(tmp_path, seen=px))
    px[1] = (4000, 60)
    assert "a pixel of the picture" in _refused(_written(tmp_path, seen=px))
    px[1] = px[0] + 1
    assert "the mark that M0 is too" in _refused(_written(tmp_path, seen=px))


def test_marks_in_line_exchanged_mirrored_or_mistyped_are_told_apart(tmp_path: Path) -> None:
    line = SHEET[:4].copy()
    line[2] = (140, 5.5)
    assert "nearly in line" in _refused(_written(tmp_path, typed=line))
    assert "two of them look exchanged" in _refused(_written(tmp_path, typed=SHEET[[1, 0, 2, 3]]))
    assert "mirrored" in _refused(_written(tmp_path, typed=SHEET[:4] * (1, -1)))
    assert "times finer one way" in _refused(_written(tmp_path, typed=SHEET[:4] * (1, 4)))
    wrong = SHEET.copy()
    wrong[4] += (0.0, 3.0)
    assert "mm away from where the others put it" in _refused(_written(tmp_path, marks=5, typed=wrong))


def test_no_part_a_part_cut_off_and_a_part_like_its_paper_are_refused(tmp_path: Path) -> None:
    assert "runs out of the field" in _refused(
        _written(tmp_path, outline=_ring([(30, 30), (350, 30), (350, 110), (30, 110)]))
    )
    alike = _refused(_written(tmp_path, Faults(paper=0.5, metal=0.5)))
    assert "stands out from the paper" in alike or "nothing of a part's size" in alike
    tiny = _ring([(130, 60), (134, 60), (134, 64), (130, 64)])
    assert "part" in _refused(_written(tmp_path, outline=tiny))


def _png(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is so large."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "no picture of a known kind"),
        (b"mark, px, py\n" * 50, "no picture of a known kind"),
        (b"GIF89a" + b"\0" * 500, "no picture of a known kind"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no picture of a known kind"),
        (_png(60_000, 60_000), "60 million pixels|known kind"),
        (_png(9_000, 9_000), "60 million pixels"),
        (_png(400, 300), "cannot be read"),
        (_png(20, 20), "at least 100 pixels"),
        (b"\xff\xd8\xff\xe0" + b"\0" * 300, "known kind|cannot be read"),
    ],
)
def test_a_hostile_or_broken_picture_is_one_sentence(raw: bytes, says: str, tmp_path: Path) -> None:
    file = _written(tmp_path)
    (tmp_path / "p.png").write_bytes(raw)
    with pytest.raises(InputError, match=says):
        read_trace(file)


@pytest.mark.parametrize("kind", ["JPEG", "TIFF", "BMP"])
def test_bytes_changed_anywhere_give_a_picture_or_one_sentence(kind: str, tmp_path: Path) -> None:
    whole = io.BytesIO()
    Image.fromarray(np.random.default_rng(0).integers(0, 255, (120, 130, 3)).astype(np.uint8)).save(whole, kind)
    for seed in range(60):
        rng = np.random.default_rng(seed)
        raw = bytearray(whole.getvalue())
        for _ in range(int(rng.integers(1, 12))):
            raw[int(rng.integers(0, min(len(raw), 400) if seed % 2 else len(raw)))] = int(rng.integers(0, 256))
        (tmp_path / "x").write_bytes(raw)
        says = "a sentence"
        try:
            read_picture(tmp_path / "x")
        except InputError as told:  # anything else falls through and fails
            says = str(told)
        assert len(says.splitlines()) == 1


def test_a_picture_cut_short_is_refused_not_half_read(tmp_path: Path) -> None:
    file = _written(tmp_path)
    whole = (tmp_path / "p.png").read_bytes()
    (tmp_path / "p.png").write_bytes(whole[: len(whole) // 2])
    assert "cannot be read" in _refused(file)
    (tmp_path / "p.png").unlink()
    assert "no such file" in _refused(file)
    (tmp_path / "p.png").mkdir()
    assert "not a regular file" in _refused(file)


def test_without_the_library_the_answer_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = _written(tmp_path)
    monkeypatch.setattr("ribwright.adapters.read_trace.tracing_installed", lambda: False)
    assert "ribwright[trace]" in _refused(file)


def test_the_head_is_kept(tmp_path: Path) -> None:
    said = read_trace(_written(tmp_path)).said
    assert (said.part, said.what, said.image) == ("T-1", BLANK, "p.png")
