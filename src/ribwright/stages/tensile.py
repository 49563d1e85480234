"""A tensile record becomes a material: modulus, yield, strength, flow curve with its error, and what it is to be trusted for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError
from ribwright.mechanics import tensile_fit as tf
from ribwright.mechanics.flow_estimate import StrengthCheck, check_strength
from ribwright.shop.sheet import Material
from ribwright.shop.tensile import TensileRecord

# from a catalogue record where the test does not say: physical constants and limits, never strength or flow
BORROWED = (
    "youngs_modulus_mpa", "secondary_modulus_mpa", "poisson", "density_kg_m3", "elongation", "r_value", "r0", "r45", "r90",
    "yield_cov", "k_cov", "stretch_limit", "hole_edge_limit", "shrink_limit", "shrink_fluted_limit",
)  # fmt: skip

MODULUS_SHARE = 0.25  # a typed modulus may be off the record's own slope by so much


@dataclass(frozen=True)
class Tested:
    """What a record gave. `swift` is what the material carries; `voce` stands beside it. `check` is rule S2 on it,
    None where the record ends before the greatest load."""

    record: TensileRecord
    elastic: tf.Elastic
    greatest: tf.Greatest
    swift: tf.Fit
    voce: tf.Fit | None
    check: StrengthCheck | None

    @property
    def voce_is_closer(self) -> bool:
        """True where the other law follows the record more closely."""
        return self.voce is not None and self.voce.rms < self.swift.rms


def evaluate(record: TensileRecord) -> Tested:
    """Fits the record. InputError where it shows no elastic line, no yield, or no hardening."""
    strain, stress = np.array(record.strain), np.array(record.stress_mpa)
    if record.kind == "true":
        strain, stress = tf.engineering(strain, stress)
    elastic = tf.elastic_part(strain, stress, record.modulus_mpa)
    if elastic is None:
        low, high = (f"{100 * share:g} %" for share in tf.WINDOW)
        need = f"at least {tf.LEAST_ELASTIC} points between {low} and {high} of the 0.2 % yield, or a line # modulus = ... MPa"
        raise InputError([Fault(record.file, "the elastic part", "too few points, or no yield", need)])
    greatest = tf.greatest_load(strain, stress, elastic.toe)
    faults = [*_modulus_fault(record, strain, stress), *_elongation_fault(record, elastic, greatest)]
    if faults:
        raise InputError(faults)
    plastic, flow = tf.flow_points(strain, stress, elastic, greatest.true_strain)
    swift = tf.fit_swift(plastic, flow)
    if swift is None:
        need = (
            f"at least {tf.LEAST_PLASTIC} points that rise between plastic strain {tf.OFFSET:g} and the greatest load"
        )
        raise InputError([Fault(record.file, "the plastic part", f"{len(plastic)} points", need)])
    k, n, e0 = swift.constants
    check = check_strength(k, n, e0, greatest.strength) if greatest.reached else None
    return Tested(record, elastic, greatest, swift, tf.fit_voce(plastic, flow), check)


def _modulus_fault(record: TensileRecord, strain: NDArray[np.float64], stress: NDArray[np.float64]) -> list[Fault]:
    """A typed modulus far off the slope of the record itself, where the record shows one: one of them is wrong."""
    typed = record.modulus_mpa
    shown = tf.elastic_part(strain, stress) if typed is not None else None
    if typed is None or shown is None or abs(typed / shown.modulus - 1) <= MODULUS_SHARE:
        return []
    allowed = (
        f"within {100 * MODULUS_SHARE:g} % of the record's own slope, {shown.modulus:.0f} MPa through {shown.points} points, "
        "or no line # modulus; where the slope is wrong, the strain is not that of the sheet"
    )
    return [Fault(record.file, "modulus", f"{typed:.0f} MPa", allowed)]


def _elongation_fault(record: TensileRecord, elastic: tf.Elastic, greatest: tf.Greatest) -> list[Fault]:
    """An elongation of the broken piece below the plastic strain at the greatest load, which the piece kept all over.

    Held against the smallest strain at which the load may have been greatest (`Greatest.flat`)."""
    if record.elongation is None:
        return []
    least = float(np.expm1(greatest.flat[0])) - greatest.strength / elastic.modulus
    if record.elongation >= least:
        return []
    allowed = f"at least {100 * least:.1f} %, the plastic strain at the greatest load of the record"
    return [Fault(record.file, "elongation", f"{100 * record.elongation:g} %", allowed)]


@dataclass(frozen=True)
class Entry:
    """The record of the shop file as a test fills it: `numbers` measured, `borrowed` from the record named `like`."""

    name: str
    tested: Tested
    numbers: dict[str, float]
    borrowed: dict[str, float]
    like: Material | None

    @property
    def source(self) -> str:
        """The one sentence that stands for every number of a shop record."""
        r, s = self.tested.record, self.tested.swift
        words = [f"tensile record {_name(r.file)}"]
        words += [f"{k} {v}" for k, v in (("lot", r.lot), ("direction", r.direction), ("date", r.date)) if v]
        fit = (
            f"Swift fit {100 * s.rms:.2g} % rms, {100 * s.worst:.2g} % at most, "
            f"plastic strain {s.low:.3f} to {s.high:.3f}"
        )
        taken = (
            f"; {', '.join(self.borrowed)} taken from {self.like.name}, not tested"
            if self.like and self.borrowed
            else ""
        )
        return f"{', '.join(words)}; {fit}{taken}"


def entry(name: str, tested: Tested, like: Material | None = None) -> Entry:
    """The shop's record from a test. Of clad sheet the slope of the test is the secondary modulus: its skin has yielded."""
    slope = tested.elastic.modulus
    clad = like is not None and like.clad
    numbers = {
        "secondary_modulus_mpa" if clad else "youngs_modulus_mpa": slope,
        "yield_mpa": tested.elastic.yield_stress,
    }
    if tested.greatest.reached:
        numbers["strength_mpa"] = tested.greatest.strength
    if tested.record.elongation is not None:
        numbers["elongation"] = tested.record.elongation
    borrowed: dict[str, float] = {}
    if like is not None:
        borrowed = {k: f.value for k, f in like.facts.items() if k in BORROWED and k not in numbers}
    core = borrowed.get("youngs_modulus_mpa")
    if clad and core is not None and slope > core:
        # a slope above the core's modulus says that the window lies below the skin's yield: no secondary modulus was seen
        del numbers["secondary_modulus_mpa"]
        printed = like.number("secondary_modulus_mpa") if like else None
        if printed is not None:
            borrowed["secondary_modulus_mpa"] = printed
    return Entry(name, tested, numbers, borrowed, like)


def _name(path: str) -> str:
    return path.replace("\\", "/").rsplit("/", 1)[-1]
