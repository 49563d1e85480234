"""Files of points: what is read, in every form, and what is refused in a sentence."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import trimesh

from ribwright.adapters.ply_points import PlyError, read_ply
from ribwright.adapters.read_points import read_points
from ribwright.errors import InputError

HEAD = "# units = mm\n# part = Q7-2301-1\n# uncertainty = 0.03 mm\n"
POINTS = np.random.default_rng(1).uniform(-300, 300, (120, 3)).round(4)


def rows(points: np.ndarray = POINTS, sign: str = ", ") -> str:
    return "\n".join(sign.join(f"{v:.4f}" for v in p) for p in points) + "\n"


def kept(folder: Path, content: str | bytes, name: str = "scan.csv") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def refusal(path: Path, part: str = "") -> str:
    with pytest.raises(InputError) as refused:
        read_points(path, part)
    return "\n".join(f.sentence() for f in refused.value.faults)


@pytest.mark.parametrize(
    ("body", "sign"),
    [("x, y, z\n", ", "), ("", " "), ("", "\t"), ("", ", "), ("", "; "), ("x;y;z\n", ";"), ("x y z\n", " ")],
)
def test_tables_and_plain_rows_give_the_same_points(tmp_path: Path, body: str, sign: str) -> None:
    m = read_points(kept(tmp_path, HEAD + body + rows(sign=sign)))
    assert m.points == pytest.approx(POINTS)
    assert m.said.part == "Q7-2301-1"
    assert m.said.uncertainty == 0.03


def test_inches_are_turned_into_millimetres_whoever_says_them(tmp_path: Path) -> None:
    for text in (
        HEAD.replace("units = mm", "units = in") + rows(),
        HEAD.replace("# units = mm\n", "") + "x [in], y [in], z [in]\n" + rows(),
    ):
        assert read_points(kept(tmp_path, text)).points == pytest.approx(POINTS * 25.4)


def test_columns_beside_and_in_another_order_are_passed_over(tmp_path: Path) -> None:
    text = HEAD + "id, z, x, y, nx\n" + rows(np.column_stack([np.arange(120), POINTS[:, [2, 0, 1]], POINTS[:, 0]]))
    assert read_points(kept(tmp_path, text)).points == pytest.approx(POINTS)


def test_a_file_of_measurements_takes_its_points_from_the_file_beside_it(tmp_path: Path) -> None:
    kept(tmp_path, rows(sign=" "), "scan.xyz")
    m = read_points(kept(tmp_path, HEAD + "# points = scan.xyz\n", "measured.csv"))
    assert m.points == pytest.approx(POINTS)
    assert m.said.points == "scan.xyz"
    kept(tmp_path, ply("binary_little_endian", "double"), "scan.ply")
    assert read_points(kept(tmp_path, HEAD + "# points = scan.ply\n", "measured.csv")).points == pytest.approx(POINTS)


@pytest.mark.parametrize("name", ["../scan.xyz", "/etc/passwd", "a\\b.xyz", ".."])
def test_it_takes_no_file_from_elsewhere(tmp_path: Path, name: str) -> None:
    assert "plain name" in refusal(kept(tmp_path, HEAD + f"# points = {name}\n"))


def ply(form: str, kind: str, points: np.ndarray = POINTS, count: int | None = None, more: str = "") -> bytes:
    order = {"binary_little_endian": "<", "binary_big_endian": ">", "ascii": ""}[form]
    head = f"ply\nformat {form} 1.0\ncomment units = mm\ncomment part = Q7-2301-1\n{more}"
    head += f"element vertex {len(points) if count is None else count}\n"
    head += "".join(f"property {kind} {axis}\n" for axis in "xyz") + "property uchar red\n"
    head += "element face 0\nproperty list uchar int vertex_indices\nend_header\n"
    if form == "ascii":
        return (head + "".join(f"{x:.4f} {y:.4f} {z:.4f} 7\n" for x, y, z in points)).encode()
    size = {"double": "f8", "float": "f4"}[kind]
    own = np.zeros(len(points), [("x", order + size), ("y", order + size), ("z", order + size), ("r", "u1")])
    own["x"], own["y"], own["z"] = points.T
    return head.encode() + own.tobytes()


@pytest.mark.parametrize("form", ["ascii", "binary_little_endian", "binary_big_endian"])
@pytest.mark.parametrize("kind", ["float", "double"])
def test_ply_is_read_as_a_library_reads_it(tmp_path: Path, form: str, kind: str) -> None:
    """trimesh is the outside reader; its comments it does not give."""
    content = ply(form, kind)
    m = read_points(kept(tmp_path, content, "scan.ply"))
    theirs = trimesh.load(io.BytesIO(content), file_type="ply", process=False)
    # of a float as text it keeps what a float holds
    assert m.points == pytest.approx(
        np.asarray(theirs.vertices), abs=2e-5 if (form, kind) == ("ascii", "float") else 1e-9
    )
    assert m.points == pytest.approx(POINTS, abs=2e-5)
    assert m.said.part == "Q7-2301-1"


def test_what_another_library_writes_is_read() -> None:
    content = trimesh.PointCloud(POINTS).export(file_type="ply")
    assert read_ply(content, 1000).points == pytest.approx(POINTS, abs=2e-5)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "nothing in it"),
        (HEAD, "no points"),
        (HEAD + "x, y, z\n", "0 points"),
        (HEAD + rows(POINTS[:10]), "10 points"),
        (HEAD + rows().replace("\n", "\nnan, 1, 2\n", 1), "no number"),
        (HEAD + rows().replace("\n", "\n1, inf, 2\n", 1), "no number"),
        (HEAD + "x, y\n" + rows(POINTS[:, :2]), "no column z"),
        (HEAD + rows() + "1, 2\n", "'1, 2'"),
        (HEAD + rows() + "1, two, 3\n", "'1, two, 3'"),
        (HEAD + rows(POINTS[:, :2]), "line 4"),
        (rows(), "units"),
        (HEAD.replace("# part = Q7-2301-1\n", "") + rows(), "part"),
        (HEAD.replace("units = mm", "units = furlong") + rows(), "furlong"),
        (HEAD + "x [mm], y [in], z [mm]\n" + rows(), "'in', 'mm'"),
        (HEAD + rows(POINTS * 1e5), "is the unit right"),
        (HEAD.encode() + b"\0\1\2\3" * 100, "binary data"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + bytes(200), "binary data"),
        (HEAD + rows().replace(".", ","), "decimal sign"),
        (HEAD + "x, y, z\n" + rows().replace(".", ","), "decimal sign"),
        (HEAD + rows(sign="; ").replace(".", ","), "decimal sign"),
    ],
)
def test_what_is_no_file_of_points_is_refused(tmp_path: Path, content: str | bytes, words: str) -> None:
    assert words in refusal(kept(tmp_path, content))


def test_points_of_another_part_are_refused(tmp_path: Path) -> None:
    path = kept(tmp_path, HEAD + rows())
    assert read_points(path, "Q7-2301-1").points is not None
    assert "another part" in refusal(path, "Q7-2301-2")


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    assert "no such file" in refusal(tmp_path / "none.csv")
    assert "no such file" in refusal(kept(tmp_path, HEAD + "# points = gone.ply\n"))
    assert "no such file" in refusal(tmp_path)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"ply\n", "end_header"),
        (ply("binary_little_endian", "double")[:-100], "where the header says 120"),
        (ply("ascii", "float")[:-900], "rows that cannot be read"),
        (ply("ascii", "float", POINTS[:90], 120), "90 points, where the header says 120"),
        (ply("ascii", "float", count=9_999_999_999_999_999), "at most"),
        (ply("binary_little_endian", "float", count=4_000_000), "where the header says"),
        (ply("ascii", "float").replace(b"property float z\n", b""), "without z"),
        (ply("ascii", "float").replace(b"element vertex", b"element points"), "no element vertex"),
        (ply("ascii", "float").replace(b"format ascii", b"format base64"), "format"),
        (ply("ascii", "float").replace(b" 7\n", b" seven\n"), ""),
        (ply("ascii", "float").replace(b"comment units = mm\n", b""), "units"),
        (ply("ascii", "float", more="element box 2\nproperty list uchar int corners\n"), "lists before"),
    ],
)
def test_a_broken_ply_is_refused(tmp_path: Path, content: bytes, words: str) -> None:
    path = kept(tmp_path, content, "scan.ply")
    if words:
        assert words in refusal(path)
    else:  # a column that is not asked for may hold anything
        assert read_points(path).points is not None


XYZ = "".join(f"property float {axis}\n" for axis in "xyz")


def header(more: str = "", form: str = "binary_little_endian", after: str = "", count: int = 90) -> bytes:
    return f"ply\nformat {form} 1.0\n{more}element vertex {count}\n{XYZ}{after}end_header\n".encode()


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("element junk 2\nproperty float x\nproperty float x\n", ""),
        ("", "property uchar a1\n" + "".join(f"property uchar b{i}\n" for i in range(9)) + "property uchar a\n"),
        ("", "property uchar x3\nproperty uchar y4\nproperty uchar f0\n"),
    ],
    ids=["a name twice in what stands before", "a1 and a", "x3 and f0"],
)
def test_other_properties_of_a_ply_may_be_called_anything(before: str, after: str) -> None:
    row = np.dtype([("p", "<f4", 3), ("more", "u1", (after.count("property"),))])
    body = np.zeros(90, row)
    body["p"] = POINTS[:90]
    content = header(before, after=after) + bytes(8 * before.count("property")) + body.tobytes()
    assert read_ply(content, 1000).points == pytest.approx(POINTS[:90], abs=2e-5)


def test_what_ends_the_header_is_a_line_of_its_own() -> None:
    body = POINTS[:90].astype("<f4").tobytes()
    for content in (
        header("comment end_header is told below\n") + body,
        header().replace(b"\n", b"\r\n") + body,
        header("comment by = J\u00fcrgen\u2028M.\n") + body,
    ):
        assert read_ply(content, 1000).points == pytest.approx(POINTS[:90], abs=2e-5)
    assert read_ply(header("comment by = J\u00fcrgen\n") + body, 1000).comments == ("by = J\u00fcrgen",)
    # the header of a file whose lines end in a carriage return alone would end somewhere in the points
    with pytest.raises(PlyError, match="none that ends"):
        read_ply(header().replace(b"\n", b"\r") + b"\n" + body, 1000)


def test_a_ply_that_promises_more_rows_than_it_has_bytes_or_two_kinds_of_vertices_is_refused() -> None:
    many = "element junk 999999999999999999\nproperty float q\n"
    for form in ("ascii", "binary_little_endian"):
        with pytest.raises(PlyError, match="where the header says 90"):
            read_ply(header(many * 20, form) + b"1 2 3\n" * 90, 1000)
    with pytest.raises(PlyError, match="two elements vertex"):
        read_ply(header("element vertex 2\n" + XYZ) + bytes(2000), 1000)


def test_a_line_of_no_end_is_told_by_its_length(tmp_path: Path) -> None:
    assert "line 4: found 30001 characters" in refusal(kept(tmp_path, HEAD + "1, 2, 3, " * 3333 + "4, 5"))


@pytest.mark.parametrize("seed", range(60))
def test_a_ply_with_bytes_changed_is_read_or_refused(seed: int) -> None:
    rng = np.random.default_rng(seed)
    content = bytearray(ply(["ascii", "binary_big_endian"][seed % 2], "float"))
    for at in rng.integers(0, len(content) if seed % 3 else 300, 6):
        content[at] = rng.integers(0, 256)
    try:
        points = read_ply(bytes(content), 1000).points
    except PlyError:  # the only way it may fail
        return
    assert points.shape[1] == 3
