// The bench page works without this; with it, answers come without a new page.
"use strict";

const told = document.getElementById("told");
let toldTimer = 0;
const STOPPED = "The server does not answer. Is it still running? What you typed is still here.";
const LARGEST_SENT = 38e6;
const MOST_SENT = 40;

// `shown` is set where the page itself shows these words: then only screen readers are told.
function tell(words, shown = false) {
  told.classList.toggle("unseen", shown);
  told.textContent = words;
  clearTimeout(toldTimer);
  toldTimer = setTimeout(() => { told.textContent = ""; }, 9000);
}
if (told.textContent) tell(told.textContent);
try {
  if (sessionStorage.getItem("told")) tell(sessionStorage.getItem("told"));
  sessionStorage.removeItem("told");
} catch (problem) { /* no storage */ }

class Refusal extends Error {
  constructor(words, field) { super(words); this.field = field; }
}

async function ask(address, body, part = "part", signal = undefined) {
  const headers = { "X-Fragment": part };
  if (body) headers["X-Token"] = document.querySelector("meta[name=token]").content;
  let answer;
  try {
    answer = await fetch(address, { method: body ? "POST" : "GET", body, headers, signal });
  } catch (problem) {
    throw problem.name === "AbortError" ? problem : new Refusal(STOPPED, "");
  }
  const text = await answer.text();
  if (!answer.ok) {
    throw new Refusal(text.slice(0, 400), decodeURIComponent(answer.headers.get("x-field") || ""));
  }
  const words = decodeURIComponent((answer.headers.get("x-told") || "").replace(/%[^%]?$/, ""));
  return { text, go: answer.headers.get("x-go"), words };
}

// ---- Putting a part of the page in place of the old one -------------------------------------

const part = () => document.getElementById("part");

// What tells a field from all others, also of forms alike: what is hidden in its form says of what.
const OF_NOTHING = ["token", "passed", "was", "answer"];
function keyOf(field) {
  if (!field.form) return field.name;
  const hidden = [...field.form.querySelectorAll("input[type=hidden]")];
  const of = hidden.filter((each) => !OF_NOTHING.includes(each.name)).map((each) => `${each.name}=${each.value}`);
  return [field.form.getAttribute("action"), ...of, field.name].join(" ");
}

function typedIn(old, sent) {
  const typed = new Map();
  for (const field of old.querySelectorAll("input:not([type]), textarea, select")) {
    if (field.form !== sent && changed(field)) typed.set(keyOf(field), field.value);
  }
  return typed;
}

function changed(field) {
  if (field.tagName !== "SELECT") return field.value !== field.defaultValue;
  const first = [...field.options].findIndex((each) => each.defaultSelected);
  return field.selectedIndex !== Math.max(0, first);
}

function put(text, sent = null) {
  const holder = document.createElement("template");
  holder.innerHTML = text;
  const fresh = holder.content.querySelector("#part");
  const old = part();
  if (!old || !fresh) { location.reload(); return null; }
  const typed = old.dataset.uid === fresh.dataset.uid ? typedIn(old, sent) : new Map();
  const open = [...old.querySelectorAll("details[open] > summary")].map((each) => each.textContent);
  const own = fresh.querySelector("#own");
  if (own) { ownRow(own); own.remove(); }
  old.replaceWith(fresh);
  for (const field of fresh.querySelectorAll("input, textarea, select")) {
    if (!typed.has(keyOf(field))) continue;
    const value = typed.get(keyOf(field));
    if (field.options && ![...field.options].some((each) => each.value === value)) continue;
    field.value = value;
    field.dispatchEvent(new Event("restored", { bubbles: true }));
  }
  if (old.dataset.uid === fresh.dataset.uid) {
    for (const each of fresh.querySelectorAll("summary")) {
      if (open.includes(each.textContent)) each.parentElement.open = true;
    }
  }
  return fresh;
}

function ownRow(own) {
  const fresh = own.content.querySelector(".tag");
  const old = document.querySelector(`.tag[data-uid="${fresh.dataset.uid}"]`);
  for (const each of document.querySelectorAll(".tag.here")) {
    each.classList.remove("here");
    each.querySelector("a").removeAttribute("aria-current");
  }
  if (old) {
    fresh.querySelector("input").checked = old.querySelector("input").checked;
    const held = old.contains(document.activeElement);
    old.replaceWith(fresh);
    if (held) fresh.querySelector("a").focus({ preventScroll: true });
    fresh.scrollIntoView({ block: "nearest" });
  }
  const progress = document.getElementById("progress");
  if (progress) progress.replaceChildren(...own.content.querySelector(".progress").childNodes);
}

function putList(text, keep = true) {
  const holder = document.createElement("template");
  holder.innerHTML = text;
  const fresh = holder.content.querySelector("#tray");
  const old = document.getElementById("tray");
  if (!fresh || !old) return fresh;
  if (keep && fresh.dataset.box === old.dataset.box) carryOver(old, fresh);
  const held = old.contains(document.activeElement) ? document.activeElement : null;
  old.replaceWith(fresh);
  offerKeys();
  if (held) [...fresh.querySelectorAll("a, input, select, summary, button")].find((each) => alike(each, held))?.focus({ preventScroll: true });
  return fresh;
}

const alike = (one, other) => one.tagName === other.tagName && one.name === other.name &&
  one.getAttribute("href") === other.getAttribute("href") &&
  (one.tagName === "INPUT" && one.type !== "checkbox" || one.value === other.value) &&
  (one.tagName !== "SUMMARY" || one.textContent === other.textContent);

// The list as it is by now. One that was asked for beside another piece marks that one as open, and
// is not put: the piece may have been turned over while it came.
async function listAsOpen() {
  const asked = location.href;
  const answer = await ask(asked, null, "list");
  if (asked === location.href) putList(answer.text);
}

// What was ticked, opened or written in the list stays, while the list is read on.
function carryOver(old, fresh) {
  const open = [...old.querySelectorAll("details[open] > summary")].map((each) => each.textContent);
  for (const each of fresh.querySelectorAll("summary")) {
    if (open.includes(each.textContent)) each.parentElement.open = true;
  }
  for (const each of old.querySelectorAll("input, select")) {
    const twin = [...fresh.querySelectorAll(each.tagName)].find((other) =>
      other.name === each.name && other.type === each.type &&
      (each.type !== "checkbox" || other.value === each.value));
    if (!twin) continue;
    if (each.type === "checkbox") twin.checked = each.checked;
    else if (each.form && each.form.id === "several") twin.value = each.value;
  }
}

// ---- Forms ----------------------------------------------------------------------------------

let busy = false;

function complain(form, problem) {
  const field = (problem.field && form.elements[problem.field]) || null;
  const single = field && field.length && !field.tagName ? field[0] : field;
  let words = form.querySelector(".wrong");
  if (!words) {
    words = document.createElement("p");
    words.className = "wrong care";
    words.id = `wrong-${Math.random().toString(36).slice(2)}`;
    words.setAttribute("role", "alert");
    const place = single && single.type !== "hidden" ? single.closest("label") || single : null;
    if (place) place.after(words); else form.prepend(words);
  }
  words.textContent = problem.message;
  if (single && single.type !== "hidden") {
    single.setAttribute("aria-invalid", "true");
    single.setAttribute("aria-describedby", words.id);
    single.focus();
  }
}

function calm(form) {
  for (const each of form.querySelectorAll(".wrong")) each.remove();
  for (const each of form.querySelectorAll("[aria-invalid]")) {
    each.removeAttribute("aria-invalid");
    each.removeAttribute("aria-describedby");
  }
}

function bodyOf(form, submitter) {
  const data = new FormData(form);
  if (submitter && submitter.name) data.append(submitter.name, submitter.value);
  return form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
}

function afterAnswer(fresh, line) {
  const next = line ? null : fresh.querySelector("#ask, #next, #made");
  if (line) focusLine();
  if (next) {
    next.tabIndex = -1;
    next.focus({ preventScroll: next.id !== "ask" });
    if (next.id === "ask") window.scrollTo({ top: 0 });
  }
  const change = fresh.querySelector(".change");
  if (!change) return;
  // On a phone it gives its room to the answers, and is told above them for a while.
  change.hidden = fresh.matches(".looking") && matchMedia("(max-width: 40rem)").matches;
  const box = change.getBoundingClientRect();
  tell(change.textContent.trim(), !change.hidden && box.top >= 0 && box.bottom <= innerHeight);
}

function focusLine() {
  const field = document.querySelector("#say input[name=words]");
  if (field) field.focus({ preventScroll: true });
}

async function follow(answer, form) {
  if (answer.words) tell(answer.words);
  if (!answer.go) return;
  const goal = new URL(answer.go, location.href);
  const here = part() && part().dataset.uid ? `/piece/${part().dataset.uid}` : location.pathname;
  const tray = document.getElementById("tray");
  // What is done to several leaves the piece that is open where it is.
  const ofBox = tray && form.id === "several" && goal.pathname === `/box/${tray.dataset.box}`;
  if (!tray || goal.pathname !== here && !ofBox) {
    try { sessionStorage.setItem("told", answer.words || ""); } catch (problem) { /* told now */ }
    location.href = answer.go;
    if (goal.pathname === location.pathname && goal.hash) location.reload();
    return;
  }
  const list = tray.dataset;
  await refresh(form);
  if (part().dataset.uid && form.id !== "several") return;
  const after = part().dataset.uid ? `/box/${list.box}${list.more}` : answer.go;
  putList((await ask(after, null, "list")).text, form.id !== "several");
  askAgain(400);
}

async function refresh(sent = null) {
  const asked = location.pathname;
  const answer = await ask(asked + location.search.replace(/changed=[^&]*&?/, ""));
  return asked === location.pathname ? put(answer.text, sent) : null;
}

// A form or a link that asks for the same page with something changed: its part is put in place.
async function openPart(address, form = null) {
  const fresh = put((await ask(address)).text, form);
  if (fresh) afterAnswer(fresh, false);
  return fresh;
}

// What is answered before anything is kept stands in the address: the browser's way back undoes it.
async function answerHere(form, submitter) {
  if (busy) return;
  busy = true;
  calm(form);
  part()?.classList.add("waiting");
  try {
    const fresh = await openPart(`${form.getAttribute("action")}?${bodyOf(form, submitter)}`, form);
    if (fresh?.dataset.address) history.pushState(null, "", fresh.dataset.address);
  } catch (problem) {
    complain(form, problem);
  } finally {
    part()?.classList.remove("waiting");
    busy = false;
  }
}

async function sendForm(form, submitter) {
  if (busy) return;
  busy = true;
  calm(form);
  const line = form.id === "say";
  part()?.classList.add("waiting");
  try {
    const answer = await ask(form.action, bodyOf(form, submitter));
    if (form.matches("[data-live]")) {
      if (line) forget();
      const fresh = put(answer.text, form);
      if (fresh) afterAnswer(fresh, line);
      listen();
    } else {
      await follow(answer, form);
    }
  } catch (problem) {
    complain(form, problem);
  } finally {
    part()?.classList.remove("waiting");
    busy = false;
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.matches("form[data-live], form[data-send]")) {
    event.preventDefault();
    sendForm(form, event.submitter);
  } else if (form.matches("form[data-part]")) {
    event.preventDefault();
    answerHere(form, event.submitter);
  } else if (form.matches("form[data-list]")) {
    event.preventDefault();
    const given = [...new FormData(form)].filter(([, value]) => value);
    openList(form.getAttribute("action") + "?" + new URLSearchParams(given));
  } else if (form.method === "post") {
    // Tapped twice on a slow line, a form is still sent once.
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  }
});
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});

// What is pasted is never cut short in silence: it stands there whole, and is told to be too long.
document.addEventListener("paste", (event) => {
  const field = event.target.closest?.("input[maxlength], textarea[maxlength]");
  if (!field) return;
  field.dataset.most = field.maxLength;
  field.removeAttribute("maxlength");
}, true);
document.addEventListener("input", (event) => {
  const most = Number(event.target.dataset?.most);
  if (!most) return;
  const long = [...event.target.value].length;
  const said = (number) => number.toLocaleString("en");
  event.target.setCustomValidity(long > most ? `${said(long)} characters here; ${said(most)} at most.` : "");
});

// ---- Going from piece to piece, and through the list -----------------------------------------

async function openPiece(address, push = true) {
  const line = document.activeElement && document.activeElement.closest("#say");
  keepDraft();
  try {
    const answer = await ask(address);
    if (!part()) { location.href = address; return; }
    const fresh = put(answer.text);
    if (!fresh) return;
    if (push) history.pushState(null, "", address);
    document.querySelector(".bench")?.classList.add("open");
    document.title = fresh.querySelector("h1").textContent + " – markrules";
    takeDraft();
    listen();
    if (line) focusLine();
    if (matchMedia("(max-width: 60rem)").matches) window.scrollTo({ top: 0 });
  } catch (problem) {
    if (problem instanceof Refusal) tell(problem.message); else location.href = address;
  }
}

async function openList(address) {
  try {
    const fresh = putList((await ask(address, null, "list")).text);
    if (!fresh) return;
    if (!part().dataset.uid) history.replaceState(null, "", address);
    fresh.querySelector("a.row")?.focus({ preventScroll: true });
    tell(fresh.querySelector(".tray-head .progress").textContent.trim());
  } catch (problem) { tell(problem.message); }
}

async function step(by) {
  const rows = [...document.querySelectorAll("#tray .tag")];
  if (!rows.length) return;
  const at = rows.findIndex((each) => each.classList.contains("here"));
  const next = at < 0 ? rows[by > 0 ? 0 : rows.length - 1] : rows[at + by];
  if (next) { await openPiece(next.querySelector("a.row").getAttribute("href")); return; }
  const turn = document.querySelector(`#tray a[rel=${by > 0 ? "next" : "prev"}]`);
  if (!turn) { tell(by > 0 ? "That was the last piece." : "That was the first piece."); return; }
  await openList(turn.getAttribute("href"));
  const fresh = [...document.querySelectorAll("#tray .tag")];
  const row = fresh[by > 0 ? 0 : fresh.length - 1];
  if (row) await openPiece(row.querySelector("a.row").getAttribute("href"));
}

document.addEventListener("click", async (event) => {
  if (event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  const link = event.target.closest("a[data-part], a[data-list], .bench a.row, a[data-step]");
  if (!link) return;
  event.preventDefault();
  if (link.matches("[data-list]")) { openList(link.href); return; }
  if (link.matches("[data-step]")) { step(Number(link.dataset.step)); return; }
  if (link.matches(".row")) { openPiece(link.getAttribute("href")); return; }
  try {
    const fresh = await openPart(link.href);
    const address = fresh?.dataset.address;
    // What is answered before anything is kept is a step that the browser's way back takes back.
    if (address && link.search === new URL(address, location.href).search) history.pushState(null, "", address);
    else history.replaceState(null, "", link.href);
  } catch (problem) { location.href = link.href; }
});

addEventListener("popstate", () => { location.reload(); });

// ---- What is typed: kept as a draft, and told back while it is typed --------------------------

const draftName = () => `draft ${part()?.dataset.uid || ""}`;
function keepDraft() {
  const field = document.querySelector("#say input[name=words]");
  try {
    if (field && field.value) sessionStorage.setItem(draftName(), field.value);
    else if (field) sessionStorage.removeItem(draftName());
  } catch (problem) { /* no storage: nothing is kept over pages */ }
}
function takeDraft() {
  const field = document.querySelector("#say input[name=words]");
  try {
    if (field && !field.value) field.value = sessionStorage.getItem(draftName()) || "";
  } catch (problem) { /* as above */ }
}
function forget() { try { sessionStorage.removeItem(draftName()); } catch (problem) { /* none */ } }

let hearing = null;
let hearingTimer = 0;
function listen() {
  const form = document.getElementById("say");
  if (!form || form.dataset.heard) return;
  form.dataset.heard = "yes";
  form.elements.words.addEventListener("input", () => {
    clearTimeout(hearingTimer);
    hearingTimer = setTimeout(() => hear(form), 140);
    keepDraft();
  });
  if (form.elements.words.value) hear(form);
}
async function hear(form) {
  if (hearing) hearing.abort();
  hearing = new AbortController();
  const words = form.elements.words.value.slice(0, 2000);
  try {
    const address = `/piece/${part().dataset.uid}/heard?` + new URLSearchParams({ words });
    const answer = await ask(address, null, "part", hearing.signal);
    const chips = document.getElementById("chips");
    const holder = document.createElement("template");
    holder.innerHTML = answer.text;
    if (chips) chips.replaceWith(holder.content.firstElementChild);
  } catch (problem) { if (problem.name !== "AbortError") tell(problem.message); }
}

// ---- Keys ------------------------------------------------------------------------------------

const KEYS = [
  ["j or ↓", "next piece"], ["k or ↑", "piece before"], ["t", "to the typing line"],
  ["1 … 9", "that answer of the next look"], ["n", "none: looked, and not there"], ["0", "don’t know"],
  ["d", "keep the proposed decision"], ["x", "tick or untick the piece"], ["u", "undo"],
  ["?", "these keys"], ["Esc", "out of the typing line"],
];
let keysOn = true;
try { keysOn = localStorage.getItem("keys") !== "off"; } catch (problem) { /* on */ }

function showKeys() {
  let sheet = document.getElementById("keys");
  if (!sheet) {
    sheet = document.createElement("dialog");
    sheet.id = "keys";
    sheet.setAttribute("aria-labelledby", "keys-head");
    sheet.innerHTML = '<h2 id="keys-head">Keys</h2><dl></dl><form method="dialog">' +
      '<label class="check"><input type="checkbox" id="keys-on"> letter keys are on</label>' +
      '<button class="main">Close</button></form>';
    for (const [key, what] of KEYS) {
      const term = document.createElement("dt");
      term.textContent = key;
      const said = document.createElement("dd");
      said.textContent = what;
      sheet.querySelector("dl").append(term, said);
    }
    document.body.append(sheet);
    sheet.querySelector("#keys-on").checked = keysOn;
    sheet.querySelector("#keys-on").addEventListener("change", (event) => {
      keysOn = event.target.checked;
      try { localStorage.setItem("keys", keysOn ? "on" : "off"); } catch (problem) { /* for now */ }
    });
  }
  sheet.showModal();
}

// Who has a keyboard is told that there are keys.
function offerKeys() {
  const head = document.querySelector("#tray .tray-head");
  if (!head || head.querySelector(".keys") || !matchMedia("(min-width: 60rem)").matches) return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet keys";
  button.textContent = "Keys: ?";
  button.addEventListener("click", showKeys);
  head.append(button);
}
offerKeys();

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]")) return;
  if (event.target.closest(".letters")) return;
  const field = event.target.closest("input:not([type=checkbox], [type=radio]), textarea, select");
  const line = field && field.closest("#say");
  const bench = document.getElementById("tray");
  if (bench && (!field || line) && (event.key === "ArrowDown" || event.key === "ArrowUp")) {
    if (!field && !part().dataset.uid && event.target.closest("#part")) return;
    event.preventDefault();
    step(event.key === "ArrowDown" ? 1 : -1);
    return;
  }
  if (event.key === "Escape" && line) { field.blur(); return; }
  if (field || !keysOn && event.key !== "?") return;
  const press = (selector) => document.querySelector(`#part ${selector}`)?.click();
  const acts = {
    j: () => step(1), k: () => step(-1), t: focusLine, "/": focusLine, "?": showKeys,
    n: () => press("[data-key=n]"), 0: () => press("[data-key='0']"),
    d: () => press("[data-key=d]"), u: () => press("[data-key=u]"),
    x: () => document.querySelector(".tag.here input")?.click(),
  };
  const act = acts[event.key];
  if (act && (bench || /[n0u?]/.test(event.key))) { event.preventDefault(); act(); return; }
  if (/^[1-9]$/.test(event.key)) {
    const answer = document.querySelectorAll("#part .answer")[Number(event.key) - 1];
    if (answer) { event.preventDefault(); answer.click(); }
  }
});

// ---- Photos: dropped, pasted --------------------------------------------------------------------

const pictures = (list) => [...(list || [])].filter((each) => each.type.startsWith("image/"));

function packs(files) {
  const found = [];
  let size = Infinity;
  for (const file of files) {
    if (size + file.size > LARGEST_SENT || found.at(-1).length >= MOST_SENT) { found.push([]); size = 0; }
    found.at(-1).push(file);
    size += file.size;
  }
  return found;
}

async function sendPhotos(files, address, more) {
  if (!files.length) { tell("These files are no photos."); return; }
  keepDraft();
  const wrong = [];
  for (const pack of packs(files)) {
    const data = new FormData();
    for (const file of pack) data.append("photo", file, file.name || "pasted");
    for (const [name, value] of Object.entries(more)) data.append(name, value);
    tell(`Sending ${files.length === 1 ? "a photo" : files.length + " photos"} …`);
    try {
      const answer = await ask(address, data);
      if (answer.words) wrong.push(answer.words);
    } catch (problem) { wrong.push(problem.message); }
  }
  if (part().dataset.uid) { await refresh(); listen(); }
  await listAsOpen();
  tell(wrong.length ? wrong.join("; ") : files.length === 1 ? "The photo is kept." : `${files.length} photos are kept.`);
}

function askWhere(files) {
  const tray = document.getElementById("tray");
  if (!tray) return;
  const box = `/box/${tray.dataset.box}/photos`;
  const uid = part().dataset.uid;
  const sheet = document.createElement("dialog");
  sheet.className = "where-to";
  sheet.setAttribute("aria-label", "Where do the photos belong?");
  const head = document.createElement("h2");
  head.textContent = files.length === 1 ? "A photo" : `${files.length} photos`;
  sheet.append(head);
  const ways = [
    ...(uid ? [["Of this piece", `/piece/${uid}/photos`, {}]] : []),
    [files.length === 1 ? "Of a new piece" : "A new piece each", box, { together: "no" }],
    ...(files.length > 1 ? [["All of one new piece", box, { together: "yes" }]] : []),
  ];
  for (const [words, address, more] of ways) {
    const button = document.createElement("button");
    button.textContent = words;
    button.className = "main";
    button.addEventListener("click", () => { sheet.close(); sendPhotos(files, address, more); });
    sheet.append(button);
  }
  const no = document.createElement("button");
  no.textContent = "Leave them";
  no.addEventListener("click", () => sheet.close());
  sheet.append(no);
  sheet.addEventListener("close", () => sheet.remove());
  document.body.append(sheet);
  sheet.showModal();
}

if (document.getElementById("tray")) {
  addEventListener("dragover", (event) => {
    if ([...event.dataTransfer.types].includes("Files")) event.preventDefault();
  });
  addEventListener("drop", (event) => {
    if (!event.dataTransfer.files.length) return;
    event.preventDefault();
    const files = pictures(event.dataTransfer.files);
    if (event.target.closest("#part[data-uid]")) sendPhotos(files, `/piece/${part().dataset.uid}/photos`, {});
    else askWhere(files);
  });
  addEventListener("paste", (event) => {
    const files = pictures(event.clipboardData.files);
    if (!files.length) return;
    event.preventDefault();
    if (part().dataset.uid) sendPhotos(files, `/piece/${part().dataset.uid}/photos`, {});
    else askWhere(files);
  });
}

// ---- Somebody else at the same piece ---------------------------------------------------------------

async function lookForOthers() {
  const uid = part()?.dataset.uid;
  if (!uid || document.hidden || busy) return;
  const version = part().dataset.version;
  const [now, who] = (await ask(`/piece/${uid}/now`)).text.split("\n");
  if (now === version || busy || part()?.dataset.uid !== uid || part().dataset.version !== version) return;
  const held = document.activeElement;
  const key = held?.name && held.closest("#part") ? keyOf(held) : null;
  const at = held?.selectionStart ?? null;
  await refresh();
  listen();
  if (key) { // whoever is typing goes on where they were
    const twin = [...part().querySelectorAll("input, textarea, select")].find((each) => each.type !== "hidden" && keyOf(each) === key);
    twin?.focus({ preventScroll: true });
    if (at !== null) twin?.setSelectionRange?.(at, at);
  }
  tell(`${who} changed this piece meanwhile; it is shown as it is now.`);
}
setInterval(() => lookForOthers().catch(() => {}), 4000);

// ---- Search while typing, suppositions while choosing: the newest question wins ----------------------

function ever(form, happening, wait) {
  let timer = 0;
  let asking = null;
  form.addEventListener(happening, () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      if (asking) asking.abort();
      asking = new AbortController();
      const address = form.getAttribute("action") + "?" + new URLSearchParams(new FormData(form));
      try {
        put((await ask(address, null, "part", asking.signal)).text);
        history.replaceState(null, "", address);
      } catch (problem) {
        if (problem.name !== "AbortError") tell(problem.message);
      }
    }, wait);
  });
}
for (const form of document.querySelectorAll("form[data-typing]")) ever(form, "input", 120);
for (const form of document.querySelectorAll("form[data-suppose]")) ever(form, "change", 0);

// A list that is still being read is asked for again, ever more slowly.
function askAgain(wait) {
  if (!document.querySelector("#tray[data-again]")) return;
  setTimeout(async () => {
    try {
      await listAsOpen();
      askAgain(wait * 1.5);
    } catch (problem) { /* the link on the page does the same */ }
  }, wait);
}
askAgain(400);

takeDraft();
listen();
if (document.querySelector("#say") && matchMedia("(pointer: fine)").matches && !location.hash) focusLine();
document.querySelector(".tag.here")?.scrollIntoView({ block: "nearest" });
// A photo: the colour under the pointer while moving, the place chosen by a click.
const photo = document.getElementById("photo");
if (photo) {
  const size = photo.viewBox.baseVal;
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  const image = new Image();
  image.onload = () => {
    canvas.width = size.width;
    canvas.height = size.height;
    pen.drawImage(image, 0, 0, size.width, size.height);
  };
  image.src = photo.querySelector("image").getAttribute("href");
  const placeOf = (event) => {
    const point = new DOMPoint(event.clientX, event.clientY);
    return point.matrixTransform(photo.getScreenCTM().inverse());
  };
  photo.addEventListener("pointermove", (event) => {
    if (!canvas.width) return;
    const place = placeOf(event);
    const [red, green, blue] = pen.getImageData(place.x, place.y, 1, 1).data;
    const code = "#" + [red, green, blue].map((each) => each.toString(16).padStart(2, "0")).join("");
    photo.style.outline = "6px solid " + code;
    photo.setAttribute("data-colour", code);
  });
  photo.addEventListener("pointerleave", () => { photo.style.outline = ""; });
  photo.addEventListener("click", (event) => {
    const place = placeOf(event);
    const x = ((100 * place.x) / size.width).toFixed(2);
    const y = ((100 * place.y) / size.height).toFixed(2);
    location.search = new URLSearchParams({ x, y, colour: "1" });
  });
}

// A box round a mark is dragged over the photo; the fields of the form follow.
const boxing = document.getElementById("boxing");
if (boxing) {
  const whole = boxing.viewBox.baseVal;
  const drawn = document.getElementById("boxed");
  const fields = document.getElementById("box-form").elements;
  const at = (event) =>
    new DOMPoint(event.clientX, event.clientY).matrixTransform(boxing.getScreenCTM().inverse());
  const clip = (value, most) => Math.min(most, Math.max(0, value));
  let corner = null;
  boxing.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    boxing.setPointerCapture(event.pointerId);
    corner = at(event);
  });
  boxing.addEventListener("pointermove", (event) => {
    if (!corner) return;
    const place = at(event);
    const left = clip(Math.min(corner.x, place.x), whole.width);
    const top = clip(Math.min(corner.y, place.y), whole.height);
    const width = clip(Math.max(corner.x, place.x), whole.width) - left;
    const height = clip(Math.max(corner.y, place.y), whole.height) - top;
    const sides = { x: left, y: top, width, height };
    for (const [name, value] of Object.entries(sides)) drawn.setAttribute(name, value);
    fields.left.value = ((100 * left) / whole.width).toFixed(2);
    fields.top.value = ((100 * top) / whole.height).toFixed(2);
    fields.width.value = ((100 * width) / whole.width).toFixed(2);
    fields.height.value = ((100 * height) / whole.height).toFixed(2);
  });
  boxing.addEventListener("pointerup", () => { corner = null; });
}
