"""What the rubber itself takes of the ram's pressure, k G, for one pad or a stack; and how far a loose pad may spread.

One pad: k G by `mechanics.pad`. A stack: the rubber that flows into the corner under a flange comes from about as deep as
the block is high (an assumption of this project, not tested), so the layers within one block height of the work count, each
with the k G it would have alone. Loaded one after the other their compliances add:

    1/(k G) = sum of f_i/(k G)_i      f_i share of layer i in that depth

The band runs from the softest of them alone to the hardest alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.mechanics import pad
from ribwright.shop.shop import Pad, PadLayer, Press


@dataclass(frozen=True)
class PadShare:
    """The pad's own share of the pressure [MPa], the least and the most that a stack's layers alone would take, its
    standard deviation, and why it lies outside the fits."""

    mpa: float
    least: float
    most: float
    sd: float
    unverified: tuple[str, ...] = ()


NO_PAD = PadShare(0.0, 0.0, 0.0, 0.0)


def pad_share(press: Press, block_height: float) -> PadShare:
    """k G of the press's rubber over a block of that height [mm]; nothing for a fluid press."""
    if press.kind == "fluid":
        return NO_PAD
    layers = layers_near(press.pad, block_height)
    alone = [_alone(layer) for layer, _ in layers]
    mpa = 1.0 / sum(share / kg for (_, share), (kg, _) in zip(layers, alone, strict=True))
    # what the layers' k may be off by, all together the same way: they come from one fit
    sd = sum(share * mpa**2 / kg**2 * kg_sd for (_, share), (kg, kg_sd) in zip(layers, alone, strict=True))
    why = tuple(dict.fromkeys(w for layer, _ in layers for w in outside_of(layer)))
    stacked = ("stacked pads, taken in series",) if len({rubber_of(layer) for layer, _ in layers}) > 1 else ()
    return PadShare(mpa, min(kg for kg, _ in alone), max(kg for kg, _ in alone), sd, (*why, *stacked))


def near_the_work(rubber: Pad, depth: float) -> tuple[tuple[float, float], ...]:
    """(Shore A, share of the depth) of the layers within `depth` [mm] of the work, next to the work first; 1 in all."""
    return tuple((layer.shore_a, share) for layer, share in layers_near(rubber, depth))


def layers_near(rubber: Pad, depth: float) -> tuple[tuple[PadLayer, float], ...]:
    """The same with the layers themselves."""
    rows: list[tuple[PadLayer, float]] = []
    left = depth
    for layer in rubber.stack:
        here = min(layer.thickness_mm, left)
        if here > 0:
            rows.append((layer, here))
        left -= here
    whole = sum(here for _, here in rows)
    return tuple((layer, here / whole) for layer, here in rows)


def shear_of(layer: PadLayer) -> float:
    """Shear modulus of a layer [MPa]: the shop's own, else told from its hardness."""
    own = layer.shear_modulus_mpa
    return float(pad.shear_modulus(layer.shore_a).shear_mpa) if own is None else own


def rubber_of(layer: PadLayer) -> tuple[float, float]:
    """What tells one rubber from another: (Shore A, shear modulus [MPa])."""
    return layer.shore_a, shear_of(layer)


def _alone(layer: PadLayer) -> tuple[float, float]:
    coefficient, g = pad.pad_coefficient(layer.shore_a), shear_of(layer)
    return float(coefficient.k) * g, float(coefficient.sd) * g


def outside(shore_a: float) -> list[str]:
    """Why the pad's numbers are held or extrapolated; empty inside the fits."""
    why = ["pad harder or softer than 60 to 90 Shore A, k held"] if pad.pad_coefficient(shore_a).held else []
    return why + (
        ["Gent's modulus extrapolated past 20 to 80 Shore A"] if pad.shear_modulus(shore_a).extrapolated else []
    )


def outside_of(layer: PadLayer) -> list[str]:
    """The same of a layer: a modulus that the shop measured is not extrapolated."""
    rows = outside(layer.shore_a)
    return rows if layer.shear_modulus_mpa is None else [w for w in rows if not w.startswith("Gent")]


def is_loose(press: Press) -> bool:
    """True for a rubber pad that no container holds."""
    return press.kind != "fluid" and press.pad.held == "loose"


def pad_area(press: Press) -> float:
    """Plan area of the pad, of a container its opening [mm2]."""
    return press.pad.size_mm[0] * press.pad.size_mm[1]
