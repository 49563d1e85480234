/** A flange cut square to its edge: web, bend and flange as they stand, to any scale. Lengths mm, x away from the web, y up. No DOM. */

/** The words of an angle turned from flat: {word: "open"|"square"|"closed", by: degrees from square}. */
export function stance(angleDeg) {
  const by = Math.abs(angleDeg - 90);
  return { word: by < 0.05 ? "square" : angleDeg < 90 ? "open" : "closed", by };
}

/**
 * @param {{angle: number, radius: number, thickness: number, width: number, up: boolean}} of
 *   `angle` turned from flat [deg], `radius` inside, `width` outside mold line to free edge along the outer face
 * @returns {{outline: number[][], straight: number, mold: number[], bendStart: number[], bendEnd: number[], free: number[], centre: number[], web: number}}
 *   the closed outline of the metal (heel face at y = 0 along the web, or y = 0 the lower face where it turns up),
 *   `straight` the flange beyond its bend, `mold` where the outer faces meet, `free` the middle of the free edge
 */
export function sectionOf({ angle, radius, thickness, width, up }) {
  const theta = (angle * Math.PI) / 180;
  const outer = radius + thickness;
  const straight = Math.max(0, width - outer * Math.tan(Math.min(theta, 3.0) / 2));
  const web = Math.max(1.4 * width, 6 * thickness);
  // turned down: the bend's centre lies below the web; the outer face is the web's upper (heel) face
  const on = (r, t) => [r * Math.sin(t), r * Math.cos(t) - outer];
  const along = [Math.cos(theta), -Math.sin(theta)];
  const far = (p) => [p[0] + straight * along[0], p[1] + straight * along[1]];
  const steps = Array.from({ length: 25 }, (_, i) => (theta * i) / 24);
  const outerLine = [[-web, 0], ...steps.map((t) => on(outer, t)), far(on(outer, theta))];
  const innerLine = [[-web, -thickness], ...steps.map((t) => on(radius, t)), far(on(radius, theta))];
  const flip = (p) => (up ? [p[0], -p[1] - thickness] : p);
  const mid = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const mold = [outer * Math.tan(Math.min(theta, 3.0) / 2), 0];
  return {
    outline: [...outerLine, ...innerLine.reverse()].map(flip),
    straight, mold: flip(mold), web,
    bendStart: [flip([0, 0]), flip([0, -thickness])],
    bendEnd: [flip(on(outer, theta)), flip(on(radius, theta))],
    free: flip(mid(far(on(outer, theta)), far(on(radius, theta)))),
    freeOuter: flip(far(on(outer, theta))),
    centre: flip([0, -outer]),
  };
}

/** The width a hole's flange would have by the size that is typed, roughly: enough for a sketch; NaN when no size says. */
export function holeWidth(hole, thickness) {
  const [theta, r, t] = [((hole.bend_angle_deg ?? NaN) * Math.PI) / 180, hole.bend_radius_mm ?? NaN, thickness];
  const setBack = (r + t) * Math.tan(theta / 2);
  const bend = (r + t / 2) * theta;
  const half = (v) => (hole.diameter_mm - v) / 2;
  if (hole.cut_diameter_mm) return Math.max(0, half(hole.cut_diameter_mm) - bend) + setBack;
  if (hole.flat_height_mm) return hole.flat_height_mm - bend + setBack;
  if (hole.flange_height_mm) return Math.max(0, (hole.flange_height_mm - (r + t) * (1 - Math.cos(theta))) / Math.sin(theta)) + setBack;
  if (hole.rim_diameter_mm && Math.cos(theta) > 0.02) return Math.max(0, (half(hole.rim_diameter_mm) - r * Math.sin(theta)) / Math.cos(theta)) + setBack;
  return NaN;
}
