"""Prove that the demo wrote what it says: every document opens, carries the fingerprint, and the bars are to scale."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import ezdxf
import pypdfium2

FILES = {
    "answers.json", "blank.dxf", "block.dxf", "job-card.pdf", "route-sheet.pdf", "block-drawing.pdf", "set-up-card.pdf",
    "hand-finishing.pdf", "inspection-sheet.pdf", "cut-list.pdf", "blank-template.pdf", "check-template.pdf",
    "block-template.pdf", "drill-template.pdf", "bevel-cards.pdf", "findings.pdf", "check.dxf", "block.step",
}  # fmt: skip

folder = Path(sys.argv[1])
found = {p.name for p in folder.iterdir()}
assert found == FILES, f"expected {sorted(FILES)}, found {sorted(found)}"
answers = json.loads((folder / "answers.json").read_text())
assert answers["part"]["number"] == "Q7-2102-1"
assert answers["setup"]["press"]["id"] == "P2"
assert not [f for f in answers["findings"] if f["severity"] == "stop"]
for name in sorted(FILES):
    path = folder / name
    if name.endswith(".pdf"):
        pages = list(pypdfium2.PdfDocument(path.read_bytes()))
        assert pages
        assert all(answers["fingerprint"] in p.get_textpage().get_text_bounded() for p in pages), name
        print(f"{name}: {len(pages)} page(s)")
    elif name.endswith(".dxf"):
        drawing = ezdxf.readfile(path)
        assert not drawing.audit().errors, name
        print(f"{name}: {len(drawing.modelspace())} entities, no audit error")
solid = answers["solid"]
assert solid["valid"]
assert solid["bytes"] == (folder / "block.step").stat().st_size
assert abs(solid["kernel_volume_mm3"] / solid["volume_mm3"] - 1) < 1e-4
print(f"demo proved: fingerprint {answers['fingerprint']}")
