"""Files as one zip: the same bytes from the same files, whenever it is made."""

from __future__ import annotations

from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo


def packed(files: dict[str, bytes], folder: str) -> bytes:
    """The zip, everything in one folder of that name, so that it unpacks beside nothing else."""
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as z:
        for name, content in sorted(files.items()):
            info = ZipInfo(f"{folder}/{name}")  # of 1980: a date would make every zip another one
            info.compress_type, info.external_attr = ZIP_DEFLATED, 0o644 << 16
            z.writestr(info, content)
    return out.getvalue()
