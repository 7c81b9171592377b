// What the till shows. Every change touches only what it changes: 300 tiles stay as they are.

import { formatMinor, parseMinor, plainMinor } from "./money.js";
import { sums } from "./purchase.js";

const STATES = {
  asking: "Looking for the book",
  sent: "All sent",
  offline: "No signal",
  "sign-in": "Sign in to send",
  stuck: "Some could not be sent",
  disk: "The book cannot write. Kept here",
  closed: "No open day",
};

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
    return minor === null ? "no price" : formatMinor(minor, this.currency);
  }

  showDay() {
    const { day, workshop } = this.sheet;
    at("day-name").textContent = day.name;
    at("plain-page").href = `/stall/${day.id}/`;
    at("plain-back").href = `/stall/${day.id}/sales/`;
    at("day-closed").hidden = day.state !== "closed";
    document.title = `Stall · ${workshop}`;
    const open = this.sheet.to_sort_out;
    at("to-sort-out").hidden = open === 0;
    at("to-sort-out").textContent = `${open} to sort out`;
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
      left: onTable ? `${kind.left} left` : "",
      second: kind.quality === "second" ? "second" : "",
    });
    item.dataset.key = kind.key;
    item.dataset.size = kind.size;
    item.firstElementChild.value = kind.key;
    return item;
  }

  showSizes(kinds) {
    const sizes = [...new Set(kinds.map((kind) => kind.size))];
    const buttons = ["", ...sizes].map((size) => {
      const button = fill("size", { name: size || "All sizes" });
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
      const text = `${Math.max(0, now.get(key))} left`;
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
    at("due-word").textContent = money.due < 0 ? "Pay out" : "To pay";
    at("due").textContent = this.money(Math.abs(money.due));
    const count = purchase.lines.length;
    at("pairs").textContent = count === 1 ? "1 pair" : `${count} pairs`;
    const apart = !tax.included && tax.percent_thousandths > 0;
    const words = apart ? [`Prices ${this.money(money.lines)}, tax ${this.money(money.tax)}`] : [];
    if (money.credit) words.push(`brought back ${this.money(money.credit)}`);
    at("sum-parts").textContent = words.join("; ");
    this.showChange(money.due);
  }

  showChange(due) {
    const typed = at("given").value.trim();
    const given = parseMinor(typed, this.currency);
    const out = at("change");
    if (!typed || due < 0) out.textContent = "";
    else if (given === null) out.textContent = "That is no amount.";
    else if (given < due) out.textContent = `${this.money(due - given)} missing`;
    else out.textContent = `Change ${this.money(given - due)}`;
  }

  line(line, place) {
    const item = fill("line", {
      name: line.name,
      price: this.money(line.price_minor),
      reason: line.reason,
      doubt: line.doubt ?? "",
    });
    for (const button of item.querySelectorAll("button")) button.value = String(place);
    item.querySelector(".remove").setAttribute("aria-label", `Take out ${line.name}`);
    return item;
  }

  pairBack(pair, place) {
    const item = fill("back-line", {
      name: pair.number,
      price: `less ${this.money(pair.refund_minor)}`,
    });
    item.querySelector("button").value = String(place);
    return item;
  }

  showLast(act) {
    at("last").hidden = !act;
    if (!act) return;
    at("last-words").textContent = this.wordsOf(act);
    at("receipt-open").hidden = act.body.kind !== "sale";
  }

  wordsOf({ body }) {
    const time = new Date(body.at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    if (body.kind === "undo") return "Taken back";
    if (body.kind === "ask") return `Asked for: ${body.words || body.name}, ${time}`;
    const paid = this.money(Math.abs(body.due_minor));
    if (body.kind === "return") return `Paid back ${paid} ${body.paid_by}, ${time}`;
    if (body.kind !== "sale") return `${body.kind}, ${time}`;
    const pairs = body.lines.length === 1 ? "1 pair" : `${body.lines.length} pairs`;
    return `Sold ${pairs}, ${paid} ${body.paid_by}, ${time}`;
  }

  // Clear words for each state, and never the colour alone.
  showState(state, count, elsewhere) {
    const words = [];
    if (count) words.push(count === 1 ? "1 waiting" : `${count} waiting`);
    if (!count || state !== "sent") words.push(STATES[state] ?? state);
    at("state").textContent = words.join(" · ");
    at("state").dataset.state = count ? "waiting" : state;
    at("state-more").textContent = count
      ? "Kept on this phone. They are sent as soon as the book answers."
      : "";
    at("sign-in").hidden = state !== "sign-in";
    at("elsewhere").hidden = elsewhere === 0;
    at("elsewhere").textContent = `${elsewhere} of another book wait on this phone. They are sent when that book is open at this address.`;
  }

  receipt(act) {
    const { body } = act;
    const tax = body.tax_minor;
    at("receipt-head").textContent = this.sheet.workshop;
    at("receipt-when").textContent = new Date(body.at).toLocaleString("en-GB", {
      dateStyle: "long",
      timeStyle: "short",
    });
    const rows = body.lines.map((line) =>
      fill("receipt-line", { name: line.name, price: this.money(line.price_minor) }),
    );
    for (const pair of body.back) {
      const price = `less ${this.money(pair.refund_minor)}`;
      rows.push(fill("receipt-line", { name: `${pair.number} brought back`, price }));
    }
    if (tax) {
      const name = body.tax_included ? "Tax in it" : "Tax";
      rows.push(fill("receipt-line", { name, price: this.money(tax) }));
    }
    const total = body.due_minor < 0 ? "Paid out" : `Paid, ${body.paid_by}`;
    rows.push(fill("receipt-line", { name: total, price: this.money(Math.abs(body.due_minor)) }));
    at("receipt-lines").replaceChildren(...rows);
  }

  say(words) {
    at("said").textContent = words;
  }

  plain(minor) {
    return minor === null ? "" : plainMinor(minor, this.currency);
  }
}
