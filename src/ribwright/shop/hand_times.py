"""What a shop says of finishing by hand: minutes a move takes it, by the names of `[times]` in its file.

A move without an entry takes a time that is not known; none is ever invented.
"""

from __future__ import annotations

# key of [times] -> what it is the time of
HAND_TIMES = {
    "dress_wrinkles": "wrinkles of one flange dressed",
    "flatten_web": "the web flattened once",
    "set_joggle": "one step of a joggle set",
    "set_angle": "the angle set at one place",
    "work_root": "the root of a bend worked down at one place",
    "bring_edge": "a bent edge brought in at one place",
    "trim_edge": "an edge filed to its line at one place",
    "open_hole": "a hole opened to size",
    "reinspect": "measuring again after one move",
}
