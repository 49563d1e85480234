"""Writing files so that either all of them are there, whole, or none of this call is."""

from __future__ import annotations

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path


def write_all(files: dict[Path, bytes]) -> None:
    """Write every file, missing folders included. OSError when one cannot be written: then nothing has changed.

    All contents go first to hidden files beside their targets and onto the disk, then take their names one after the
    other; one rename is atomic on Windows and elsewhere. If a rename fails, those already done are taken back.
    """
    waiting: dict[Path, Path] = {}
    made: list[Path] = []
    try:
        for target, content in files.items():
            _make_folder(target.parent, made)
            if target.is_dir():
                raise IsADirectoryError(21, "is a folder, not a file", str(target))
            waiting[target] = _hidden(target)
            _write_through(waiting[target], content)
        _rename_all(waiting)
        made = []
    finally:
        for hidden in waiting.values():
            hidden.unlink(missing_ok=True)
        for folder in reversed(made):  # of a call that failed or was cancelled
            with suppress(OSError):
                folder.rmdir()


def _make_folder(folder: Path, made: list[Path]) -> None:
    """The folder with all above it; those that were not there go to `made`, the highest first."""
    missing = [p for p in (folder, *folder.parents) if _state(p) is None]
    made += reversed(missing)
    folder.mkdir(parents=True, exist_ok=True)


def refusal(target: Path, folder: bool = False) -> str:
    """What stands where `target` (a file, or a `folder` to write into) is to go and keeps it from being written; "" when
    nothing does. A file without content is made and taken away again, since some folders say of themselves that they may be written
    into and cannot; a full disk is met only later."""
    try:
        found = _state(target)
        if found is not None and folder != stat.S_ISDIR(found):
            return "a file" if folder else "a folder"
        if found is not None and not folder and not stat.S_ISREG(found):
            return "not a regular file"
        nearest = target if found is not None and folder else _standing(target)
        if not stat.S_ISDIR(nearest.stat().st_mode):
            return f"below {nearest}, which is a file"
    except (OSError, ValueError) as error:
        return (getattr(error, "strerror", None) or str(error)).lower()
    if not os.access(nearest, os.W_OK | os.X_OK):
        return f"within {nearest}, which may not be written into"
    return "" if _takes_files(nearest) else f"within {nearest}, where no file can be made"


def _takes_files(folder: Path) -> bool:
    trial = _hidden(folder / "trial")
    try:
        trial.open("xb").close()
    except OSError:
        return False
    finally:
        with suppress(OSError):
            trial.unlink()
    return True


def _state(path: Path) -> int | None:
    """The mode of what is there; None where nothing is, also below a file."""
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None


def _standing(path: Path) -> Path:
    """The nearest thing above a path that is there."""
    return next(p for p in path.absolute().parents if _state(p) is not None)


def _rename_all(waiting: dict[Path, Path]) -> None:
    old = {target: target.read_bytes() if target.exists() else None for target in waiting}
    done: list[Path] = []
    try:
        for target, hidden in waiting.items():
            os.replace(hidden, target)
            done.append(target)
    except BaseException:
        for target in done:
            _take_back(target, old[target])
        raise


def _take_back(target: Path, content: bytes | None) -> None:
    # the first failure is what the person must hear of, not one of the way back
    with suppress(OSError):
        if content is None:
            target.unlink()
            return
        hidden = _hidden(target)
        _write_through(hidden, content)
        os.replace(hidden, target)


def _hidden(target: Path) -> Path:
    return target.with_name(f".{target.name[:40]}.{secrets.token_hex(4)}.part")


def _write_through(path: Path, content: bytes) -> None:
    try:
        with path.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        # a full disk is told without a name; the person knows the folder, not our hidden file
        raise OSError(error.errno, error.strerror, str(path.parent)) from error
