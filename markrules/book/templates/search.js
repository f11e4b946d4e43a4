"use strict";
(function () {
  const entries = JSON.parse(document.getElementById("entries").textContent);
  const field = document.getElementById("words");
  const told = document.getElementById("told");
  const found = document.getElementById("found");
  const most = 80;
  const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const rows = entries.map(([title, kind, address, words]) => ({
    title, kind, address, words, head: fold(title), body: fold(`${title} ${kind} ${words}`),
  }));

  // A whole title before its beginning, a beginning before a word, a word before any letters.
  function rank(row, terms, all) {
    if (row.head === all) return 0;
    if (row.head.startsWith(all)) return 1;
    if (terms.every((term) => row.head.includes(term))) return 2;
    return terms.every((term) => row.body.includes(` ${term}`) || row.body.startsWith(term)) ? 3 : 4;
  }

  function line(row) {
    const item = document.createElement("li");
    const link = document.createElement("a");
    link.href = row.address;
    link.textContent = row.title;
    const kind = document.createElement("span");
    kind.className = "also";
    kind.textContent = ` ${row.kind}`;
    const words = document.createElement("p");
    words.className = "also";
    words.textContent = row.words;
    item.append(link, kind, words);
    return item;
  }

  function search() {
    const all = fold(field.value.trim());
    const terms = all.split(/\s+/).filter(Boolean);
    found.replaceChildren();
    if (!terms.length) {
      told.textContent = "Type a word: a part, a material, a maker, letters of a mark.";
      return;
    }
    const hits = rows
      .filter((row) => terms.every((term) => row.body.includes(term)))
      .map((row) => [rank(row, terms, all), row])
      .sort((a, b) => a[0] - b[0] || a[1].head.length - b[1].head.length || a[1].head.localeCompare(b[1].head));
    told.textContent = hits.length > most
      ? `${hits.length} entries; the first ${most}.`
      : `${hits.length} ${hits.length === 1 ? "entry" : "entries"}.`;
    found.append(...hits.slice(0, most).map(([, row]) => line(row)));
  }

  field.value = new URLSearchParams(location.search).get("q") || "";
  field.addEventListener("input", search);
  search();
  field.focus();
})();
