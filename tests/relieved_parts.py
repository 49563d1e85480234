"""Random parts with random reliefs at corners and flange ends: holes set back or not, notches with a gap, large and small, or none."""

from __future__ import annotations

import random

from building import RandomPart


class RelievedPart:
    """A `RandomPart` whose corners carry reliefs of their own. Ends of flanges may have none; corners of two flanges have one that
    holds the meeting of their tangent lines."""

    def __init__(self, seed: int):
        r = random.Random(1000 + seed)
        self.part = part = RandomPart(seed)
        self.angle = r.choice([90.0, 75.0, 97.0])
        self.corners = ""
        n = len(part.points)
        for i in range(n):
            j = (i + 1) % n
            if not (part.flanged[i] or part.flanged[j]):
                continue
            relief = r.choice(["hole", "hole", "notch"] + ["none"] * (part.flanged[i] != part.flanged[j]))
            text = f'[[corner]]\nat = ["e{i}", "e{j}"]\nrelief = "{relief}"\n'
            if relief != "none":
                diameter = r.uniform(3, 14)
                text += f"diameter = {diameter}\nset_back = {r.choice([0.0, r.uniform(0, 0.4 * diameter)])}\n"
            if relief == "notch":
                text += f"gap = {r.choice([0.0, r.uniform(0, 12)])}\n"
            self.corners += text

    def text(self) -> str:
        """The part file."""
        self.part.angle = self.angle
        return self.part.text() + self.corners
