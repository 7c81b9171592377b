"""What a page is like to somebody who does not point: read in the page by these scripts."""

# A thing with the focus shows it (WCAG 2.2, 2.4.7) and is not wholly under something else
# (2.4.11). Sampled at nine points: one that answers is enough.
FOCUS = """
globalThis.focusTrouble = (at) => {
  const look = getComputedStyle(at);
  const ring = look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2;
  if (!ring && look.boxShadow === "none") return "does not show that it has the focus";
  const box = at.getBoundingClientRect();
  const label = at.labels?.[0];
  for (const across of [0.5, 0.1, 0.9]) {
    for (const down of [0.5, 0.1, 0.9]) {
      const x = box.left + box.width * across, y = box.top + box.height * down;
      const top = document.elementFromPoint(x, y);
      if (top && (at.contains(top) || label?.contains(top))) return "";
    }
  }
  return "has the focus and lies hidden";
};
globalThis.nameless = (at) => {
  const text = at.getAttribute("aria-label") || at.labels?.[0]?.textContent || at.textContent;
  return `<${at.localName} ${at.id || at.getAttribute("name") || ""}> ` +
    `“${text.trim().replace(/\\s+/g, " ").slice(0, 40)}”`;
};
"""

# Where Tab has to stop, in the order of the document: of radio buttons of one name, the one
# that is chosen or else the first.
STOPS = """
globalThis.stops = () => {
  const all = document.querySelectorAll(
    "a[href], button, input, select, textarea, summary, iframe, [tabindex], [contenteditable]");
  const open = [...all].filter((one) => one.tabIndex >= 0 && !one.disabled &&
    one.type !== "hidden" && !one.closest("[inert]") &&
    one.checkVisibility({ visibilityProperty: true }));
  const fields = (name) => open.filter((one) => one.type === "radio" && one.name === name);
  return open.filter((one) => one.type !== "radio" || one ===
    (fields(one.name).find((other) => other.checked) ?? fields(one.name)[0]));
};
// A box that scrolls and holds nothing to stop at is a stop by itself.
globalThis.scrolls = (one) =>
  one.scrollWidth > one.clientWidth || one.scrollHeight > one.clientHeight;
"""

# Written down at each step of a walk, with a gap where Tab leaves the page or goes into a frame.
WALK = """() => {
  // A page may put the focus where the hand is wanted; the walk starts at its beginning.
  const start = document.createElement("span");
  start.tabIndex = -1;
  document.body.prepend(start);
  start.focus();
  start.remove();
  globalThis.walked = [];
  addEventListener("focusin", (event) => walked.push([event.target, focusTrouble(event.target)]));
  addEventListener("focusout", (event) => event.relatedTarget || walked.push([null, ""]));
  const halves = document.querySelectorAll("[type=date], [type=time], [type=datetime-local]");
  return stops().length + 6 * halves.length + 12 * document.querySelectorAll("iframe").length + 8;
}"""
WALKED = """() => {
  const wanted = stops().filter((one) => one.localName !== "iframe");
  const end = walked.findIndex(([one], n) => !one && walked[n + 1]?.[0] === wanted[0]);
  if (end < 0) return ["Tab never gets round the page"];
  const told = [];
  const met = [];
  for (const [one, trouble] of walked.slice(0, end)) {
    if (trouble) told.push(`${nameless(one)} ${trouble}`);
    if (one) met.push(one);
  }
  const missed = wanted.filter((one) => !met.includes(one));
  const extra = met.filter((one) => !wanted.includes(one) && !scrolls(one));
  const inOrder = met.filter((one) => wanted.includes(one));
  const out = wanted.filter((one) => met.includes(one)).findIndex((one, n) => one !== inOrder[n]);
  told.push(...missed.map((one) => `${nameless(one)} is passed over by Tab`));
  told.push(...extra.map((one) => `${nameless(one)} stops Tab and does nothing`));
  if (out >= 0) told.push(`${nameless(inOrder[out])} comes out of order`);
  return told;
}"""

# Headings as a table of contents (WCAG 1.3.1, technique G141), one of them for the page; the
# title says which page it is (2.4.2), so it shares a word with that heading.
HEADINGS = """() => {
  const heads = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")]
    .filter((one) => one.checkVisibility());
  const told = [];
  const first = heads.filter((one) => one.localName === "h1");
  if (first.length !== 1) told.push(`${first.length} headings of level 1`);
  let before = 0;
  for (const head of heads) {
    const level = Number(head.localName[1]);
    if (level > before + 1) told.push(`“${head.textContent.trim()}” is ${level} after ${before}`);
    before = level;
  }
  const words = (text) => (text.toLowerCase().match(/[\\p{L}\\p{N}]{2,}/gu) ?? [])
    .map((word) => word.slice(0, 4));  // sizes and size, sells and sell
  const own = document.title.split(" · ")[0];
  if (!words(own).some((word) => words(first[0]?.textContent ?? "").includes(word)))
    told.push(`title “${own}” and heading “${first[0]?.textContent.trim()}” share no word`);
  return told;
}"""

# WCAG 2.2, 2.5.5 (44 px, of level AAA) for what a page is there to do, thumb first.
ACTS = """() => [...document.querySelectorAll(
    "main form button:not([type=button]), main .do, main .acts button")]
  .filter((one) => one.checkVisibility())
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([, box]) => box.height < 44 || box.width < 44)
  .map(([one, box]) =>
    `${nameless(one)} is ${Math.round(box.width)} × ${Math.round(box.height)} px`)
"""

# Layout shift as web.dev defines it: the score of shifts that no key or tap within half a
# second before explains. The sum over the visit is never less than its worst window. Below
# 0.005, a twentieth of what is called good, a word grew where it stood.
SHIFTS = """
globalThis.shifts = [];
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (!one.hadRecentInput) shifts.push(one);
}).observe({ type: "layout-shift", buffered: true });
"""
SHIFTED = """() => {
  if (shifts.reduce((sum, one) => sum + one.value, 0) < 0.005) return [];
  const name = (node) => (node?.nodeType === 1 ? nameless(node) : node?.nodeName);
  const moved = ({ node, previousRect: was, currentRect: is }) =>
    `${name(node)} from ${Math.round(was.top)} to ${Math.round(is.top)}`;
  return shifts.map((one) => `shifts by ${one.value.toFixed(4)}: ` +
    one.sources.slice(0, 3).map(moved).join(", "));
}"""
PAINTED = """() => new Promise((done) =>
  requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 30))))"""
FIRST_PAINT = """() => new Promise((done) => {
  new PerformanceObserver(() => done()).observe({ type: "paint", buffered: true });
  setTimeout(done, 3000);
})"""


class Late:
    """Holds back scripts and typefaces until the page was painted without them."""

    def __init__(self, context):
        self.held = []
        self.holding = False
        context.route("**/static/{js,fonts,django_htmx}/**", self._arrive)

    def _arrive(self, route):
        if self.holding:
            self.held.append(route)
        else:
            route.continue_()

    def hold(self):
        self.holding = True

    def release(self):
        self.holding = False
        for route in self.held:
            route.continue_()
        self.held.clear()
