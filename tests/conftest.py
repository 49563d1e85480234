"""Shared builders: jobs from part text, the example shop, random valid parts."""

from __future__ import annotations

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
# a data folder of whoever runs the tests would give commands what was computed before
os.environ["RIBWRIGHT_DATA"] = str(Path(__file__).parent / "no-data-folder")
