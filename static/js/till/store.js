// What the phone keeps. An act is written here, and the writing is done, before anything else
// happens with it; it is only ever marked afterwards, never changed.

import { openDB } from "../../vendor/idb/idb.js";

const NAME = "socktrade-stall";
const VERSION = 1;
const KEPT_DAYS = 60;
// The browser says "done" only when the words are on the flash, not in a buffer.
const ON_FLASH = { durability: "strict" };

let opened = null;

export function open() {
  opened ??= openDB(NAME, VERSION, {
    upgrade(db) {
      const acts = db.createObjectStore("acts", { keyPath: "seq", autoIncrement: true });
      acts.createIndex("key", "key", { unique: true });
      acts.createIndex("state", "state");
      acts.createIndex("day", ["book", "day"]);
      db.createObjectStore("sheets", { keyPath: ["book", "day.id"] });
      db.createObjectStore("meta");
    },
    blocking(_now, _wanted, event) {
      // Another page has a newer version of the till: let it change the store.
      event.target.close();
      opened = null;
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

export async function meta(name) {
  return (await open()).get("meta", name);
}

export async function setMeta(name, value) {
  await (await open()).put("meta", value, name);
}

export async function sheetOf(book, day) {
  return book ? (await open()).get("sheets", [book, day]) : undefined;
}

export async function keepSheet(sheet) {
  await (await open()).put("sheets", sheet);
}

export async function actsOf(book, day) {
  return book ? (await open()).getAllFromIndex("acts", "day", [book, day]) : [];
}

export async function waiting() {
  return (await open()).getAllFromIndex("acts", "state", "waiting");
}

// Keep an act; with it, in the same transaction, drop the purchase it came from.
export async function keepAct(act, { clearPurchase = false } = {}) {
  const tx = (await open()).transaction(["acts", "meta"], "readwrite", ON_FLASH);
  const seq = await tx.objectStore("acts").add(act);
  if (clearPurchase) await tx.objectStore("meta").delete("purchase");
  await tx.done;
  return { ...act, seq };
}

// Note what the book answered. An act that nobody waits for is left as it is.
export async function markAnswered(answers, at) {
  const tx = (await open()).transaction("acts", "readwrite", ON_FLASH);
  for (const { key, state, words } of answers) {
    const act = await tx.store.index("key").get(key);
    if (act?.state === "waiting") await tx.store.put({ ...act, state, words, answered: at });
  }
  await tx.done;
}

export async function dropOld(now) {
  const tx = (await open()).transaction("acts", "readwrite");
  const old = now - KEPT_DAYS * 86_400_000;
  for await (const cursor of tx.store) {
    if (cursor.value.at >= old) break;
    if (cursor.value.state === "done") await cursor.delete();
  }
  await tx.done;
}
