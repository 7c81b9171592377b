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
// ticked while only some are.
document.addEventListener("change", (event) => {
  const box = event.target;
  if (box.dataset.ticks) {
    for (const other of groupOf(box.dataset.ticks)) other.checked = box.checked;
  }
  if (box.dataset.group || box.dataset.ticks) showCounts(box.dataset.group || box.dataset.ticks);
});

function groupOf(name) {
  return [...document.querySelectorAll(`input[data-group="${CSS.escape(name)}"]`)];
}

function showCounts(name) {
  const boxes = groupOf(name);
  const ticked = boxes.filter((box) => box.checked).length;
  for (const all of document.querySelectorAll(`input[data-ticks="${CSS.escape(name)}"]`)) {
    all.checked = ticked === boxes.length && ticked > 0;
    all.indeterminate = ticked > 0 && ticked < boxes.length;
  }
  for (const place of document.querySelectorAll(`[data-count-of="${CSS.escape(name)}"]`)) {
    place.textContent = String(ticked);
  }
}

// "Print this page" buttons stay hidden until this file runs.
for (const button of document.querySelectorAll("button[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
