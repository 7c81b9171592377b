// What the till shows. Every change touches only what it changes: 300 tiles stay as they are.

import "../words.js";
import { clockLanguage } from "./language.js";
import { formatMinor, parseMinor, typedMinor } from "./money.js";
import { sums } from "./purchase.js";

const STATES = {
  asking: gettext("Looking for the book"),
  sent: gettext("All sent"),
  offline: gettext("No signal"),
  "sign-in": gettext("Sign in to send"),
  stuck: gettext("Some could not be sent"),
  disk: gettext("The book cannot write. Kept here"),
  closed: gettext("No open day"),
};
const WAYS = { cash: gettext("cash"), card: gettext("card"), other: gettext("other") };

export function say(text, values) {
  return interpolate(text, values, true);
}

function sayCount(one, many, count, values = {}) {
  return say(ngettext(one, many, count), { count, ...values });
}

export const at = (id) => document.getElementById(id);

export function fill(template, texts) {
  const piece = at(template).content.firstElementChild.cloneNode(true);
  for (const [name, text] of Object.entries(texts)) {
    const place = piece.querySelector(`[data-text="${name}"]`);
    if (text === "" || text === null || text === undefined) place.remove();
    else place.textContent = text;
  }
  return piece;
}

export class Screen {
  constructor() {
    this.left = new Map();
  }

  use(sheet) {
    this.sheet = sheet;
    this.currency = sheet.currency;
  }

  money(minor) {
    return minor === null ? gettext("no price") : formatMinor(minor, this.currency);
  }

  showDay() {
    const { day, workshop } = this.sheet;
    at("day-name").textContent = day.name;
    at("plain-page").href = `/stall/${day.id}/`;
    at("plain-back").href = `/stall/${day.id}/sales/`;
    at("day-closed").hidden = day.state !== "closed";
    document.title = `${day.name}: ${gettext("Stall")} · ${workshop}`;
    const open = this.sheet.to_sort_out;
    at("to-sort-out").hidden = open === 0;
    at("to-sort-out").textContent = sayCount("%(count)s to sort out", "%(count)s to sort out", open);
  }

  showTiles() {
    const { kinds, off_table: off } = this.sheet;
    const tiles = kinds.map((kind) => this.tile(kind, true));
    at("tiles").replaceChildren(...tiles);
    at("off-tiles").replaceChildren(...off.map((kind) => this.tile(kind, false)));
    at("off-table").hidden = off.length === 0;
    at("no-tiles").hidden = kinds.length > 0;
    this.left = new Map(tiles.map((tile) => [tile.dataset.key, tile.querySelector(".left")]));
    this.showSizes(kinds);
  }

  tile(kind, onTable) {
    const item = fill("tile", {
      design: kind.colour ? `${kind.design}, ${kind.colour}` : kind.design,
      size: kind.size,
      price: this.money(kind.list_minor),
      left: onTable ? this.leftWords(kind.left) : "",
      second: kind.quality === "second" ? gettext("second") : "",
    });
    item.dataset.key = kind.key;
    item.dataset.size = kind.size;
    item.firstElementChild.value = kind.key;
    return item;
  }

  leftWords(count) {
    return sayCount("%(count)s left", "%(count)s left", count);
  }

  showSizes(kinds) {
    const sizes = [...new Set(kinds.map((kind) => kind.size))];
    const buttons = ["", ...sizes].map((size) => {
      const button = fill("size", { name: size || gettext("All sizes") });
      button.value = size;
      button.setAttribute("aria-pressed", String(size === ""));
      return button;
    });
    at("sizes").replaceChildren(...(kinds.length > 12 ? buttons : []));
  }

  onlySize(size) {
    for (const button of at("sizes").children) {
      button.setAttribute("aria-pressed", String(button.value === size));
    }
    for (const tile of at("tiles").children) {
      tile.hidden = size !== "" && tile.dataset.size !== size;
    }
  }

  showLeft(left, purchase, tileOf) {
    const now = new Map(left);
    for (const line of purchase.lines) {
      const key = tileOf(line);
      if (now.has(key)) now.set(key, now.get(key) - 1);
    }
    for (const [key, place] of this.left) {
      const text = this.leftWords(Math.max(0, now.get(key)));
      if (place.textContent !== text) place.textContent = text;
    }
  }

  showPurchase(purchase) {
    const { lines, back } = purchase;
    const rows = lines.map((line, place) => this.line(line, place));
    rows.push(...back.map((pair, place) => this.pairBack(pair, place)));
    at("lines").replaceChildren(...rows);
    const some = rows.length > 0;
    at("till").dataset.lines = some ? "some" : "none";
    at("nothing-yet").hidden = some;
    at("purchase-more").hidden = !some;
    for (const button of document.querySelectorAll("#pay-acts button")) button.disabled = !some;
    this.showSum(purchase);
  }

  showSum(purchase) {
    const { tax } = this.sheet;
    const money = sums(purchase, tax);
    at("due-word").textContent = money.due < 0 ? gettext("Pay out") : gettext("To pay");
    at("due").textContent = this.money(Math.abs(money.due));
    const count = purchase.lines.length;
    at("pairs").textContent = sayCount("%(count)s pair", "%(count)s pairs", count);
    const apart = !tax.included && tax.percent_thousandths > 0;
    const words = [];
    if (apart) {
      const parts = { lines: this.money(money.lines), tax: this.money(money.tax) };
      words.push(say(gettext("Prices %(lines)s, tax %(tax)s"), parts));
    }
    if (money.credit) {
      words.push(say(gettext("brought back %(money)s"), { money: this.money(money.credit) }));
    }
    at("sum-parts").textContent = words.join("; ");
    this.showChange(money.due);
  }

  showChange(due) {
    const typed = at("given").value.trim();
    const given = parseMinor(typed, this.currency);
    const out = at("change");
    if (!typed || due < 0) out.textContent = "";
    else if (given === null) out.textContent = gettext("That is no amount.");
    else out.textContent = this.changeWords(given - due);
  }

  changeWords(rest) {
    const pattern = rest < 0 ? gettext("%(money)s missing") : gettext("Change %(money)s");
    return say(pattern, { money: this.money(Math.abs(rest)) });
  }

  line(line, place) {
    const item = fill("line", {
      name: line.name,
      price: this.money(line.price_minor),
      reason: line.reason,
      doubt: line.doubt ?? "",
    });
    for (const button of item.querySelectorAll("button")) button.value = String(place);
    const words = say(gettext("Take out %(name)s"), { name: line.name });
    item.querySelector(".remove").setAttribute("aria-label", words);
    return item;
  }

  pairBack(pair, place) {
    const item = fill("back-line", {
      name: this.backWords(pair),
      price: this.lessWords(pair),
    });
    item.querySelector("button").value = String(place);
    return item;
  }

  backWords(pair) {
    return say(gettext("%(number)s brought back"), { number: pair.number });
  }

  lessWords(pair) {
    return say(gettext("less %(money)s"), { money: this.money(pair.refund_minor) });
  }

  showLast(act) {
    at("last").hidden = !act;
    if (!act) return;
    at("last-words").textContent = this.wordsOf(act);
    at("receipt-open").hidden = act.body.kind !== "sale";
  }

  wordsOf({ body }) {
    const time = new Date(body.at).toLocaleTimeString(clockLanguage, {
      hour: "2-digit",
      minute: "2-digit",
    });
    if (body.kind === "undo") return gettext("Taken back");
    if (body.kind === "ask") {
      return say(gettext("Asked for: %(what)s, %(time)s"), { what: body.words || body.name, time });
    }
    if (!["return", "sale"].includes(body.kind)) return `${body.kind}, ${time}`;
    const told = { paid: this.money(Math.abs(body.due_minor)), way: wayOf(body), time };
    if (body.kind === "return") return say(gettext("Paid back %(paid)s %(way)s, %(time)s"), told);
    return sayCount(
      "Sold %(count)s pair, %(paid)s %(way)s, %(time)s",
      "Sold %(count)s pairs, %(paid)s %(way)s, %(time)s",
      body.lines.length,
      told,
    );
  }

  // Clear words for each state, and never the colour alone.
  showState(state, count, elsewhere) {
    const words = [];
    if (count) words.push(sayCount("%(count)s waiting", "%(count)s waiting", count));
    if (!count || state !== "sent") words.push(STATES[state] ?? state);
    at("state").textContent = words.join(" · ");
    at("state").dataset.state = count ? "waiting" : state;
    at("state-more").textContent = count
      ? gettext("Kept on this phone. They are sent as soon as the book answers.")
      : "";
    at("sign-in").hidden = state !== "sign-in";
    at("elsewhere").hidden = elsewhere === 0;
    at("elsewhere").textContent = sayCount(
      "%(count)s of another book wait on this phone. They are sent when that book is open at this address.",
      "%(count)s of another book wait on this phone. They are sent when that book is open at this address.",
      elsewhere,
    );
  }

  receipt(act) {
    const { body } = act;
    const tax = body.tax_minor;
    at("receipt-head").textContent = this.sheet.workshop;
    at("receipt-when").textContent = new Date(body.at).toLocaleString(clockLanguage, {
      dateStyle: "long",
      timeStyle: "short",
    });
    const rows = body.lines.map((line) =>
      fill("receipt-line", { name: line.name, price: this.money(line.price_minor) }),
    );
    for (const pair of body.back) {
      const back = { name: this.backWords(pair), price: this.lessWords(pair) };
      rows.push(fill("receipt-line", back));
    }
    if (tax) {
      const name = body.tax_included ? gettext("Tax in it") : gettext("Tax");
      rows.push(fill("receipt-line", { name, price: this.money(tax) }));
    }
    const paid = say(gettext("Paid, %(way)s"), { way: wayOf(body) });
    const total = body.due_minor < 0 ? gettext("Paid out") : paid;
    rows.push(fill("receipt-line", { name: total, price: this.money(Math.abs(body.due_minor)) }));
    at("receipt-lines").replaceChildren(...rows);
  }

  say(words) {
    at("said").textContent = words;
  }

  plain(minor) {
    return minor === null ? "" : typedMinor(minor, this.currency);
  }
}

function wayOf({ paid_by: way }) {
  return WAYS[way] ?? way;
}
