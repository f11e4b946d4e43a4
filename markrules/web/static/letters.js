// The places of a mark: one line of text and a row of places, kept alike; look-alikes to tap.
// Without this the places are plain fields, and the server puts them together.
"use strict";

(() => {
  document.documentElement.classList.add("scripted");
  const MOST = 4;
  let current = null;
  let composing = false;
  let asking = null;
  let timer = 0;

  const blockOf = (node) => node?.closest?.(".letters") || null;
  const whole = (block) => block.querySelector("[data-whole]");
  const row = (block) => block.querySelector(".cells");
  const cellsIn = (block) => [...block.querySelectorAll(".cells input")];
  const panel = (block) => block.querySelector(".alike");
  const isCell = (node) => node?.matches?.(".cells input");

  // What a place is: its letters in order, or null where it is no list of letters.
  function candidates(text) {
    return /^[^\s[\](),=>~:?_*./…]+$/u.test(text) ? [...new Set(text)] : null;
  }

  function written(value) {
    const text = value.trim().replace(/\s+/g, " ");
    if (!text) return " ";
    if (/^(\.{2,}|…|\*+)$/.test(text)) return "...";
    if (text === "/") return " / ";
    if (text.startsWith("[") || /^.~+$/u.test(text)) return text;
    if (text.includes(":")) return `[${text}]`;
    if (/^.(=.){1,3}$/u.test(text)) return `[${text.replaceAll("=", "")}]`;
    if (/[?_]/.test(text)) return "?";
    const letters = [...new Set(text.replaceAll(" ", ""))];
    return letters.length < 2 ? letters[0] : `[${letters.join(">")}]`;
  }

  function compose(block) {
    const list = row(block);
    const letters = cellsIn(block).map((each) => written(each.value)).join("").replace(/ +/g, " ").trim();
    const head = letters && "case" in list.dataset ? "=" : "";
    whole(block).value = `${head}${letters}${list.dataset.more || ""}`.trim();
    for (const each of cellsIn(block)) dress(each);
    composing = true;
    whole(block).dispatchEvent(new Event("input", { bubbles: true }));
    composing = false;
  }

  function dress(cell) {
    const text = cell.value.trim();
    cell.classList.toggle("soft", [...text].length > 1 && text !== "...");
  }

  function place(block, at) {
    const cells = cellsIn(block);
    if (at < cells.length) return cells[Math.max(0, at)];
    const line = cells.at(-1).parentElement.cloneNode(true);
    const cell = line.querySelector("input");
    cell.value = "";
    cell.setAttribute("aria-label", `Place ${cells.length + 1}`);
    dress(cell);
    row(block).append(line);
    return cell;
  }

  function go(block, at) {
    const cell = place(block, at);
    cell.focus();
    cell.setSelectionRange(cell.value.length, cell.value.length);
  }

  const numberOf = (cell) => cellsIn(blockOf(cell)).indexOf(cell);
  const NAMES = { "": "a space", "?": "one letter unread", "...": "several letters unread", "/": "the line ends" };

  function told(cell) {
    const text = cell.value.trim();
    const letters = candidates(text);
    const after = cellsIn(blockOf(cell)).slice(numberOf(cell) + 1);
    const means = !text && !after.some((each) => each.value.trim()) ? "nothing yet"
      : text in NAMES ? NAMES[text] : !letters ? text
      : letters.length < 2 ? `${letters[0]}, sure` : letters.join(", or else ");
    return `Place ${numberOf(cell) + 1}: ${means}`;
  }

  function button(words, act, value = "", pressed = null) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = words;
    made.dataset.act = act;
    made.dataset.value = value;
    if (pressed !== null) made.setAttribute("aria-pressed", String(pressed));
    return made;
  }

  // The panel of a place: made anew for another place or another first letter, else only updated.
  function show(cell) {
    const block = blockOf(cell);
    const box = panel(block);
    const letters = candidates(cell.value.trim());
    const first = letters ? letters[0] : "";
    const key = `${numberOf(cell)} ${first}`;
    if (box.dataset.key !== key || box.hidden) {
      const words = document.createElement("p");
      words.setAttribute("role", "status");
      const alike = (JSON.parse(row(block).dataset.alike)[first.toUpperCase()] || "").split("");
      const other = (letters || []).slice(1).filter((each) => !alike.includes(each.toUpperCase()));
      box.replaceChildren(
        words,
        ...(first ? [button(`only ${first}: sure`, "sure", first, false)] : []),
        ...[...other, ...alike].map((each) => button(`or ${each}`, "or", each, false)),
        button("? unread", "put", "?", false), button("… several unread", "put", "...", false),
        button("insert before", "insert"), button("take out", "remove"),
      );
      box.dataset.key = key;
      box.hidden = false;
    }
    box.querySelector("p").textContent = told(cell);
    for (const each of box.querySelectorAll("button[aria-pressed]")) {
      const { act, value } = each.dataset;
      const at = (letters || []).findIndex((one) => one.toUpperCase() === value.toUpperCase());
      const on = act === "sure" ? letters?.length === 1 : act === "put" ? cell.value.trim() === value : at > 0;
      each.setAttribute("aria-pressed", String(on));
      if (act === "or") each.textContent = on ? `${at + 1}. or ${value}` : `or ${value}`;
    }
  }

  function act(cell, what, value) {
    const block = blockOf(cell);
    const letters = candidates(cell.value.trim()) || [];
    if (what === "or") {
      const at = letters.findIndex((each) => each.toUpperCase() === value.toUpperCase());
      if (at > 0) letters.splice(at, 1);
      else if (letters.length < MOST) letters.push(value);
      else { tell(`At most ${MOST} letters for a place.`); return; }
      cell.value = letters.join("");
    } else if (what === "sure" || what === "put") {
      cell.value = value;
    } else if (what === "insert") {
      const at = numberOf(cell);
      const values = cellsIn(block).map((each) => each.value);
      if (values.at(-1).trim()) place(block, values.length);
      values.splice(at, 0, "?");
      cellsIn(block).forEach((each, n) => { each.value = values[n] ?? ""; });
    } else if (what === "remove") {
      const values = cellsIn(block).map((each) => each.value);
      values.splice(numberOf(cell), 1);
      cellsIn(block).forEach((each, n) => { each.value = values[n] ?? ""; });
    }
    compose(block);
    show(cell);
  }

  document.addEventListener("focusin", (event) => {
    if (!isCell(event.target)) return;
    current = event.target;
    current.dataset.before = current.value;
    for (const each of cellsIn(blockOf(current))) each.tabIndex = each === current ? 0 : -1;
    show(current);
  });

  document.addEventListener("input", (event) => {
    const field = event.target;
    if (isCell(field)) {
      const block = blockOf(field);
      const first = !field.dataset.before && [...field.value].length === 1;
      compose(block);
      show(field);
      field.dataset.before = field.value;
      if (first && !/[.*[]/.test(field.value)) go(block, numberOf(field) + 1);
    } else if (field.matches?.("[data-whole]") && !composing) {
      layOut(blockOf(field), 150);
    }
  });

  function layOut(block, wait) {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      if (asking) asking.abort();
      asking = new AbortController();
      const read = whole(block).value;
      try {
        const { text } = await ask("/letters?" + new URLSearchParams({ read }), null, "part", asking.signal);
        if (whole(block).value !== read) return;
        const holder = document.createElement("template");
        holder.innerHTML = text;
        row(block).replaceWith(holder.content.querySelector(".cells"));
        panel(block).hidden = true;
      } catch (problem) { /* half typed, or the server is gone: sending the form says so */ }
    }, wait);
  }
  document.addEventListener("restored", (event) => {
    const block = blockOf(event.target);
    if (block) layOut(block, 0);
  });

  document.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    if (cell.closest?.(".alike") && (event.key === "Escape" || event.key === "ArrowUp")) {
      event.preventDefault();
      current?.focus();
      return;
    }
    if (!isCell(cell)) return;
    const block = blockOf(cell);
    const at = numberOf(cell);
    const length = cell.value.length;
    const moves = {
      ArrowRight: () => cell.selectionEnd === length && at + 1 < cellsIn(block).length && (go(block, at + 1), true),
      ArrowLeft: () => cell.selectionStart === 0 && at > 0 && (go(block, at - 1), true),
      Backspace: () => !length && at > 0 && (go(block, at - 1), true),
      " ": () => !length && (go(block, at + 1), true),
      ArrowDown: () => { panel(block).querySelector("button")?.focus(); return true; },
    };
    if (moves[event.key]?.()) event.preventDefault();
  });

  document.addEventListener("click", (event) => {
    if (isCell(event.target)) { // what is typed next comes after what stands there
      const { length } = event.target.value;
      event.target.setSelectionRange(length, length);
      return;
    }
    const pressed = event.target.closest?.(".alike button");
    if (!pressed || !current?.isConnected) return;
    const { act: what, value } = pressed.dataset;
    act(current, what, value);
    if (!pressed.isConnected) {
      const again = `button[data-act="${what}"][data-value="${value}"]`;
      (panel(blockOf(current)).querySelector(again) || current).focus();
    }
  });

  // The line says all that the places say: only it is sent.
  document.addEventListener("formdata", (event) => {
    event.formData.delete("cell");
    if (event.target.method === "get") event.formData.delete("was");
  });
})();
