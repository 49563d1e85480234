"""Shared builders: jobs from part text, the example shop, random valid parts."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
