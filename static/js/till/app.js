// The till on the phone: what a tap does.

import "../words.js";
import { Book } from "./book.js";
import { HIGHEST_MINOR, discounted, parseMinor, percentOf, shareOut } from "./money.js";
import {
  MOST_LINES, lineOfKind, lineOfNumber, newAct, newKey, newPurchase, numberIn, purchaseBody,
  sums, unpriced,
} from "./purchase.js";
import { canScan, scan } from "./scan.js";
import { Screen, at, say } from "./screen.js";
import * as store from "./store.js";
import { Sender } from "./sync.js";

const setup = document.body.dataset;
const screen = new Screen();
const sender = new Sender({ csrfCookie: setup.csrf, onChange: refresh });

let book = null;
let day = null;
let purchase = newPurchase();
let busy = false;
let turn = Promise.resolve();
let editing = 0;
let stopScan = null;

async function start() {
  if (!window.isSecureContext || !("serviceWorker" in navigator)) {
    at("not-here").hidden = false;
    at("state").textContent = gettext("Not possible at this address");
    return;
  }
  navigator.serviceWorker.register(setup.worker, { scope: "/stall/" }).catch(() => {});
  navigator.storage?.persist?.();
  if (!(await store.meta("device"))) await store.setMeta("device", newKey());
  day = await chosenDay();
  listen();
  if (day) await open();
  else await choose();
}

async function chosenDay() {
  const asked = Number(new URLSearchParams(location.search).get("day"));
  if (!asked) return (await store.meta("day")) ?? null;
  await store.setMeta("day", asked);
  return asked;
}

async function open() {
  const kept = await store.meta("purchase");
  if (kept?.day === day) purchase = kept.purchase;
  await refresh();
  at("sign-in-link").href += `?next=${encodeURIComponent(`/stall/till/?day=${day}`)}`;
  sender.start(day);
  store.dropOld(Date.now());
}

// No day is known yet: ask the book which ones are open.
async function choose() {
  at("choose").hidden = false;
  const answer = await sender.ask("/stall/days.json").catch(() => null);
  if (!answer?.ok) {
    at("sign-in").hidden = answer !== null;
    at("state").textContent = gettext("No market day yet");
    return;
  }
  const { days } = await answer.json();
  at("state").textContent = days.length ? gettext("Which day?") : gettext("No open day");
  at("choose-words").textContent = days.length
    ? gettext("Which day?")
    : gettext("Open a market day first.");
  if (days.length === 1) location.replace(`?day=${days[0].id}`);
  at("choose-days").replaceChildren(...days.map(dayLink));
}

function dayLink({ id, name }) {
  const item = document.createElement("li");
  const link = document.createElement("a");
  link.href = `?day=${id}`;
  link.className = "do";
  link.textContent = name;
  item.append(link);
  return item;
}

// Reading the store and adding to it take turns: a list read before an act was added must not
// be shown after it, or undo would take back the act before.
function inTurn(work) {
  const mine = turn.then(work);
  turn = mine.catch(() => {});
  return mine;
}

function refresh() {
  return inTurn(show);
}

// Read what the phone keeps and show it; tiles only when the sheet is another one.
async function show() {
  const name = await store.meta("book");
  const sheet = await store.sheetOf(name, day);
  const waiting = await store.waiting();
  const mine = waiting.filter((act) => act.book === name);
  screen.showState(sender.state, mine.length, waiting.length - mine.length);
  if (!sheet) {
    at("choose").hidden = false;
    return;
  }
  const known = book?.sheet.revision === sheet.revision && book.sheet.book === sheet.book;
  book = new Book(sheet, await store.actsOf(name, day));
  screen.use(sheet);
  if (!known) {
    screen.showDay();
    screen.showTiles();
    at("choose").hidden = true;
    at("till").hidden = false;
    document.documentElement.dataset.ready = "yes";
    performance.mark("till-ready");
  }
  screen.showLast(book.last());
  showPurchase();
}

function showPurchase() {
  screen.showPurchase(purchase);
  screen.showLeft(book.left(), purchase, (line) => book.tileOf(line));
}

function changed() {
  hide("pay-error");
  showPurchase();
  store.setMeta("purchase", { day, purchase });
}

function add(line) {
  if (purchase.lines.length >= MOST_LINES) return;
  purchase.lines.push(line);
  changed();
}

// Keep an act on the phone; only then is it shown as done and sent.
function keep(body, options) {
  return inTurn(() => keepNow(body, options));
}

async function keepNow(body, options) {
  const act = newAct(body, { book: book.sheet.book, day, at: Date.now() });
  try {
    book.acts.push(await store.keepAct(act, options));
  } catch {
    complain(
      "pay-error",
      gettext("This phone could not keep it. Write it on paper, and look at its free space."),
    );
    return null;
  }
  screen.showLast(book.last());
  screen.say(screen.wordsOf(act));
  screen.showState(sender.state, (await store.waiting()).length, 0);
  sender.soon();
  return act;
}

async function pay(paidBy) {
  const open = unpriced(purchase);
  if (open >= 0) {
    editPrice(open);
    return;
  }
  const { due } = sums(purchase, book.sheet.tax);
  const given = parseMinor(at("given").value, book.sheet.currency);
  if (paidBy === "cash" && given !== null && given < due) {
    const money = screen.money(due - given);
    complain("pay-error", say(gettext("%(money)s are missing."), { money }));
    return;
  }
  await once(async () => {
    const kept = await keep(purchaseBody(purchase, paidBy, book.sheet.tax), { clearPurchase: true });
    if (!kept) return;
    purchase = newPurchase();
    at("given").value = "";
    hide("pay-error");
    showPurchase();
  });
}

async function undo() {
  await once(async () => {
    await inTurn(async () => {
      const last = book.last();
      if (last) await keepNow({ kind: "undo", undoes: last.key });
    });
    showPurchase();
  });
}

// One tap, one act: a second tap while the first is being kept does nothing.
async function once(work) {
  if (busy) return;
  busy = true;
  try {
    await work();
  } finally {
    busy = false;
  }
}

function addNumber(text) {
  const number = numberIn(text);
  if (number === null) {
    const words = gettext("“%(text)s” is no pair number. Type what is on the tag, like P1042.");
    complain("number-error", say(words, { text: text.slice(0, 40) }));
    return;
  }
  hide("number-error");
  const kind = book.kindOfNumber(number);
  const line = lineOfNumber(number, kind);
  line.doubt = doubtAbout(line.number, kind);
  add(line);
  at("number").value = "";
  if (line.price_minor === null) editPrice(purchase.lines.length - 1);
}

function doubtAbout(label, kind) {
  if (purchase.lines.some((line) => line.number === label)) return gettext("In this purchase already.");
  if (book.soldAs(label)) return gettext("Sold on this phone before; kept to be sorted out.");
  if (kind) return "";
  return gettext("Not in the stall box as this phone knows it; kept to be sorted out.");
}

function editPrice(place) {
  const line = purchase.lines[place];
  editing = place;
  at("price-name").textContent = line.name;
  at("price").value = screen.plain(line.price_minor);
  at("reason").value = line.reason;
  hide("price-error");
  at("price-dialog").showModal();
  at("price").select();
}

function takePrice(event) {
  if (event.submitter?.value === "no") return;
  const price = parseMinor(at("price").value, book.sheet.currency);
  if (price === null || price > HIGHEST_MINOR) {
    event.preventDefault();
    complain("price-error", say(gettext("Write a price like %(price)s."), { price: screen.plain(2850) }));
    return;
  }
  const line = purchase.lines[editing];
  line.price_minor = price;
  line.reason = at("reason").value.trim();
  changed();
}

function takeDiscount(event) {
  if (event.submitter?.value === "no") return;
  const prices = purchase.lines.map((line) => line.price_minor ?? 0);
  const total = prices.reduce((sum, price) => sum + price, 0);
  const text = at("off").value;
  const off = percentOf(total, text) ?? parseMinor(text, book.sheet.currency);
  if (!off || off > total) {
    event.preventDefault();
    complain("off-error", gettext("A discount is more than nothing and at most the whole price."));
    return;
  }
  discounted(prices, off).forEach((price, place) => {
    const line = purchase.lines[place];
    if (line.price_minor !== null) line.price_minor = price;
    line.reason ||= gettext("discount");
  });
  changed();
}

async function noteWords(event) {
  if (event.submitter?.value === "no") return;
  const words = at("words").value.trim();
  if (!words) {
    event.preventDefault();
    complain("words-error", gettext("Tap a kind or write a few words."));
    return;
  }
  await keep({ kind: "ask", pattern: null, words });
}

async function noteKind(key) {
  const kind = book.kinds.get(key);
  at("asked-dialog").close();
  await keep({ kind: "ask", pattern: kind.pattern, words: "", name: kind.name });
}

// What was paid for a pair: known for what this phone sold, else the price on its tag.
function showPaid() {
  const number = numberIn(at("back-number").value);
  if (number === null) return;
  const sold = book.soldAs(`P${number}`);
  const kind = book.kindOfNumber(number);
  const paid = sold ? paidFor(sold) : (kind?.list_minor ?? null);
  if (paid !== null && !at("refund").value) at("refund").value = screen.plain(paid);
}

function paidFor({ act, line }) {
  const { lines, tax_minor: tax, tax_included: included } = act.body;
  if (included || !tax) return line.price_minor;
  return line.price_minor + shareOut(tax, lines.map((one) => one.price_minor))[lines.indexOf(line)];
}

async function takeBack(event) {
  const how = event.submitter?.value;
  if (how === "no") return;
  const number = numberIn(at("back-number").value);
  const refund = parseMinor(at("refund").value, book.sheet.currency);
  if (number === null || refund === null || refund > HIGHEST_MINOR) {
    event.preventDefault();
    complain("back-error", gettext("Give the number on the tag and what was paid for the pair."));
    return;
  }
  const back = { number: `P${number}`, refund_minor: refund };
  if (how === "exchange") {
    purchase.back.push(back);
    changed();
    return;
  }
  await keep(purchaseBody({ lines: [], back: [back] }, how, book.sheet.tax));
}

async function openScan() {
  hide("scan-trouble");
  at("scan-dialog").showModal();
  try {
    stopScan = await scan(at("scan-video"), scanned, setup.decoder);
  } catch {
    complain("scan-trouble", gettext("The camera cannot be used. Type the number instead."));
  }
}

function scanned(text) {
  at("scan-dialog").close();
  addNumber(text);
}

function openAsked() {
  const tiles = [...book.sheet.off_table, ...book.sheet.kinds].map((kind) => screen.tile(kind, false));
  at("asked-tiles").replaceChildren(...tiles);
  at("words").value = "";
  hide("words-error");
  at("asked-dialog").showModal();
}

async function openAbout() {
  at("way").textContent = wayOf(location);
  const acts = book ? book.acts.length : 0;
  const kept = book?.acts.filter((act) => act.state === "kept").length ?? 0;
  const words = kept
    ? gettext("%(acts)s acts of this day are on this phone; %(kept)s wait in the book to be sorted out.")
    : gettext("%(acts)s acts of this day are on this phone.");
  at("kept").textContent = say(words, { acts, kept });
  at("about-dialog").showModal();
}

function wayOf({ protocol, hostname }) {
  if (["localhost", "127.0.0.1", "[::1]"].includes(hostname)) {
    return gettext(
      "The laptop at the stall: this machine keeps the book itself. Nothing goes over a network.",
    );
  }
  return protocol === "https:"
    ? gettext("Hosted behind TLS: this phone sells with no signal and sends when there is one.")
    : gettext("Not possible here: this address is not encrypted. Use the plain till, or paper.");
}

function complain(id, words) {
  at(id).textContent = words;
  at(id).hidden = false;
}

function hide(id) {
  at(id).hidden = true;
}

function onTap(id, selector, work) {
  at(id).addEventListener("click", (event) => {
    const button = event.target.closest(selector);
    if (button && !button.disabled) work(button.value, button);
  });
}

function onOpen(id, work) {
  at(`${id}-open`).addEventListener("click", () => (book ? work() : undefined));
}

function listen() {
  for (const id of ["tiles", "off-tiles"]) {
    onTap(id, ".tile", (key) => add(lineOfKind(book.kinds.get(key))));
  }
  onTap("sizes", "button", (size) => screen.onlySize(size));
  onTap("lines", ".price", (place) => editPrice(Number(place)));
  onTap("lines", ".remove", (place) => takeOut("lines", place));
  onTap("lines", ".remove-back", (place) => takeOut("back", place));
  onTap("pay-acts", "button", pay);
  onTap("asked-tiles", ".tile", noteKind);
  at("undo").addEventListener("click", undo);
  at("drop").addEventListener("click", drop);
  at("given").addEventListener("input", () => screen.showSum(purchase));
  at("number-form").addEventListener("submit", (event) => {
    event.preventDefault();
    addNumber(at("number").value);
  });
  at("price-form").addEventListener("submit", takePrice);
  at("discount-form").addEventListener("submit", takeDiscount);
  at("asked-form").addEventListener("submit", noteWords);
  at("back-form").addEventListener("submit", takeBack);
  at("back-number").addEventListener("change", showPaid);
  listenToDialogs();
}

function listenToDialogs() {
  onOpen("asked", openAsked);
  onOpen("about", openAbout);
  onOpen("scan", openScan);
  onOpen("discount", () => openEmpty("discount-dialog", ["off"], "off-error"));
  onOpen("back", () => openEmpty("back-dialog", ["back-number", "refund"], "back-error"));
  onOpen("receipt", () => {
    screen.receipt(book.last());
    at("receipt-dialog").showModal();
  });
  at("receipt-print").addEventListener("click", () => window.print());
  at("send-now").addEventListener("click", () => sender.soon());
  at("scan-dialog").addEventListener("close", () => stopScan?.());
  at("scan-open").hidden = !canScan();
}

function openEmpty(dialog, fields, error) {
  for (const field of fields) at(field).value = "";
  hide(error);
  at(dialog).showModal();
}

function takeOut(list, place) {
  purchase[list].splice(Number(place), 1);
  changed();
}

function drop() {
  purchase = newPurchase();
  at("given").value = "";
  changed();
}

start();
