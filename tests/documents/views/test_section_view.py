"""A section for the page: its frames are the model's, its last angle the forecast's, what counts on the pressure scale is there."""

from __future__ import annotations

import itertools
import json
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from building import box
from ribwright.documents.section_frames import frames
from ribwright.documents.views.section_view import play_pressures
from ribwright.errors import InputError
from ribwright.stages.forecast import Forecast
from ribwright.wiring import DiskFiles
from ribwright.work import forecasting, place_views
from ribwright.work.asking import Request
from ribwright.work.forecast_pictures import looked_at

HOLE = '[[hole]]\nname = "L1"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\nflange_height = 6\nbend_radius = 3\nbend_angle = 45\n'
TOLERANCE = '[tolerance]\nflange_angle = "1 deg"\n'


@cache
def forecasted(pressure: str = "7 MPa") -> forecasting.Forecasted:
    """A box with two flanges and a flanged hole under a fluid."""
    text = box(flanges=(True, False, True, False), extra=HOLE + TOLERANCE)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "t.part.toml"
        path.write_text(text)
        return forecasting.made(DiskFiles(), Request(path), forecasting.Order(pressure=pressure))


@pytest.mark.parametrize("where", [{"edge": "south"}, {"hole": "L1"}])
def test_the_last_frame_in_the_hand_stands_at_the_angle_that_the_forecast_says(where):
    view = place_views.section_of(forecasted(), **where)
    station = place_views.station_of(forecasted().forecast, where.get("edge", ""), where.get("hole", ""), "")
    assert station.released is not None
    last = view["frames"][-1]
    assert last["state"] == "released"
    assert last["angle_deg"] == pytest.approx(station.released.value, abs=1e-4)
    assert view["angles"]["released"]["value"] == pytest.approx(station.released.value, abs=1e-4)
    assert view["curve"]["released"][-1][1] == pytest.approx(station.released.value, abs=1e-4)


def test_the_frames_go_from_flat_through_evenly_turned_ones_to_the_pressure_that_acts():
    view = place_views.section_of(forecasted(), edge="south")
    loaded = [f for f in view["frames"] if f["state"] == "loaded"]
    assert view["frames"][0]["state"] == "flat"
    assert loaded[-1]["pressure_mpa"] == pytest.approx(view["pressures"]["on_sheet_mpa"])
    pressures, angles = [f["pressure_mpa"] for f in loaded], [0.0, *(f["angle_deg"] for f in loaded)]
    assert pressures == sorted(pressures)
    # a straight flange turns by a fifth at most from one state to the next: nothing jumps when it is played
    assert max(np.diff(angles)) < view["block"]["wall_deg"] / 5


def test_the_faces_lie_as_far_off_the_middle_as_the_frames_say():
    made, s = forecasted(), place_views.station_of(forecasted().forecast, "south", "", "")
    pressed = looked_at(made, s, play_pressures).pressed
    for whole, f in zip(frames(pressed), place_views.section_of(made, edge="south")["frames"], strict=True):
        a = np.radians(f["slope_deg"])
        up, middle = np.stack([np.sin(a), np.cos(a)], axis=1), np.stack([f["x_mm"], f["y_mm"]], axis=1)
        assert middle + np.array(f["outward_mm"])[:, None] * up == pytest.approx(np.array(whole["outer_mm"]), abs=5e-3)
        assert middle - np.array(f["inward_mm"])[:, None] * up == pytest.approx(np.array(whole["inner_mm"]), abs=5e-3)


def test_the_view_is_json_and_names_what_counts_on_the_scale():
    view = place_views.section_of(forecasted(), edge="north", along="100 mm")
    assert json.loads(json.dumps(view, allow_nan=False)) == view
    p = view["pressures"]
    assert p["acts_mpa"] == p["on_sheet_mpa"] == pytest.approx(7.0)
    assert p["by"] == "fluid"
    assert p["available_mpa"] is None
    assert 0.0 < p["closes_mpa"] < 7.0
    assert view["tolerance_deg"] == [1.0, 1.0]
    band = view["curve"]["band"]
    assert all(lo <= v <= hi for lo, v, hi in zip(band["low"], band["value"], band["high"], strict=True))
    assert band["pressure_mpa"][-1] == pytest.approx(7.0)


def test_a_flange_that_stays_open_names_no_closing_pressure():
    view = place_views.section_of(forecasted("0.3 MPa"), edge="south")
    assert view["closes"] is False
    assert view["pressures"]["closes_mpa"] is None


def test_the_place_nearest_to_what_was_asked_is_taken_and_a_wrong_name_is_told():
    f: Forecast = forecasted().forecast
    assert place_views.station_of(f, "north", "", "1 m").place.owner == "north"
    assert place_views.station_of(f, "", "L1", "").place.where == {"hole": "L1"}
    with pytest.raises(InputError, match="south"):
        place_views.station_of(f, "sooth", "", "")
    with pytest.raises(InputError, match="along"):
        place_views.station_of(f, "south", "", "far out")


def test_pressures_to_play_keep_the_panels_and_stand_apart():
    ramp = np.stack([np.geomspace(0.05, 8.0, 40), np.linspace(0.0, 95.0, 40)], axis=1)
    panels = (0.55, 0.85, 1.02, 7.0)
    played = play_pressures(ramp, panels)
    assert set(panels) <= set(played)
    assert played[-1] == 7.0
    assert all(b / a > 1.02 for a, b in itertools.pairwise(played))
    assert play_pressures(np.zeros((1, 2)), panels) == panels
