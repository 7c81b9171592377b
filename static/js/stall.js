// The till works without this file; it only says the change before the purchase is sent.
document.addEventListener("input", (event) => {
  if (event.target.id !== "id_given") return;
  showChange(event.target);
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
  const amount = (Math.abs(rest) / 10 ** digits).toFixed(digits);
  out.textContent = rest >= 0 ? `Change ${amount}` : `${amount} missing`;
}
