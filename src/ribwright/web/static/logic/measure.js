/** Measuring between two places of a picture. Pure. */
import { angle, length } from "./units.js";

/** Distance, the way along x and y [mm], and direction from +x [deg, -180..180]; direction null between equal places. */
export function between(a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const distance = Math.hypot(dx, dy);
  return { distance, dx, dy, direction: distance > 1e-9 ? (Math.atan2(dy, dx) * 180) / Math.PI : null };
}

/** What a measurement says, in both units. `say` gives the words. */
export function spoken(a, b, unit, say) {
  const m = between(a, b);
  return {
    distance: say("blank.measured", { distance: length(m.distance, unit) }),
    parts: say("blank.measured_parts", {
      dx: length(m.dx, unit), dy: length(m.dy, unit), direction: m.direction === null ? "-" : angle(m.direction, 2),
    }),
  };
}

/** Index of the place nearest to a point, or -1 where none lies within [mm]. */
export function nearest(places, at, within) {
  let best = -1;
  let least = within;
  places.forEach((place, i) => {
    const far = Math.hypot(place.at[0] - at[0], place.at[1] - at[1]);
    if (far <= least) {
      least = far;
      best = i;
    }
  });
  return best;
}

/** The name of a place: its kind's words with what it belongs to; places that would be called the same are counted. */
export function named(places, say) {
  const plain = places.map((p) => say(`blank.place_${p.kind.replaceAll("-", "_")}`, { of: p.of.join(" / ") }));
  const count = new Map();
  for (const name of plain) count.set(name, (count.get(name) ?? 0) + 1);
  const seen = new Map();
  return plain.map((name) => {
    if (count.get(name) === 1) return name;
    seen.set(name, (seen.get(name) ?? 0) + 1);
    return `${name} (${seen.get(name)})`;
  });
}

/** Where two chosen places go next: the first free one, else the second is moved on and the first follows it. */
export const next = ([a, b], chosen) => (a < 0 ? [chosen, b] : b < 0 ? [a, chosen] : [chosen, -1]);
