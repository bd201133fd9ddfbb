/* What was typed into a sheet stays in this browser until its lines are recorded: a session that
   is over, or a lost network, costs nothing. A line keeps its UUID, so sending it again is safe. */
(() => {
  "use strict";
  const form = document.querySelector("[data-sheet]");
  if (!form) return;
  const key = `sheet ${form.dataset.sheet}`;
  const rows = [...form.querySelectorAll("tbody tr")].map((row) => ({
    task: row.querySelector("[name$=-task]").value,
    uuid: row.querySelector("[name$=-uuid]"),
    done: row.querySelector("[name$=-done]"),
    at: row.querySelector("[name$=-at]"),
    pads: row.querySelector("[name$=-pads]"),
  }));

  function keep() {
    const typed = rows.filter((row) => row.done.checked || row.at.value);
    const told = typed.map((row) => [row.task, { uuid: row.uuid.value, done: row.done.checked, at: row.at.value, pads: row.pads && row.pads.value }]);
    localStorage.setItem(key, JSON.stringify({ day: form.elements.day.value, lines: Object.fromEntries(told) }));
  }
  function bring() {
    const kept = JSON.parse(localStorage.getItem(key) || "null");
    if (!kept) return;
    const left = rows.filter((row) => kept.lines[row.task]);
    if (!left.length) { localStorage.removeItem(key); return; }
    form.elements.day.value = kept.day;
    for (const row of left) {
      const line = kept.lines[row.task];
      row.uuid.value = line.uuid;
      row.done.checked = line.done;
      row.at.value = line.at;
      if (row.pads && line.pads !== null) row.pads.value = line.pads;
    }
    keep();
  }
  if (!form.querySelector(".errorlist")) bring();
  form.addEventListener("input", (typed) => {
    const row = rows.find((one) => one.at === typed.target);
    if (row && row.at.value) row.done.checked = true;
    keep();
  });
})();
