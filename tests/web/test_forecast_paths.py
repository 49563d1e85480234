"""The forecast's sheet calls its numbers as `explain` calls them: pressed, each opens."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from ribwright import web
from ribwright.stages.explain.paths import resolved
from web.test_javascript import _node

LOGIC = Path(web.__file__).parent / "static" / "logic" / "forecast.js"
# an edge with several places, one with a single place, names that are numbers, a hole of that name
OWNERS = [
    {"edge": "upper"},
    {"edge": "upper"},
    {"edge": "rear"},
    {"edge": "7"},
    {"edge": "upper"},
    {"hole": "L 1"},
    {"hole": "8"},
]


def test_every_place_is_called_as_explain_calls_it() -> None:
    stations = [{**owner, "angle_released_deg": {"value": 90.0 + i}} for i, owner in enumerate(OWNERS)]
    code = f"import {{ stationPaths }} from {json.dumps(LOGIC.as_uri())};"
    code += f"console.log(JSON.stringify(stationPaths({json.dumps(stations)})));"
    run = subprocess.run([_node(), "--input-type=module", "-e", code], capture_output=True, text=True, check=True)
    answer = {"forecast": {"stations": stations}}
    for i, path in enumerate(json.loads(run.stdout)):
        key = "angle_released_deg.value"
        assert resolved(answer, f"{path}.{key}") == f"forecast.stations[{i}].{key}"
