// The purchase before it is paid, and the acts that come of it. Plain values, no page, no store.

import { totals } from "./money.js";

export const MOST_LINES = 100;

export function newPurchase() {
  return { lines: [], back: [] };
}

export function lineOfKind(kind) {
  return {
    name: kind.name,
    pattern: kind.pattern,
    yarn: kind.yarn,
    quality: kind.quality,
    list_minor: kind.list_minor,
    price_minor: kind.list_minor,
    tile: kind.key,
    number: "",
    reason: "",
  };
}

// A pair by its number. Of one that lies in the stall box the sheet knows kind and price.
export function lineOfNumber(number, kind) {
  const label = `P${number}`;
  if (!kind) {
    return { name: label, number: label, list_minor: null, price_minor: null, reason: "" };
  }
  return { ...lineOfKind(kind), name: `${label}, ${kind.name}`, number: label };
}

// The number in what was typed or scanned. A code that somebody else printed can hold
// anything: only the digits at its end count, and a P before them.
export function numberIn(text) {
  const end = text.trim().replace(/\/+$/, "").split("/").pop().trim();
  const found = /^[Pp]*(\d{1,9})$/.exec(end);
  return found ? Number(found[1]) : null;
}

export function sums(purchase, tax) {
  const money = totals(purchase.lines.map((line) => line.price_minor ?? 0), tax);
  const credit = purchase.back.reduce((sum, pair) => sum + pair.refund_minor, 0);
  return { ...money, credit, due: money.total - credit };
}

export function unpriced(purchase) {
  return purchase.lines.findIndex((line) => line.price_minor === null);
}

export function purchaseBody(purchase, paidBy, tax) {
  const money = sums(purchase, tax);
  const lines = purchase.lines.map((line) => ({
    name: line.name,
    number: line.number,
    pattern: line.pattern ?? null,
    yarn: line.yarn ?? null,
    quality: line.quality ?? "first",
    list_minor: line.list_minor,
    price_minor: line.price_minor,
    reason: line.reason,
  }));
  return {
    kind: lines.length ? "sale" : "return",
    paid_by: paidBy,
    lines,
    back: purchase.back,
    tax_minor: money.tax,
    tax_included: tax.included,
    due_minor: money.due,
  };
}

// Random bytes and not crypto.randomUUID, which older phones lack.
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [8, 12, 16, 20].reduceRight((text, at) => `${text.slice(0, at)}-${text.slice(at)}`, hex);
}

export function newAct(body, { book, day, at }) {
  const key = newKey();
  return { key, book, day, at, state: "waiting", words: "", body: { ...body, key, at } };
}
