/** Numbers as the shop writes them: both units, the one wanted first. The same roundings as the papers. No DOM. */

const MM_PER_IN = 25.4;
const MPA_PER_PSI = 0.006894757293168361;
const N_PER_SHORT_TON = 8896.443230521;

/** A number with so many decimals, halves away from zero, no minus before a zero. */
export function plain(value, digits) {
  if (value === null || value === undefined || !Number.isFinite(value)) return "?";
  const up = Math.round(Number((Math.abs(value) * 10 ** digits).toPrecision(13))) / 10 ** digits;
  return (up === 0 ? 0 : Math.sign(value) * up).toFixed(digits);
}

/** 4 for a length exact to four decimals of an inch and not to three, like 3/16 in; else 3. */
const decimals = (inches) => {
  const exact = (k) => Math.abs(inches * k - Math.round(inches * k)) < 1e-4;
  return exact(1e4) && !exact(1e3) ? 4 : 3;
};
const ordered = (inch, metric, first) => (first === "mm" ? `${metric} (${inch})` : `${inch} (${metric})`);

/** "0.625 in (15.88 mm)" */
export const length = (mm, first) => ordered(...lengths(mm), first);
/** One unit alone: "0.625 in" or "15.88 mm". */
export const lengthIn = (mm, unit) => lengths(mm)[unit === "mm" ? 1 : 0];
const lengths = (mm) => [`${plain(mm / MM_PER_IN, decimals(mm / MM_PER_IN))} in`, `${plain(mm, 2)} mm`];

/** "781 psi (5.38 MPa)" */
export function pressure(mpa, first) {
  const psi = mpa / MPA_PER_PSI;
  return ordered(`${plain(psi, Math.abs(psi) >= 100 ? 0 : 1)} psi`, `${plain(mpa, 2)} MPa`, first);
}

/** "150 short ton (1334 kN)" */
export function force(newton, first) {
  const [tons, kn] = [newton / N_PER_SHORT_TON, newton / 1000];
  const digits = (v) => (Math.abs(v) >= 100 ? 0 : 1);
  return ordered(`${plain(tons, digits(tons))} short ton`, `${plain(kn, digits(kn))} kN`, first);
}

/** "3.2 deg" */
export const angle = (deg, digits = 1) => `${plain(deg, digits)} deg`;
/** A true strain as the percent elongation it is: "12.0 %". */
export const percent = (trueStrain, digits = 1) => `${plain(100 * Math.expm1(trueStrain), digits)} %`;

/** Millimetres of a number in a file's unit, and back. */
export const toMm = (value, unit) => (unit === "in" ? value * MM_PER_IN : value);
export const fromMm = (mm, unit) => (unit === "in" ? mm / MM_PER_IN : mm);
/** A length in a file's unit to what a drawing of it would say: 0.001 in, 0.01 mm. */
export const rounded = (value, unit) => Number(value.toFixed(unit === "in" ? 3 : 2));

/** A value of an answer by the unit its key or finding names. */
export function shown(value, unit, first) {
  if (value === null || value === undefined) return "not known";
  if (typeof value !== "number") return String(value);
  const by = {
    mm: () => length(value, first), deg: () => angle(value), MPa: () => pressure(value, first), N: () => force(value, first),
    mm2: () => ordered(`${plain(value / MM_PER_IN ** 2, 2)} in2`, `${plain(value / 100, 1)} cm2`, first),
    strain: () => percent(value), share: () => `${plain(100 * value, 0)} %`, chance: () => `${plain(100 * value, 0)} %`,
    "engineering strain": () => `${plain(100 * value, 1)} %`,
    psi: () => `${plain(value, 0)} psi`, "": () => String(Number(value.toPrecision(5))),
  };
  return (by[unit] ?? (() => `${Number(value.toPrecision(5))} ${unit}`))();
}
