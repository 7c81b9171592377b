// What the phone knows: the sheet of the day and its own acts on top of it.

export class Book {
  constructor(sheet, acts) {
    this.sheet = sheet;
    this.acts = acts;
    this.kinds = new Map([...sheet.kinds, ...sheet.off_table].map((kind) => [kind.key, kind]));
  }

  // Acts that stand: neither an undo nor taken back by one.
  standing() {
    const undone = new Set(
      this.acts.filter((act) => act.body.kind === "undo").map((act) => act.body.undoes),
    );
    return this.acts.filter((act) => act.body.kind !== "undo" && !undone.has(act.key));
  }

  last() {
    return this.standing().at(-1);
  }

  kindOfNumber(number) {
    const place = this.sheet.pairs[number];
    return place === undefined ? undefined : this.sheet.kinds[place];
  }

  // How many of each tile are left: the sheet's count less what this phone did since.
  left() {
    const left = new Map(this.sheet.kinds.map((kind) => [kind.key, kind.left]));
    for (const act of this.acts) {
      if (!this.isAfterSheet(act)) continue;
      if (act.body.kind === "undo") {
        const target = this.acts.find((other) => other.key === act.body.undoes);
        if (target) this.count(left, target.body, 1);
      } else {
        this.count(left, act.body, -1);
      }
    }
    return left;
  }

  isAfterSheet(act) {
    return act.state === "waiting" || (act.answered ?? 0) > this.sheet.asked_at;
  }

  count(left, body, sign) {
    for (const line of body.lines ?? []) {
      const key = this.tileOf(line);
      if (left.has(key)) left.set(key, left.get(key) + sign);
    }
  }

  tileOf(line) {
    const byNumber = line.number && this.kindOfNumber(Number(line.number.slice(1)));
    if (byNumber) return byNumber.key;
    return `${line.pattern}-${line.quality}-${line.yarn}-${line.list_minor ?? 0}`;
  }

  // The line of this phone's own acts that sold a number and still holds.
  soldAs(label) {
    for (const act of this.standing().reverse()) {
      if (act.body.back?.some((pair) => pair.number === label)) return undefined;
      const line = act.body.lines?.find((sold) => sold.number === label);
      if (line) return { act, line };
    }
    return undefined;
  }
}
