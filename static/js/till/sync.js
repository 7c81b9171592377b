// Sending acts, oldest first, until the book has answered each. Sending one twice does no harm:
// its key makes it the same act.

import * as store from "./store.js";

const MOST_AT_ONCE = 50;
const PATIENCE_MS = 15_000;
const PAUSES_MS = [3_000, 10_000, 30_000, 60_000];

export class Sender {
  constructor({ csrfCookie, onChange }) {
    this.csrfCookie = csrfCookie;
    this.onChange = onChange;
    this.state = navigator.onLine ? "asking" : "offline";
    this.pause = 0;
    this.timer = undefined;
    this.running = undefined;
    this.day = undefined;
    this.size = MOST_AT_ONCE;
  }

  start(day) {
    this.day = day;
    addEventListener("online", () => this.soon());
    addEventListener("offline", () => this.become("offline"));
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.soon();
    });
    return this.soon();
  }

  // Send now; whoever asks while it runs waits for the same run and one more.
  soon() {
    clearTimeout(this.timer);
    this.running = (this.running ?? Promise.resolve()).then(() => this.run());
    return this.running;
  }

  async run() {
    try {
      const outcome = await withLock(() => this.round());
      if (outcome) this.become(outcome);
      this.pause = 0;
      this.timer = setTimeout(() => this.soon(), PAUSES_MS.at(-1));
    } catch (trouble) {
      this.become(trouble.state ?? "offline");
      this.timer = setTimeout(() => this.soon(), PAUSES_MS[this.pause]);
      this.pause = Math.min(this.pause + 1, PAUSES_MS.length - 1);
    }
  }

  become(state) {
    this.state = state;
    this.onChange();
  }

  // The sheet first: it tells which book is served here, and brings a fresh token.
  async round() {
    const book = await this.fetchSheet();
    if (!book) return "closed";
    const skipped = new Set();
    for (;;) {
      const mine = (await store.waiting()).filter(
        (act) => act.book === book && !skipped.has(act.key),
      );
      if (!mine.length) break;
      const parcel = mine.filter((act) => act.day === mine[0].day).slice(0, this.size);
      await this.send(book, parcel, skipped);
      this.onChange();
    }
    await this.fetchSheet();
    return skipped.size ? "stuck" : "sent";
  }

  async send(book, parcel, skipped) {
    const answer = await this.ask(`/stall/${parcel[0].day}/acts/`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": this.token() },
      body: JSON.stringify({
        book,
        device: await store.meta("device"),
        sent_at: Date.now(),
        acts: parcel.map((act) => act.body),
      }),
    });
    if (answer.ok) {
      const { answers } = await answer.json();
      await store.markAnswered(answers, Date.now());
      const answered = new Set(answers.map(({ key }) => key));
      for (const { key } of parcel) if (!answered.has(key)) skipped.add(key);
      this.size = MOST_AT_ONCE;
    } else if (this.size > 1 && parcel.length > 1) {
      this.size = 1; // one of them is the trouble: the others shall not wait for it
    } else if (answer.status < 500) {
      skipped.add(parcel[0].key);
    } else {
      throw new Error(`The book answered ${answer.status}.`);
    }
  }

  // Fetch the sheet of the day if the book has another one; return the name of the book.
  async fetchSheet() {
    const book = await store.meta("book");
    const had = await store.sheetOf(book, this.day);
    const asked = Date.now();
    const answer = await this.ask(`/stall/${this.day}/till.json?have=${had?.revision ?? ""}`);
    if (answer.status === 409 || answer.status === 404) {
      // The day is not open in the book any more. What was sold on it is sent all the same.
      return book;
    }
    if (!answer.ok) throw new Error(`The book answered ${answer.status}.`);
    const said = await answer.json();
    const sheet = { ...(said.same ? had : said), asked_at: asked };
    await store.keepSheet(sheet);
    await store.setMeta("book", sheet.book);
    await this.onChange();
    return sheet.book;
  }

  async ask(address, how = {}) {
    const answer = await fetch(address, {
      credentials: "same-origin",
      cache: "no-store",
      redirect: "manual",
      signal: AbortSignal.timeout(PATIENCE_MS),
      ...how,
    });
    if (answer.type === "opaqueredirect" || [401, 403].includes(answer.status)) {
      throw new NotSignedIn();
    }
    if ([503, 507].includes(answer.status)) throw new CannotWrite();
    return answer;
  }

  token() {
    const found = document.cookie.split("; ").find((one) => one.startsWith(`${this.csrfCookie}=`));
    return found ? decodeURIComponent(found.slice(this.csrfCookie.length + 1)) : "";
  }
}

class NotSignedIn extends Error {
  state = "sign-in";
}

// The disk of the book is full or does not let itself be written: everything is sent again.
class CannotWrite extends Error {
  state = "disk";
}

// Two pages of one phone must not send side by side; where the browser cannot promise that,
// the keys still do.
function withLock(work) {
  if (!navigator.locks) return work();
  return navigator.locks.request("stall-send", work);
}
