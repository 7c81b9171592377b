// Comforts of the bench. Everything works without this file.

// A measure ticks its sock, and Enter goes on to the next measure instead of sending half.
document.addEventListener("input", (event) => {
  const pk = event.target.dataset.measures;
  if (!pk || !event.target.value.trim()) return;
  const box = event.target.form.querySelector(`input[name="socks"][value="${CSS.escape(pk)}"]`);
  if (box && !box.checked) box.click();
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.dataset.measures) return;
  event.preventDefault();
  // Down the column: from foot to foot, from leg to leg.
  const column = event.target.name.split("_")[0];
  const all = [...event.target.form.querySelectorAll(`input[name^="${column}_"]`)];
  const next = all[all.indexOf(event.target) + 1];
  if (next) next.focus();
  else event.target.form.querySelector("button:not([type])").focus();
});

// Usual faults are written by a tap: the place is typed, the word is added.
for (const chips of document.querySelectorAll("[data-words-for]")) {
  const field = document.getElementById(chips.dataset.wordsFor);
  chips.hidden = false;
  chips.addEventListener("click", (event) => {
    if (!event.target.matches("button")) return;
    field.value = `${field.value.trim()} ${event.target.textContent.trim()}, `.trimStart();
    field.focus();
  });
}

// Buttons with a plus and a minus beside a figure.
for (const button of document.querySelectorAll("button[data-step]")) {
  const field = document.getElementById(button.dataset.for);
  button.addEventListener("click", () => {
    const least = Number(field.min || 0);
    const most = Number(field.max || Number.MAX_SAFE_INTEGER);
    const wanted = Number(field.value || 0) + Number(button.dataset.step);
    field.value = String(Math.min(most, Math.max(least, wanted)));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
