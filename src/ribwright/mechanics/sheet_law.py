"""One plasticity law of a sheet for every model: two normal strains in the plane of the sheet, a given stress through it.

Axes 1, 2 lie in the sheet along and across the bend, 3 through it. Strains are logarithmic and small between commits.

    elastic     e1 = (s1 - nu s2)/E + (1 - 2 nu) s3/E, s_i = sigma_i - sigma_3       E the secondary modulus of clad sheet
    yield       (s - b) in Hill's (1948) measure   x1^2 + x2^2 - 2 r/(1 + r) x1 x2 = k(p)^2        r plastic strain ratio
    flow        associated; p the equivalent plastic strain, in tension along 1 the strain itself
    back stress db = B/e_b (x/k - b/B) dp     (Armstrong & Frederick 1966, along the relative stress)
    radius      k(p) = flow(p) - B (1 - exp(-p/e_b)), so that plain tension follows the flow curve whatever B

With sums and differences along (1, 1)/sqrt2 and (1, -1)/sqrt2 both elasticity and the yield measure are diagonal (normal
anisotropy: the one r in all directions of the sheet), and the return is one equation in dp:

    pi+ (N+/A+)^2 + pi- (N-/A-)^2 = 1,   N = c (e - e_p) - b exp(-dp/e_b),   A = k + dp c pi + B (1 - exp(-dp/e_b))
    c+ = E/(1 - nu), c- = E/(1 + nu), pi+ = 1/(1 + r), pi- = (1 + 2 r)/(1 + r)

Simo & Hughes, Computational Inelasticity (1998), 3.4 (plane stress, J2, linear hardening), carried to Hill's r and a back
stress that saturates. Backward Euler; exact along a straight strain path but for the changing direction of the stress.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ribwright.mechanics.flow_curve import FlowCurve, Table

Array = NDArray[np.float64]
KINEMATIC_SHARE = 0.5  # of the hardening up to BACK_STRAIN; band 0.3 to 0.7 (see `back_stress`)
KINEMATIC_BAND = (0.3, 0.7)
BACK_STRAIN = 0.02  # plastic strain at which the back stress has come to 95 % of its limit
ALUMINIUM_LIMIT = 35.0  # MPa, of 30 to 40
LEFT = 0.9  # of the back stress that would take the elastic range to nothing
NO_POINTS = np.zeros((2, 1))


@dataclass(frozen=True)
class SheetLaw:
    """Constants of one sheet: E [MPa], nu, r [-], flow curve, limit B of the back stress [MPa] (0: isotropic hardening) and its
    strain e_b [-]."""

    e: float
    nu: float
    r: float
    curve: FlowCurve
    back: float
    back_strain: float = BACK_STRAIN / 3.0

    def row(self) -> Array:
        """The numbers that `law_kernel` takes."""
        e, nu, r = self.e, self.nu, self.r
        follows = e / (1 - nu), e / (1 + nu), 1 / (1 + r), (1 + 2 * r) / (1 + r), (1 - 2 * nu) / e, 1 / self.back_strain
        return np.array([e, nu, r, self.back, self.back_strain, *self.curve.constants(), *follows])

    def points(self) -> Array:
        """(2, m) strains and stresses of a table; a single nothing for a formula."""
        return np.stack([self.curve.p, self.curve.sigma]) if isinstance(self.curve, Table) else NO_POINTS


def back_stress(curve: FlowCurve, share: float, limit: float = np.inf) -> float:
    """Limit B of the back stress [MPa]: `share` of what the sheet hardens up to a plastic strain of 2 %, at most `limit`.

    Share 0.5 (0.3 to 0.7) and 30 to 40 MPa for aluminium follow from tension and compression yield of mill-stretched 2024
    sheet, MIL-HDBK-5J (an estimate: no test of reversed bending of these sheets was found). Never so much that nothing would be left
    of the elastic range on the way, k = sigma(p) - B (1 - exp(-p/e_b)) > 0: a steep curve with a share near 1 would come to that.
    """
    on_the_way = BACK_STRAIN / 3.0 * np.geomspace(1e-3, 30.0, 200)
    room = float(np.min(curve.stress(on_the_way) / -np.expm1(-on_the_way / (BACK_STRAIN / 3.0))))
    return min(share * float(curve.stress(np.asarray(BACK_STRAIN)) - curve.stress(np.asarray(0.0))), limit, LEFT * room)


def sheet_law(
    e: float, nu: float, curve: FlowCurve, r: float = 1.0, share: float = 0.0, limit: float = np.inf
) -> SheetLaw:
    """The law from handbook numbers: E [MPa], nu, flow curve, plastic strain ratio r, kinematic share and limit [MPa]."""
    return SheetLaw(float(e), float(nu), float(r), curve, back_stress(curve, share, limit))


def isotropic(law: SheetLaw) -> SheetLaw:
    """The same sheet with isotropic hardening."""
    return replace(law, back=0.0)


def scaled(law: SheetLaw, factor: float) -> SheetLaw:
    """The same sheet with its stresses, back stress too, `factor` times as high."""
    return replace(law, curve=law.curve.scaled(factor), back=law.back * factor)


def r_along(r0: ArrayLike, r45: ArrayLike, r90: ArrayLike, degrees: ArrayLike) -> Array:
    """Plastic strain ratio r [-] of a test piece cut `degrees` from the rolling direction, from those cut at 0, 45, 90; all > 0.

    Hill (1948), his F, G, H, N from the three: r = (H + (2 N - F - G - 4 H) s^2 c^2)/(F s^2 + G c^2), s and c of the angle. The
    strip's `r` is that of the direction across the bend line, in which the fibres stretch.
    """
    h = np.asarray(r0, float)  # G = 1
    f = h / np.asarray(r90, float)
    n = (np.asarray(r45, float) + 0.5) * (f + 1.0)
    a = np.radians(np.asarray(degrees, float))
    s2, c2 = np.sin(a) ** 2, np.cos(a) ** 2
    return np.asarray((h + (2.0 * n - f - 1.0 - 4.0 * h) * s2 * c2) / (f * s2 + c2))
