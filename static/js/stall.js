// The till works without this file; it only says the change before the purchase is sent.
document.addEventListener("input", (event) => {
  if (event.target.id !== "id_given") return;
  showChange(event.target);
});

// What was swapped took the focus with it, or left it on the tile that was tapped: the purchase
// gets it back, and its sum is said.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target.id !== "purchase") return;
  const purchase = document.getElementById("purchase");
  if (document.activeElement === document.body) purchase.focus();
  document.getElementById("sum-said").textContent = purchase.querySelector(".due").textContent;
});

function showChange(field) {
  const purchase = field.closest("#purchase");
  const out = purchase.querySelector("output.change");
  const digits = Number(out.dataset.digits);
  const due = Number(purchase.dataset.due);
  const typed = field.value.trim().replace(/^[$€£¥]/, "").replace(",", ".");
  if (!/^\d+(\.\d+)?$/.test(typed)) {
    out.textContent = "";
    return;
  }
  // Whole minor units: 0.1 + 0.2 has no place in a till.
  const given = Math.round(Number(typed) * 10 ** digits);
  const rest = given - due;
  const amount = new Intl.NumberFormat(document.documentElement.lang, {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    useGrouping: false,
  }).format(Math.abs(rest) / 10 ** digits);
  const pattern = rest >= 0 ? gettext("Change %(money)s") : gettext("%(money)s missing");
  out.textContent = interpolate(pattern, { money: amount }, true);
}
