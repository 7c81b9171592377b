// Buttons that count a number field up and down; without this file it is typed.
for (const button of document.querySelectorAll("button[data-step]")) {
  const field = document.getElementById(button.dataset.for);
  button.hidden = false;
  button.addEventListener("click", () => {
    const least = Number(field.min || 0);
    const most = Number(field.max || Infinity);
    const wanted = (Number(field.value) || 0) + Number(button.dataset.step);
    field.value = String(Math.min(most, Math.max(least, wanted)));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
