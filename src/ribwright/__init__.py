"""ribwright."""
