// The language of the page, for amounts and times.

const page = globalThis.document?.documentElement.lang || "en";

export const language = page;
// English pages write the day first and count the hours to 24, as the book does.
export const clockLanguage = page === "en" ? "en-GB" : page;

// The sign between the whole and its part: 28.50 or 28,50.
export function decimalSign() {
  const parts = new Intl.NumberFormat(language).formatToParts(1.5);
  return parts.find((part) => part.type === "decimal").value;
}
