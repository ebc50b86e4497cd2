// Puts in place what the program sends, and sends lines as they are typed in a session.
"use strict";

const place = (id) => document.getElementById(id);
let version = 0;
let step = 0; // what was asked for; draws that come later are no step
let busy = false;
const queue = []; // lines that wait

if (new URLSearchParams(location.search).has("wall")) document.body.classList.add("wall");

// ---- what is seen ----

const keyOf = (one) => (one.closest("#answers") ? "a " : "w ") + one.dataset.shown;

// What draws say of it comes later, and is no move.
const textOf = (value) => [...value.querySelectorAll("b, .out")].map((part) => part.textContent).join(" ");

function shownValues() {
  const shown = new Map();
  for (const one of document.querySelectorAll("[data-shown]")) {
    const value = one.querySelector("dd, .value");
    if (value) shown.set(keyOf(one), { text: textOf(value), moved: one.classList.contains("moved") });
  }
  return shown;
}

// Where nothing was asked for, what was marked stays marked, and no more.
function markMoved(before, isStep) {
  for (const one of document.querySelectorAll("[data-shown]")) {
    const value = one.querySelector("dd, .value");
    const was = before.get(keyOf(one));
    if (value && was && (isStep ? was.text !== textOf(value) : was.moved)) one.classList.add("moved");
  }
}

// What has the keyboard stays as it is being typed; everything else is replaced where it differs.
// Draws that come later replace only what they say something else of: a field that was refused stays.
function put(target, text, isStep) {
  const next = document.createElement("template");
  next.innerHTML = text;
  const old = [...target.children];
  const now = [...next.content.children];
  for (const one of now) one.sent = one.outerHTML;
  const same = old.length === now.length && old.every((one, at) => one.id === now[at].id && one.tagName === now[at].tagName);
  const focused = target.contains(document.activeElement) ? document.activeElement : null;
  if (!same) {
    const id = focused && focused.id;
    target.replaceChildren(...now);
    if (id && place(id)) place(id).focus();
    return;
  }
  old.forEach((one, at) => {
    one.classList.remove("moved");
    if (one.sent === now[at].sent && !(isStep && one.querySelector("input"))) return;
    if (focused && one.contains(focused)) return keepFocused(one, now[at], focused);
    one.replaceWith(now[at]);
  });
}

function keepFocused(old, now, focused) {
  const all = [...old.querySelectorAll("input, button, select")];
  const twin = [...now.querySelectorAll("input, button, select")][all.indexOf(focused)];
  const isTyping = focused.matches("input[type=text]") && focused.value !== focused.defaultValue;
  if (!twin || (focused.type === "range" && sliding)) return;
  if (isTyping) twin.value = focused.value;
  old.replaceWith(now);
  twin.focus();
}

function see(seen) {
  if (!(seen.version > version)) return;
  const before = shownValues();
  if (seen.class) {
    place("class").hidden = false;
    place("class").innerHTML = seen.class;
  }
  const isStep = seen.step !== step;
  put(place("answers"), seen.answers, isStep);
  put(place("main"), seen.worksheet, isStep);
  version = seen.version;
  const charts = [...place("main").querySelectorAll(":scope > figure")];
  charts.forEach((chart, at) => chart.classList.toggle("first", at === 0));
  markMoved(before, isStep);
  step = seen.step;
}

function tell(answer) {
  const told = place("told");
  told.replaceChildren();
  if (answer.page) told.innerHTML = answer.page;
  else if (answer.told) told.append(Object.assign(document.createElement("pre"), { textContent: answer.told }));
  place("reply").hidden = !answer.page && !answer.told;
}

// Who comes back by the same name in the same browser finds the own seat again.
function seat(name, taken) {
  try {
    const own = location.pathname + name;
    if (taken) localStorage.setItem(own, taken);
    return localStorage.getItem(own);
  } catch {
    return taken;
  }
}

async function comeIn() {
  const name = place("name").value.trim();
  const answer = await fetch("join", { method: "POST", body: name });
  const told = await answer.text();
  const own = seat(name, answer.ok ? told : "");
  if (own) location.href = own + "/";
  else place("why-not").textContent = told;
}

// ---- what is asked ----

// Lines go one after the other; of slides that wait the last alone.
function send(line, slides = "", field = null) {
  const last = queue[queue.length - 1];
  if (slides && last && last.slides === slides) last.line = line;
  else queue.push({ line, slides, field });
  if (!busy) work();
}

async function work() {
  busy = true;
  document.body.setAttribute("aria-busy", "true");
  while (queue.length) {
    try {
      const { line, field } = queue.shift();
      const answer = await (await fetch("line", { method: "POST", body: line })).json();
      // where nothing moved the field's text was refused, and stays to be mended
      if (field) field.setAttribute("aria-invalid", answer.step === step ? "true" : "false");
      see(answer);
      tell(answer);
    } catch {
      place("lost").hidden = false;
    }
  }
  busy = false;
  document.body.removeAttribute("aria-busy");
}

// A bare number takes the unit that stands beside its field, and keeps the ± there; whatever has
// a unit is left alone.
function withUnit(text, { unit, out: kept }) {
  const [value, ...out] = text.split(/(?=±|\+\/-)/);
  const bare = /^[-+−]?[\d.,_ ]*\d[\d.,_ ]*$/.test(value.trim());
  if (bare && kept && !out.length) out.push("± " + kept);
  return bare && unit ? [value.trim() + " " + unit, ...out].join(" ") : text;
}

function typed(field) {
  const text = field.value.trim();
  if (!text) return field.dataset.name + " = ?";
  const quoted = field.dataset.text && !/^["“]/.test(text) ? '"' + text + '"' : text;
  // a share up to 1 without its unit is read in two ways, and the answer says so
  const either = field.dataset.unit === "%" && Math.abs(Number(text)) <= 1;
  return field.dataset.name + " = " + withUnit(quoted, either ? {} : field.dataset);
}

let sliding = false;
document.addEventListener("input", (event) => {
  const slider = event.target.closest("[data-slides]");
  if (!slider) return;
  sliding = true;
  send(slider.dataset.slides + " = " + withUnit(slider.value, slider.dataset), slider.dataset.slides);
});

// To what can be changed, with the first number there under the finger.
function goTo(goal) {
  const fields = goal ? [...goal.querySelectorAll("input:not([type=range])")] : [];
  const field = fields.find((one) => !one.dataset.text) || fields[0];
  if (!field) return;
  goal.scrollIntoView({ block: "center" });
  field.focus({ preventScroll: true });
  field.select();
}

document.addEventListener("change", (event) => {
  if (event.target.id === "go-to") {
    const goal = place(event.target.value);
    event.target.value = "";
    return goTo(goal);
  }
  const slider = event.target.closest("[data-slides]");
  if (slider) {
    sliding = false;
    return;
  }
  const field = event.target.closest("input[data-name]");
  if (field && field.value !== field.defaultValue) {
    const line = typed(field);
    field.defaultValue = field.value;
    send(line, "", field);
  }
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.id === "put-away") place("reply").hidden = true;
  else if (button.dataset.line) send(button.dataset.line);
});

document.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  if (form.id === "join") return void comeIn();
  if (form.id === "typed") {
    const line = place("line").value.trim();
    if (line) send(line);
    place("line").select();
    return;
  }
  const given = (cell) => cell.value.trim() && (cell.type !== "radio" || cell.checked);
  const cells = [...form.querySelectorAll("input")].filter(given);
  if (!cells.length) return;
  const text = (cell) => (cell.dataset.text && !/^[\w-]+$/.test(cell.value.trim()) ? JSON.stringify(cell.value.trim()) : cell.value.trim());
  send("add " + form.dataset.table + " " + cells.map((cell) => cell.name + " " + text(cell)).join(", "));
  for (const cell of cells) if (cell.type !== "radio") cell.value = "";
});

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") place("reply").hidden = true;
});

// ---- what others do ----

async function follow() {
  for (;;) {
    try {
      const seen = await (await fetch("now?since=" + version)).json();
      place("lost").hidden = true;
      while (busy) await new Promise((after) => setTimeout(after, 50));
      see(seen);
      if (seen.told) tell(seen);
    } catch {
      place("lost").hidden = false;
      await new Promise((after) => setTimeout(after, 2000));
    }
  }
}
if (place("answers")) follow();
