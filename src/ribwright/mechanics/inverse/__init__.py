"""The flat blank from the formed part: membrane triangles in balance in the formed shape, their flat places unknown."""
