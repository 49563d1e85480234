"""The states of a pressed flange for a screen: plain, in order, the model's own numbers."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from documents.section_made import flange, made_pressed, pressed_by_the_model
from ribwright.documents.section_frames import block_frame, frames
from ribwright.documents.section_shape import block_distance


def test_frames_go_through_json_and_back_unchanged():
    told = frames(pressed_by_the_model())
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    surface = block_frame(flange())
    assert json.loads(json.dumps(surface)) == surface


def test_frames_begin_flat_and_end_in_the_hand_with_every_pressure_between():
    states = [(f["state"], f["pressed_to_mpa"]) for f in frames(pressed_by_the_model())]
    three = [(s, p) for p in (1.0, 1.65, 7.0) for s in ("loaded", "on-block", "released")]
    assert states == [("flat", 0.0), *three]


def test_only_a_loaded_frame_carries_pressure_and_only_one_on_the_block_has_gaps():
    for f in frames(pressed_by_the_model()):
        assert (f["pressure_mpa"] > 0.0) == (f["state"] == "loaded")
        on = f["state"] in ("loaded", "on-block")
        assert (f["web_lift_mm"] is not None) == (f["wall_gap_mm"] is not None) == (f["crown_gap_mm"] is not None) == on


@pytest.mark.parametrize("k", [0, 1, 2])
def test_the_numbers_of_a_frame_are_the_models(k):
    point = pressed_by_the_model().points[k]
    assert point.released is not None
    told = frames(pressed_by_the_model())
    loaded, free = told[1 + 3 * k], told[3 + 3 * k]
    assert loaded["angle_deg"] == pytest.approx(point.loaded.angle, abs=1e-6)
    assert free["angle_deg"] == pytest.approx(point.released.angle, abs=1e-6)
    assert loaded["inside_radius_mm"] == pytest.approx(point.loaded.inside_radius, abs=1e-6)
    assert np.array(loaded["x_mm"]) == pytest.approx(point.loaded.x, abs=1e-6)
    assert np.array(loaded["outer_mm"]) == pytest.approx(point.loaded.outer, abs=1e-6)
    assert np.array(loaded["moment_n"]) == pytest.approx(point.loaded.moment, abs=1e-6)
    assert np.array(loaded["push_mpa"]) == pytest.approx(point.loaded.push, abs=1e-6)


def test_every_frame_has_the_same_keys_and_as_many_faces_as_nodes():
    told = frames(pressed_by_the_model())
    for f in told:
        assert set(f) == set(told[0])
        assert len(f["inner_mm"]) == len(f["outer_mm"]) == len(f["x_mm"]) == len(f["slope_deg"]) == len(f["push_mpa"])
        assert len(f["moment_n"]) == len(f["x_mm"]) - 1


def test_a_state_that_was_not_reached_is_left_out():
    pressed = made_pressed(flange(), (1.0, 2.0), (30.0, 60.0))
    last = replace(pressed.points[-1], on_block=None, released=None)
    told = frames(replace(pressed, points=(pressed.points[0], last)))
    assert [f["state"] for f in told] == ["flat", "loaded", "on-block", "released", "loaded"]
    assert [f["pressed_to_mpa"] for f in told] == [0.0, 1.0, 1.0, 1.0, 2.0]
    assert [f["state"] for f in frames(replace(pressed, points=()))] == ["flat"]


def test_the_blocks_line_of_the_frames_is_its_surface():
    f = flange()
    assert block_distance(f, np.array(block_frame(f)["surface_mm"])) == pytest.approx(0.0, abs=2e-6)


def test_drawing_a_section_loads_nothing_of_the_compiled_model():
    code = "import sys, ribwright.documents.section_picture, ribwright.documents.section_frames; print('numba' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
