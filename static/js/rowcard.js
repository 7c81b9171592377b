// The row card: one step at a time, gone through by a tap, a key or a foot pedal.
// Without this file the page is the plain list of steps.

const list = document.getElementById("card-steps");
const stage = document.getElementById("stage");

if (list && stage) {
  const steps = [...list.children].map((item) => ({
    item,
    prompt: item.querySelector(".step-prompt").textContent,
    cautions: item.dataset.cautions.split("|").filter(Boolean),
    section: item.dataset.section,
    next: item.dataset.next,
    rows: Number(item.dataset.rows),
    to: Number(item.dataset.to),
    sock: Number(item.dataset.sock),
    hangs: item.dataset.hangs || "",
  }));
  const part = (name) => document.getElementById(`stage-${name}`);
  const nextSoon = 3;
  const kept = `socktrade:${stage.dataset.place}`;
  const habits = "socktrade:card-habits";
  const place = { step: 0, row: 0, ...read(kept) };
  const wish = { rows: false, mute: false, ...read(habits) };
  let sound = null;

  // A place kept for a card with other steps, or spoilt storage, starts over.
  if (!Number.isInteger(place.step) || place.step < 0 || place.step > steps.length) place.step = 0;
  if (!Number.isInteger(place.row) || place.row < 0) place.row = 0;

  function say(text, values) {
    return interpolate(text, values, true);
  }

  function read(name) {
    try {
      return JSON.parse(localStorage.getItem(name)) || {};
    } catch {
      return {};
    }
  }

  function keep(name, value) {
    try {
      localStorage.setItem(name, JSON.stringify(value));
    } catch {
      // Private windows may refuse; the card still works until the page is left.
    }
  }

  function atStart() {
    return place.step === 0 && place.row === 0;
  }

  function isTurn(step) {
    return step.section === "heel" || step.section === "toe";
  }

  function ended() {
    stage.classList.remove("ended");
    void stage.offsetWidth; // lets the same animation run again
    stage.classList.add("ended");
    if (wish.mute) return;
    if (navigator.vibrate) navigator.vibrate([120, 60, 120]);
    beep();
  }

  function beep() {
    const Sound = window.AudioContext || window.webkitAudioContext;
    if (!Sound) return;
    sound ||= new Sound();
    if (sound.state === "suspended") sound.resume();
    const tone = sound.createOscillator();
    const level = sound.createGain();
    tone.frequency.value = 880;
    level.gain.setValueAtTime(0.25, sound.currentTime);
    level.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + 0.35);
    tone.connect(level).connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.35);
  }

  function goOn() {
    if (place.step >= steps.length) return;
    if (wish.rows && place.row + 1 < steps[place.step].rows) {
      place.row += 1;
    } else {
      place.step += 1;
      place.row = 0;
      ended();
    }
    keep(kept, place);
    show();
  }

  function goBack() {
    if (wish.rows && place.row > 0) {
      place.row -= 1;
    } else if (place.step > 0) {
      place.step -= 1;
      place.row = wish.rows ? steps[place.step].rows - 1 : 0;
    }
    keep(kept, place);
    show();
  }

  function show() {
    const step = steps[place.step];
    showString(step);
    for (const [number, { item }] of steps.entries()) {
      if (number === place.step) item.setAttribute("aria-current", "step");
      else item.removeAttribute("aria-current");
    }
    part("back").disabled = atStart();
    part("over").textContent = atStart() && place.left
      ? say(gettext("Return to step %(step)s"), { step: place.left.step + 1 })
      : gettext("Start over");
    part("go").disabled = !step;
    if (step) showStep(step);
    else showEnd();
  }

  function showStep(step) {
    const left = step.rows - place.row;
    const where = { step: place.step + 1, steps: steps.length, sock: step.sock };
    part("where").textContent = step.sock
      ? say(gettext("Step %(step)s of %(steps)s, sock %(sock)s"), where)
      : say(gettext("Step %(step)s of %(steps)s"), where);
    write(part("prompt"), step.prompt);
    part("prompt").classList.toggle("long", step.prompt.length > 70);
    part("count").textContent = wish.rows ? String(place.row) : String(step.rows);
    part("unit").textContent = unitWords(step);
    part("counter").textContent = say(gettext("counter then reads %(row)s"), { row: step.to });
    part("hangs").textContent = step.hangs ? say(gettext("hangs about %(length)s"), { length: step.hangs }) : "";
    part("log").hidden = true;
    part("next").textContent = step.next
      ? say(gettext("Then: %(next)s"), { next: step.next })
      : gettext("Then the string is done.");
    part("next").classList.toggle("soon", wish.rows && left <= nextSoon);
    part("go").textContent = wish.rows && left > 1
      ? gettext("One row done")
      : gettext("Done, next step");
    part("cautions").replaceChildren(...step.cautions.map(bullet));
  }

  function unitWords(step) {
    if (!wish.rows) return isTurn(step) ? gettext("passes") : gettext("rounds");
    const of = isTurn(step) ? gettext("of %(rows)s passes") : gettext("of %(rows)s rounds");
    return say(of, { rows: step.rows });
  }

  function showEnd() {
    part("where").textContent = say(gettext("All %(steps)s steps"), { steps: steps.length });
    part("prompt").classList.remove("long");
    write(part("prompt"), gettext("The string is done. Log it, so that its socks get their numbers."));
    part("count").textContent = "✓";
    part("unit").textContent = "";
    part("counter").textContent = "";
    part("hangs").textContent = "";
    part("log").hidden = false;
    part("next").textContent = "";
    part("next").classList.remove("soon");
    part("go").textContent = gettext("All done");
    part("cautions").replaceChildren();
  }

  // Written only when it changes, so that a screen reader does not repeat it each row.
  function write(element, text) {
    if (element.textContent !== text) element.textContent = text;
  }

  function bullet(text) {
    const item = document.createElement("li");
    item.textContent = text;
    return item;
  }

  function showString(step) {
    const now = step ? step.sock : Infinity;
    for (const mark of stage.querySelectorAll("[data-sock-mark]")) {
      const number = Number(mark.dataset.sockMark);
      // The waste after a sock belongs to it, but by then it is knitted.
      const past = number < now || (number === now && step.section === "waste");
      const here = number === now && !past;
      mark.classList.toggle("knitted", past);
      mark.classList.toggle("on-needles", here);
      mark.querySelector("[data-sock-state]").textContent = past
        ? ` ${gettext("knitted")}`
        : ` ${here ? gettext("on the needles") : gettext("to come")}`;
    }
  }

  function pressed(event) {
    if (event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
    const isTick = event.target.type === "checkbox";
    if (!isTick && event.target.closest("input, select, textarea, a, summary")) return;
    const isPress = event.key === "Enter" || event.key === " ";
    // Buttons and boxes answer these by themselves; answering twice would skip a step.
    if (isPress && (isTick || event.target.closest("button"))) return;
    if (["ArrowLeft", "ArrowUp", "Backspace", "PageUp"].includes(event.key)) {
      event.preventDefault();
      goBack();
    } else if (goesOn(event.key)) {
      event.preventDefault();
      goOn();
    }
  }

  function goesOn(key) {
    return key.length === 1 || ["Enter", "ArrowRight", "ArrowDown", "PageDown"].includes(key);
  }

  // The screen must not go dark between two rows; phones without this keep their own time.
  async function stayAwake() {
    try {
      if (document.visibilityState === "visible") await navigator.wakeLock?.request("screen");
    } catch {
      // Refused on low battery: nothing to be done.
    }
  }

  // Only over TLS or on the machine itself; elsewhere the card lives until the page is left.
  navigator.serviceWorker?.register(stage.dataset.worker).catch(() => {});

  part("rows").checked = wish.rows;
  part("mute").checked = wish.mute;
  part("rows").addEventListener("change", (event) => {
    wish.rows = event.target.checked;
    place.row = 0;
    keep(habits, wish);
    show();
  });
  part("mute").addEventListener("change", (event) => {
    wish.mute = event.target.checked;
    keep(habits, wish);
  });
  part("go").addEventListener("click", goOn);
  part("back").addEventListener("click", goBack);
  part("over").addEventListener("click", () => {
    // A slip of the thumb must not lose the place: a second press brings it back.
    const left = { step: place.step, row: place.row };
    Object.assign(place, atStart() && place.left ? place.left : { step: 0, row: 0 });
    place.left = atStart() ? left : null;
    keep(kept, place);
    show();
  });
  // After a tap the pedal's Enter must go on, not press the tapped button once more. A
  // press by keyboard has no detail and keeps its place.
  stage.addEventListener("click", (event) => {
    if (event.detail > 0) part("go").focus({ preventScroll: true });
  });
  document.addEventListener("keydown", pressed);
  document.addEventListener("visibilitychange", stayAwake);
  stayAwake();
  stage.classList.add("set");
  show();
  part("go").focus({ preventScroll: true });
  stage.scrollIntoView();
}
