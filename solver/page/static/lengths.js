// Lengths as she reads and writes them; inside, everything is millimetres.
const SIZE = { mm: 1, cm: 10, in: 25.4, m: 1000 };
export const STEP = { mm: 1, cm: 2.5, in: 3.175 };
const DIGITS = { mm: 1, cm: 2, in: 2 };

export const number = (mm, unit) => String(Number((mm / SIZE[unit]).toFixed(DIGITS[unit])));
export const shown = (mm, unit) => `${number(mm, unit)} ${unit}`;

// A number alone is in her unit.
export function mmOf(text, unit) {
  const match = /^\s*(-?)(?:(\d+)\s+)?(?:(\d+)\s*\/\s*(\d+)|(\d+(?:[.,]\d*)?|[.,]\d+))\s*(mm|cm|m|in|")?\s*$/.exec(text);
  if (!match) return null;
  const [, minus, whole, top, bottom, decimal, own] = match;
  const value = Number(whole || 0) + (top ? Number(top) / Number(bottom) : Number(decimal.replace(",", ".")));
  const mm = value * SIZE[own === '"' ? "in" : own || unit];
  return Number.isFinite(mm) ? (minus ? -mm : mm) : null;
}

// What is written into the file: as she typed it, her unit behind a bare number.
export function written(text, unit) {
  const bare = /^\s*[\d.,]+\s*$/.test(text);
  if (!bare) return text.trim();
  const value = text.trim().replace(",", ".");
  return unit === "mm" ? Number(value) : `${value} ${unit}`;
}
