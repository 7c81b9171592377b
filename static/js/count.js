// Counting by keyboard: Enter goes on to the next figure instead of sending half a count.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches("input.figure")) return;
  event.preventDefault();
  const figures = [...event.target.form.querySelectorAll("input.figure")];
  const next = figures[figures.indexOf(event.target) + 1];
  (next || event.target.form.querySelector("button:not([type])")).focus();
  if (next) next.select();
});
