// Numbers with units, as the trade writes them.

const PREFIXES = [[1e9, "G"], [1e6, "M"], [1e3, "k"], [1, ""], [1e-3, "m"], [1e-6, "u"], [1e-9, "n"], [1e-12, "p"]];

export function engineering(value, unit, digits = 4) {
  if (value === null || value === undefined) return "none";
  if (value === 0) return `0 ${unit}`;
  const size = Math.abs(value), [factor, prefix] = PREFIXES.find(([f]) => size >= f * 0.99995) ?? PREFIXES.at(-1);
  return `${Number((value / factor).toPrecision(digits))} ${prefix}${unit}`;
}

// One digit, rounded up: the true value is not further away.
export function bar(error) {
  if (!error) return error === 0 ? "\u00b1 0 %" : "";
  const digit = 10 ** Math.floor(Math.log10(100 * error));
  return `\u00b1 ${Number((Math.ceil((100 * error) / digit - 1e-9) * digit).toPrecision(1))} %`;
}

export function length(value) {
  const mm = value * 1e3;
  return Math.abs(mm) >= 0.1 ? `${Number(mm.toPrecision(4))} mm` : `${Number((mm * 1e3).toPrecision(3))} um`;
}

export function hertz(text) {
  const found = /^\s*([0-9.]+(?:e[+-]?[0-9]+)?)\s*(hz|khz|mhz|ghz)\s*$/i.exec(text);
  const value = found ? Number(found[1]) * { hz: 1, khz: 1e3, mhz: 1e6, ghz: 1e9 }[found[2].toLowerCase()] : null;
  return Number.isFinite(value) ? value : null;
}

export const percent = (ratio) => (Math.abs(ratio - 1) < 5e-4 ? "0.0 %" : `${ratio >= 1 ? "+" : "\u2212"}${Math.abs(100 * (ratio - 1)).toFixed(1)} %`);
