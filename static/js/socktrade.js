// Small comforts on every page. Everything works without this file.

// One press, one act: a second press while the first is on its way does nothing.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.method !== "post" || form.hasAttribute("hx-post")) return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
});
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});

// A box named by data-ticks="group" ticks every box of that group, and is itself half
// ticked while only some are. A box may belong to several groups: data-group="all s212".
document.addEventListener("change", (event) => {
  const box = event.target;
  if (box.dataset.ticks) {
    for (const other of groupOf(box.dataset.ticks)) {
      other.checked = box.checked;
      other.indeterminate = false;
    }
  }
  if (box.dataset.group || box.dataset.ticks) showCounts();
});

function groupOf(name) {
  return [...document.querySelectorAll(`input[data-group~="${CSS.escape(name)}"]`)];
}

// Boxes that tick others stand for them and are not counted themselves.
function singlesOf(name) {
  return groupOf(name).filter((box) => !box.dataset.ticks);
}

function showCounts() {
  for (const all of document.querySelectorAll("input[data-ticks]")) {
    const boxes = singlesOf(all.dataset.ticks);
    const ticked = boxes.filter((box) => box.checked).length;
    all.checked = ticked === boxes.length && ticked > 0;
    all.indeterminate = ticked > 0 && ticked < boxes.length;
  }
  for (const place of document.querySelectorAll("[data-count-of]")) {
    const ticked = singlesOf(place.dataset.countOf).filter((box) => box.checked);
    place.textContent = String(ticked.length);
  }
}
if (document.querySelector("input[data-ticks], [data-count-of]")) showCounts();

// A page that answers an act puts the focus on its answer: the first field that was refused,
// or what was done. A field that waits for the next number keeps it.
const answer =
  document.querySelector("main [aria-invalid=true]") ?? document.querySelector("main .done");
if (answer && !document.querySelector("[autofocus]")) {
  if (answer.matches(".done")) answer.tabIndex = -1;
  answer.focus();
}

// The rules of style show these buttons where scripts run.
for (const button of document.querySelectorAll("button[data-print]")) {
  button.addEventListener("click", () => window.print());
}
