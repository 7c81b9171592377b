// Money in whole minor units, by the same rules as the book. Halves round up, away from zero.
// Products of two amounts outgrow a double, so they are multiplied as big integers.

import { decimalSign, language } from "./language.js";

const THOUSANDTHS = 100000n; // one whole in thousandths of a percent
export const HIGHEST_MINOR = 10_000_000;

function halfUp(top, bottom) {
  return Number((2n * top + bottom) / (2n * bottom));
}

export function taxMinor(amount, tax) {
  const rate = BigInt(tax.percent_thousandths);
  return halfUp(BigInt(amount) * rate, tax.included ? THOUSANDTHS + rate : THOUSANDTHS);
}

// What a purchase comes to: `lines` as written, `tax` in it, `total` to pay.
export function totals(prices, tax) {
  const lines = prices.reduce((sum, price) => sum + price, 0);
  const taxed = tax.per_line
    ? prices.reduce((sum, price) => sum + taxMinor(price, tax), 0)
    : taxMinor(lines, tax);
  return { lines, tax: taxed, total: tax.included ? lines : lines + taxed };
}

// Split an amount in proportion to whole weights; what rounding leaves goes to the largest
// remainders, earlier ones first.
export function shareOut(amount, weights) {
  const total = weights.reduce((sum, weight) => sum + BigInt(weight), 0n);
  const products = weights.map((weight) => BigInt(amount) * BigInt(weight));
  const parts = products.map((product) => Number(product / total));
  let left = amount - parts.reduce((sum, part) => sum + part, 0);
  const order = products
    .map((product, place) => ({ rest: product % total, place }))
    .sort((a, b) => (a.rest === b.rest ? a.place - b.place : a.rest > b.rest ? -1 : 1));
  for (const { place } of order) {
    if (left === 0) break;
    parts[place] += 1;
    left -= 1;
  }
  return parts;
}

export function discounted(prices, off) {
  const parts = shareOut(off, prices);
  return prices.map((price, place) => price - parts[place]);
}

// "10 %" or "12.5%" of an amount, half up; null if it is no percentage from 0 to 100.
export function percentOf(amount, text) {
  const found = /^(\d{1,3})(?:[.,](\d{1,6}))?\s*%$/.exec(text.trim());
  if (!found) return null;
  const rate = BigInt(found[1] + (found[2] ?? "").padEnd(6, "0"));
  return rate > 100_000_000n ? null : halfUp(BigInt(amount) * rate, 100_000_000n);
}

const FORMS = [
  /^(?=.*\d)(?<whole>\d{0,15})(?:[.,](?<part>\d*))?$/,
  /^(?<whole>\d{1,3}(?:[ ,]\d{3}){1,4})(?:\.(?<part>\d*))?$/,
  /^(?<whole>\d{1,3}(?:[ .]\d{3}){1,4}),(?<part>\d*)$/,
];

// What a person typed ("28", "28.50", "28,50", "1,200") in minor units; null if it is no amount.
export function parseMinor(text, currency) {
  const bare = withoutSign(text, currency);
  for (const form of FORMS) {
    const found = form.exec(bare);
    const part = found?.groups.part ?? "";
    if (!found || part.length > currency.digits) continue;
    const minor = Number(found.groups.whole.replace(/\D/g, "") + part.padEnd(currency.digits, "0"));
    return minor <= 1e11 ? minor : null;
  }
  return null;
}

function withoutSign(text, currency) {
  let bare = text.replace(/[\s'’]+/g, " ").trim();
  for (const sign of [symbolOf(currency), currency.code, "$", "€", "£", "¥"]) {
    if (bare.startsWith(sign)) bare = bare.slice(sign.length).trim();
    if (bare.endsWith(sign)) bare = bare.slice(0, bare.length - sign.length).trim();
  }
  return bare;
}

function symbolOf(currency) {
  const parts = formatterOf(currency).formatToParts(0);
  return parts.find((part) => part.type === "currency").value;
}

const formatters = new Map();

function formatterOf(currency) {
  const name = `${currency.code} ${currency.digits}`;
  if (!formatters.has(name)) {
    formatters.set(
      name,
      new Intl.NumberFormat(language, {
        style: "currency",
        currency: currency.code,
        minimumFractionDigits: currency.digits,
        maximumFractionDigits: currency.digits,
      }),
    );
  }
  return formatters.get(name);
}

export function plainMinor(minor, currency) {
  const figures = String(Math.abs(minor)).padStart(currency.digits + 1, "0");
  const whole = figures.slice(0, figures.length - currency.digits);
  const part = currency.digits ? `.${figures.slice(-currency.digits)}` : "";
  return `${minor < 0 ? "-" : ""}${whole}${part}`;
}

// An amount without its sign, as a person types it.
export function typedMinor(minor, currency) {
  return plainMinor(minor, currency).replace(".", decimalSign());
}

export function formatMinor(minor, currency) {
  // Currencies without a sign of their own stand close to the figure, as in the book.
  const text = formatterOf(currency).format(plainMinor(minor, currency));
  return text.replace(/([A-Z]{3})\u00a0/, "$1");
}
