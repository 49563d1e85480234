/** Small differences shown larger than they are. Pure. */

/** A line whose way from its reference is drawn `times` as long: foot + times * off. */
export const aside = ({ foot, off }, times) => foot.map(([x, y], i) => [x + times * off[i][0], y + times * off[i][1]]);

/** Levels of a block with its undercut shown `times`: square + times * (levels - square). */
export const undercut = ({ levels, square }, times) =>
  levels.map((level, k) => level.map(([x, y], i) => {
    const [u, v] = square[k][i];
    return [u + times * (x - u), v + times * (y - v)];
  }));
