"""Plane curves, outlines, runs: lengths in mm, arrays of points (n, 2)."""
