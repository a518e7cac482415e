// Arrow keys in the grid: one cell at a time can be reached by Tab, the arrows move on.
// Beside it, a line of text says which site, test and state the cell is about.
"use strict";

(() => {
  const table = document.querySelector("[data-grid]");
  const readout = document.querySelector("[data-grid-readout]");
  if (!table || !readout) return;

  const rows = [...table.tBodies].flatMap((body) =>
    [...body.rows].map((row) => [...row.querySelectorAll("td")]).filter((cells) => cells.length),
  );
  const names = [...table.querySelectorAll("thead [data-test]")].map((head) => head.textContent);
  const target = (cell) => cell.querySelector("a") ?? cell;
  const place = (cell) => {
    const down = rows.findIndex((cells) => cells[0].parentElement === cell.parentElement);
    return [down, rows[down].indexOf(cell)];
  };

  let current = null;
  const enter = (cell) => {
    if (current) target(current).tabIndex = -1;
    current = cell;
    target(cell).tabIndex = 0;
  };
  const read = (cell) => {
    const site = cell.parentElement.querySelector("th").textContent.trim();
    readout.textContent = `${site} · ${names[place(cell)[1]].trim()} · ${cell.textContent.trim()}`;
  };

  for (const link of table.querySelectorAll("td a")) link.tabIndex = -1;
  if (rows.length) enter(rows[0][0]);

  const steps = {
    ArrowRight: (down, across) => [down, across + 1],
    ArrowLeft: (down, across) => [down, across - 1],
    ArrowDown: (down, across) => [down + 1, across],
    ArrowUp: (down, across) => [down - 1, across],
    Home: (down) => [down, 0],
    End: (down) => [down, names.length - 1],
  };
  table.addEventListener("keydown", (event) => {
    const cell = event.target.closest("td");
    const step = steps[event.key];
    if (!cell || !step || event.altKey || event.ctrlKey || event.metaKey) return;
    const [down, across] = step(...place(cell));
    const next = rows[down]?.[across];
    event.preventDefault();
    if (!next) return;
    enter(next);
    target(next).focus();
  });
  table.addEventListener("focusin", (event) => {
    const cell = event.target.closest("td");
    if (!cell) return;
    enter(cell);
    read(cell);
  });
  table.addEventListener("mouseover", (event) => {
    const cell = event.target.closest("td");
    if (cell) read(cell);
  });
})();
