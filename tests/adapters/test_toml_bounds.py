"""What is refused before it is parsed, in one sentence; what people write is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from ribwright.adapters.draft_files import head_of, safe_base
from ribwright.adapters.part_sketch import sketched
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.adapters.shop_toml import parse_shop
from ribwright.adapters.toml_bounds import too_much
from ribwright.errors import InputError
from served import SMALL

UNITS = 'units = "mm"\n'
TOO_MUCH = [
    ("a" + ".a" * 50_000 + " = 1", "line 1: found a key of more than 20 dots"),
    (UNITS + "[a" + ".a" * 50_000 + "]", "line 2: found a key of more than 20 dots"),
    (UNITS + 'x = 1\n"a"' + " . 'a'" * 21 + " = 1", "line 3: found a key of more than 20 dots"),
    ("".join(f"a.k{n}=1\n" for n in range(80_000)), "80000 lines"),
    ("".join(f"[a{n}]\n" for n in range(15_000)), "15000 tables"),
    ("".join(f'["a,{n}"]\n' for n in range(6_000)), "6000 tables"),
    ("x = [" + "{a=1}," * 150_000 + "]", "150001 signs '='"),
    ("x = [" + "1," * 400_000 + "]", "400000 signs ','"),
    ("#" * 1_500_000, "1.50 MB"),
    ("ä" * 600_000, "1.20 MB"),
]


@pytest.mark.parametrize(("text", "found"), TOO_MUCH, ids=[found for _, found in TOO_MUCH])
def test_a_text_that_a_parser_would_sit_over_is_refused_with_one_sentence_by_page_and_command_line(
    text: str, found: str
) -> None:
    for read in (parse_part, parse_shop):
        with pytest.raises(InputError) as wrong:
            read(text, "the file")
        assert len(wrong.value.faults) == 1
        assert found in wrong.value.faults[0].sentence()
    assert found in sketched(text, "x", None).faults[0]["say"]
    assert safe_base(text, Path(".")) is None
    with pytest.raises(InputError):
        head_of(text)


def test_a_part_file_on_disk_over_a_megabyte_is_refused_unread(tmp_path: Path) -> None:
    file = tmp_path / "big.part.toml"
    file.write_bytes(b"\xff" * 1_000_001)
    with pytest.raises(InputError, match=r"found 1\.00 MB; allowed: a part file of at most 1 MB"):
        read_part(file)


def test_edges_of_two_thousand_points_a_line_each_are_within_bounds() -> None:
    points = "".join(f"  [{80 - n * 0.04:.3f}, 50.0],\n" for n in range(1, 2000))
    nine = "".join(f'[[web.edge]]\nname = "e{n}"\nspline = [\n{points}[0.0, 50.0]]\n' for n in range(9))
    assert too_much(UNITS + nine, "x", "a part file") is None
    found = sketched(SMALL.replace("to = [0.0, 50.0]\n", f"spline = [\n{points}[0.0, 50.0]]\n"), "x", None)
    assert len(found.sketch["loops"][0]["edges"][2]["points_mm"]) == 2000
    assert found.faults == []


def test_dots_in_texts_comments_and_numbers_are_no_key() -> None:
    dotted = ".".join("a" * 40)
    text = f'# {dotted}\n\'x\' = "{dotted}" # {dotted}\ny = """\n"{dotted}" \\" {dotted}"""\nz = \'\'\'\n\'{dotted}\'\'\'\n'
    assert too_much(text, "x", "a part file") is None
    assert too_much(text + f"{dotted} = 1", "x", "a part file") is not None
    assert too_much(".".join("a" * 21) + " = 1", "x", "a part file") is None


def test_of_very_many_faults_two_hundred_are_told_and_how_many_more_there_are() -> None:
    text = SMALL + "".join(f"key{n} = 1\n" for n in range(1_000))
    with pytest.raises(InputError) as wrong:
        parse_part(text, "the part")
    shown = sketched(text, "the part", None).faults
    assert len(wrong.value.faults) == len(shown) == 200
    assert (
        wrong.value.faults[-1].sentence()
        == "the part: the rest: found and 801 more faults; allowed: mending those above first"
    )
    assert shown[0]["line"] == text.count("\n", 0, text.index("key0")) + 1
