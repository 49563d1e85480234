"""A plain elastic-plastic strip, isotropic hardening, for the pad to press on: written apart from the product's strip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class Metal:
    """E, nu, Swift K (e0 + p)^n [MPa], thickness [mm], lengths of the elements (m,) [mm]."""

    e: float
    nu: float
    k: float
    n: float
    e0: float
    t: float
    lengths: np.ndarray
    layers: int = 10


def flow(m: Metal, a):
    return 2 / np.sqrt(3) * m.k * (m.e0 + 2 / np.sqrt(3) * a) ** m.n


def stored(m: Metal, a):
    return m.k / (m.n + 1) * ((m.e0 + 2 / np.sqrt(3) * a) ** (m.n + 1) - m.e0 ** (m.n + 1))


def respond(m: Metal, q, plastic, amount):
    """Energy (m,), force (m, 6), stiffness (m, 6, 6), new plastic strain and amount, of nodes q (m + 1, 3)."""
    ep = m.e / (1 - m.nu**2)
    z, w = np.polynomial.legendre.leggauss(m.layers)
    z, w = z * m.t / 2, w * m.t / 2
    L = m.lengths
    dx, dy = np.diff(q[:, 0]), np.diff(q[:, 1])
    th, kap = (q[1:, 2] + q[:-1, 2]) / 2, np.diff(q[:, 2]) / L
    c, s = np.cos(th), np.sin(th)
    l, g = (dx * c + dy * s) / L, (dy * c - dx * s) / L
    lam = l[:, None] - z * kap[:, None]
    bad = (lam <= 0.05).any(1)
    lam = np.maximum(lam, 0.05)
    e = np.log(lam)
    trial = ep * (e - plastic)
    d = np.zeros_like(trial)
    over = np.abs(trial) > flow(m, amount)
    for _ in range(30):
        r = np.abs(trial) - ep * d - flow(m, amount + d)
        a1 = (m.e0 + 2 / np.sqrt(3) * (amount + d))
        h = 4 / 3 * m.k * m.n * a1 ** (m.n - 1)
        step = np.where(over, r / (ep + h), 0.0)
        d = np.maximum(d + step, 0.0)
        if np.abs(step).max() < 1e-14:
            break
    sign = np.sign(trial)
    sig = trial - ep * d * sign
    a1 = (m.e0 + 2 / np.sqrt(3) * (amount + d))
    h = 4 / 3 * m.k * m.n * a1 ** (m.n - 1)
    tan = np.where(over, ep * h / (ep + h), ep)
    ks = 5 / 6 * m.e / 2 / (1 + m.nu) * m.t
    en = L * ((w * (sig**2 / 2 / ep + stored(m, amount + d) - stored(m, amount))).sum(1) + 0.5 * ks * g**2)
    en = np.where(bad, np.inf, en)
    el, ek = 1 / lam, -z / lam
    N, M = (w * sig * el).sum(1), (w * sig * ek).sum(1)
    kll = (w * (tan - sig) * el * el).sum(1)
    klk = (w * (tan - sig) * el * ek).sum(1)
    kkk = (w * (tan - sig) * ek * ek).sum(1)
    Q = ks * g
    n = len(L)
    bl, bg, bk = np.zeros((n, 6)), np.zeros((n, 6)), np.zeros((n, 6))
    for o, sg in ((0, -1), (3, 1)):
        bl[:, o], bl[:, o + 1], bl[:, o + 2] = sg * c / L, sg * s / L, g / 2
        bg[:, o], bg[:, o + 1], bg[:, o + 2] = -sg * s / L, sg * c / L, -l / 2
        bk[:, o + 2] = sg / L
    f = L[:, None] * (N[:, None] * bl + Q[:, None] * bg + M[:, None] * bk)
    o = lambda a, b: a[:, :, None] * b[:, None, :]
    k = kll[:, None, None] * o(bl, bl) + klk[:, None, None] * (o(bl, bk) + o(bk, bl)) + kkk[:, None, None] * o(bk, bk)
    k += ks * o(bg, bg)
    dt = np.zeros((n, 6))
    dt[:, 2] = dt[:, 5] = 0.5
    dv = np.zeros((n, 6))
    dv[:, 0], dv[:, 3], dv[:, 1], dv[:, 4] = (-N * -s * -1), 0, 0, 0
    # d bl/d theta = bg-like, d bg/d theta = -bl-like
    tx = np.zeros((n, 6))
    for oo, sg in ((0, -1), (3, 1)):
        tx[:, oo], tx[:, oo + 1] = sg * (-s * N - c * Q) / L, sg * (c * N - s * Q) / L
    k += o(tx, dt) + o(dt, tx) + (-(N * l + Q * g))[:, None, None] * o(dt, dt)
    return en, f, L[:, None, None] * k, plastic + d * sign, amount + d


class PlainStrip:
    """What `pad_model` wants of a sheet."""

    def __init__(self, metal, nodes, profile, history=None, held=None):
        self.metal, self.nodes, self.profile = metal, nodes, profile
        m = len(metal.lengths)
        self.history = history or (np.zeros((m, metal.layers)), np.zeros((m, metal.layers)))
        self.half = metal.t / 2
        self.lengths = metal.lengths
        self.held = np.zeros(nodes.shape, bool)
        self.held[0] = True
        self.stiff = metal.e / metal.t / 4
        self.share = np.zeros(m + 1)
        self.share[:-1] += metal.lengths / 2
        self.share[1:] += metal.lengths / 2

    def rest(self):
        return self.nodes

    def _block(self, q):
        from ribwright.mechanics.pad_model.profile import distance

        c, s = np.cos(q[:, 2]), np.sin(q[:, 2])
        d = distance(self.profile, np.stack([q[:, 0] + self.half * s, q[:, 1] - self.half * c], 1))
        on = np.minimum(d.gap, 0.0)
        k = self.stiff * self.share
        e = 0.5 * k * on**2
        j = np.zeros((len(q), 2, 3))
        j[:, 0, 0] = j[:, 1, 1] = 1
        j[:, 0, 2], j[:, 1, 2] = self.half * c, self.half * s
        g = np.einsum("ni,nij->nj", d.way, j)
        f = (k * on)[:, None] * g
        kk = (k * (on < 0))[:, None, None] * g[:, :, None] * g[:, None, :]
        kk += (k * on)[:, None, None] * np.einsum("nia,nij,njb->nab", j, d.curve, j)
        kk[:, 2, 2] += k * on * self.half * (-s * d.way[:, 0] + c * d.way[:, 1])
        return e.sum(), f, kk

    def energy(self, q):
        return float(respond(self.metal, q, *self.history)[0].sum() + self._block(q)[0])

    def respond(self, q):
        from ribwright.mechanics.pad_model.system import SheetForces

        e, f, k, _, _ = respond(self.metal, q, *self.history)
        eb, fb, kb = self._block(q)
        return SheetForces(float(e.sum() + eb), f, k, fb, kb)

    def commit(self, q):
        *_, p, a = respond(self.metal, q, *self.history)
        return PlainStrip(self.metal, self.nodes, self.profile, (p, a))
