"""The mid-surface of a formed part as one mesh of triangles, nodes shared between web, bends and flanges."""
