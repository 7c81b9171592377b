// Keeps the preview beside the form in step with it, and long prints going.
"use strict";

const AT_ONCE = 24;
const form = document.querySelector("form[data-tags]");
const frame = document.querySelector("[data-preview]");

function asked() {
  const all = new URLSearchParams(new FormData(form));
  const pairs = all.getAll("pair").slice(0, AT_ONCE);
  all.delete("pair");
  all.delete("key");
  pairs.forEach((pair) => all.append("pair", pair));
  all.append("preview", "1");
  return `${frame.dataset.preview}?${all}`;
}

if (form && frame) {
  let waiting;
  form.addEventListener("change", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      const address = asked();
      document.querySelector("[data-preview-link]").href = address;
      // A hidden frame, as on a phone, fetches nothing.
      if (frame.offsetParent !== null) frame.contentWindow.location.replace(address);
    }, 400);
  });
}

const goOn = document.querySelector("form[data-go-on]");

async function makeAll() {
  const bar = document.querySelector("progress");
  const made = document.querySelector("[data-made]");
  goOn.querySelector("button").hidden = true;
  for (;;) {
    const answer = await fetch(goOn.action, {
      method: "POST",
      body: new FormData(goOn),
      headers: { Accept: "application/json" },
    });
    if (!answer.ok) {
      // The page says what is wrong when it is asked the plain way.
      if (answer.status === 422) goOn.submit();
      goOn.querySelector("button").hidden = false;
      return;
    }
    const said = await answer.json();
    bar.value = said.made;
    made.textContent = said.made;
    if (said.finished) {
      location.reload();
      return;
    }
  }
}

if (goOn) makeAll().catch(() => { goOn.querySelector("button").hidden = false; });
