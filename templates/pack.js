// Ticks, initials, readings and timers, kept in this browser for this plan and saved as a file.
// The page reads the same without it.
(() => {
  "use strict";
  const body = document.body;
  const key = "lidwork-record-" + body.dataset.digest;
  const all = (selector, root) => Array.from((root || document).querySelectorAll(selector));
  const steps = all(".step");
  let record = { steps: {}, readings: {}, waits: {} };

  const load = () => {
    try {
      const found = JSON.parse(localStorage.getItem(key));
      if (found && found.steps && found.readings && found.waits) record = found;
    } catch (error) { /* nothing kept, or keeping is switched off */ }
  };
  let kept = true;
  const keep = () => {
    try { localStorage.setItem(key, JSON.stringify(record)); kept = true; } catch (error) { kept = false; }
    progress();
  };
  const now = () => new Date().toISOString();
  const entry = (name) => (record.steps[name] = record.steps[name] || { done: false, initials: "" });

  const progress = () => {
    const done = steps.filter((step) => (record.steps[step.dataset.step] || {}).done).length;
    document.getElementById("progress").textContent = done + " of " + steps.length + " steps done"
      + (kept ? "" : ". This browser keeps nothing: save the record before you close the page.");
    steps.forEach((step) =>
      step.classList.toggle("done", Boolean((record.steps[step.dataset.step] || {}).done)));
  };

  const bindStep = (step) => {
    const name = step.dataset.step;
    const tick = step.querySelector("[data-tick]");
    const initials = step.querySelector("[data-initials]");
    const kept = record.steps[name] || {};
    tick.checked = Boolean(kept.done);
    initials.value = kept.initials || "";
    tick.addEventListener("change", () => {
      entry(name).done = tick.checked;
      entry(name).at = now();
      keep();
    });
    initials.addEventListener("input", () => { entry(name).initials = initials.value; keep(); });
  };

  const mirror = (name, value) =>
    all("[data-mirror]").filter((cell) => cell.dataset.mirror === name)
      .forEach((cell) => { cell.textContent = value; });
  // A comma is the decimal sign, unless three digits follow: then it may part thousands.
  const numberOf = (text) => {
    const bare = text.trim().replace("\u2212", "-").replace(/^([+-]?\d{1,12}),(\d{1,2}|\d{4,12})$/, "$1.$2");
    return /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(bare) ? Number(bare) : NaN;
  };
  const OUTSIDE = " the limit: check the meter, its range and the work, and measure again before you go on.";
  const judge = (input) => {
    const said = input.closest(".reading").querySelector(".judged");
    if (!said) return;
    const value = numberOf(input.value);
    const below = value < Number(input.dataset.low ?? -Infinity);
    const above = value > Number(input.dataset.high ?? Infinity);
    said.classList.toggle("outside", below || above);
    if (Number.isNaN(value)) said.textContent = input.value.trim() ? "Not a number." : "";
    else said.textContent = below || above ? (below ? "Below" : "Above") + OUTSIDE : "Within the limit.";
  };
  const bindReading = (input) => {
    const name = input.dataset.reading;
    const kept = record.readings[name];
    if (kept) { input.value = kept.value; mirror(name, kept.value); judge(input); }
    input.addEventListener("input", () => {
      record.readings[name] = { value: input.value, at: now() };
      mirror(name, input.value);
      judge(input);
      keep();
    });
  };

  const left = (wait) => {
    const started = Date.parse(record.waits[wait.dataset.wait]);
    if (Number.isNaN(started)) return "";
    const minutes = Math.ceil((started + wait.dataset.hours * 36e5 - Date.now()) / 6e4);
    if (minutes <= 0) return "The time is over. Look at it before you go on.";
    return Math.floor(minutes / 60) + " h " + (minutes % 60) + " min left";
  };
  const bindWait = (wait) => {
    wait.querySelector(".timer").hidden = false;
    const button = wait.querySelector(".start-timer");
    const show = () => {
      wait.querySelector(".left").textContent = left(wait);
      if (record.waits[wait.dataset.wait]) button.textContent = "Start again";
    };
    button.addEventListener("click", () => {
      record.waits[wait.dataset.wait] = now();
      keep();
      show();
    });
    show();
    setInterval(show, 30000);
  };

  const save = () => {
    const file = { lidwork_record: 1, job: body.dataset.job, plan: body.dataset.digest,
      revision: body.dataset.revision, saved: now(), ...record };
    const blob = new Blob([JSON.stringify(file, null, 1)], { type: "application/json" });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = "record-" + body.dataset.digest + ".json";
    body.append(link);
    link.click();
    link.remove();
  };

  let at = 0;
  const bind = (id, act) => document.getElementById(id).addEventListener("click", act);
  const shown = () => {
    all(".part-method > .shown").forEach((group) => group.classList.remove("shown"));
    steps[at].parentElement.classList.add("shown");
    document.getElementById("where").textContent = "Step " + (at + 1) + " of " + steps.length;
    document.getElementById("previous-step").disabled = at === 0;
    document.getElementById("next-step").disabled = at === steps.length - 1;
  };
  const go = (place) => {
    at = Math.min(Math.max(place, 0), steps.length - 1);
    shown();
    steps[at].setAttribute("tabindex", "-1");
    steps[at].focus({ preventScroll: true });
    steps[at].scrollIntoView({ block: "center" });
  };
  const stepping = (on) => {
    body.classList.toggle("stepping", on);
    document.querySelector(".step-nav").hidden = !on;
    if (on) {
      const open = steps.findIndex((step) => !(record.steps[step.dataset.step] || {}).done);
      go(open < 0 ? 0 : open);
    }
  };

  load();
  if (!steps.length) return;
  document.querySelector(".tools-bar").hidden = false;
  steps.forEach(bindStep);
  all("[data-reading]").forEach(bindReading);
  all(".wait").forEach(bindWait);
  bind("save-record", save);
  bind("step-view", () => stepping(true));
  bind("all-steps", () => { stepping(false); steps[at].scrollIntoView(); });
  bind("previous-step", () => go(at - 1));
  bind("next-step", () => go(at + 1));
  document.addEventListener("keydown", (event) => {
    if (!body.classList.contains("stepping") || event.target.matches("input")) return;
    if (event.key === "ArrowRight") go(at + 1);
    if (event.key === "ArrowLeft") go(at - 1);
    if (event.key === "Escape") stepping(false);
  });
  progress();
})();
