// The bench page works without this; with it, answers come without a new page.
"use strict";

const told = document.getElementById("told");
let toldTimer = 0;

function tell(words) {
  told.textContent = words;
  clearTimeout(toldTimer);
  toldTimer = setTimeout(() => { told.textContent = ""; }, 8000);
}

async function fetchPart(address, body, signal) {
  const headers = { "X-Fragment": "1" };
  if (body) headers["X-Token"] = document.querySelector("meta[name=token]").content;
  const answer = await fetch(address, { method: body ? "POST" : "GET", body, headers, signal });
  const text = await answer.text();
  if (!answer.ok) throw new Error(text.slice(0, 300));
  return text;
}

function put(text) {
  const old = document.getElementById("part");
  const holder = document.createElement("template");
  holder.innerHTML = text;
  const fresh = holder.content.querySelector("#part");
  if (!old || !fresh) { location.reload(); return null; }
  old.replaceWith(fresh);
  return fresh;
}

function afterAnswer(fresh) {
  const change = fresh.querySelector(".change");
  if (change) tell(change.textContent.trim());
  const next = fresh.querySelector("#ask, #next, #made");
  if (!next) return;
  next.tabIndex = -1;
  next.focus({ preventScroll: next.id !== "ask" });
  if (next.id === "ask") window.scrollTo({ top: 0 });
}

let busy = false;

async function sendForm(form, submitter) {
  if (busy) return;
  busy = true;
  const fields = new URLSearchParams(new FormData(form));
  if (submitter && submitter.name) fields.append(submitter.name, submitter.value);
  const part = document.getElementById("part");
  part.classList.add("waiting");
  try {
    const fresh = put(await fetchPart(form.action, fields));
    if (fresh) afterAnswer(fresh);
  } catch (problem) {
    part.classList.remove("waiting");
    tell(problem.message || "The server did not answer. Try again.");
  } finally {
    busy = false;
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-live]")) return;
  event.preventDefault();
  sendForm(form, event.submitter);
});

document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[data-part]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  try {
    const fresh = put(await fetchPart(link.href));
    if (fresh) afterAnswer(fresh);
    history.replaceState(null, "", link.href);
  } catch (problem) {
    location.href = link.href;
  }
});

// Search while typing, and suppositions while choosing: the newest question wins.
function follow(form, happening, wait) {
  let timer = 0;
  let asking = null;
  form.addEventListener(happening, () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      if (asking) asking.abort();
      asking = new AbortController();
      const address = form.getAttribute("action") + "?" + new URLSearchParams(new FormData(form));
      try {
        put(await fetchPart(address, null, asking.signal));
        history.replaceState(null, "", address);
      } catch (problem) {
        if (problem.name !== "AbortError") tell(problem.message);
      }
    }, wait);
  });
}
for (const form of document.querySelectorAll("form[data-typing]")) follow(form, "input", 120);
for (const form of document.querySelectorAll("form[data-suppose]")) follow(form, "change", 0);

// A list that is still being read is asked for again, ever more slowly.
function askAgain(wait) {
  if (!document.querySelector("#part[data-again]")) return;
  setTimeout(async () => {
    try {
      put(await fetchPart(location.href));
      askAgain(wait * 1.5);
    } catch (problem) { /* the link on the page does the same */ }
  }, wait);
}
askAgain(400);

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
