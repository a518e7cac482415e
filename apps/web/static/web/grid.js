// The grid under the keys: one stop of the Tab key, from which the arrows move on. Beside it
// a line of text says which site, test and state the cell under focus or pointer is about.
"use strict";

(() => {
  const table = document.querySelector("[data-grid]");
  const readout = document.querySelector("[data-grid-readout]");
  if (!table || !readout) return;

  const rows = [...table.querySelectorAll("tr[data-row]")].map((row) => [...row.cells]);
  const names = rows[0].map((head) => head.textContent);
  const target = (cell) => cell.querySelector("a") ?? cell;
  const place = (cell) => [
    rows.findIndex(([first]) => first.parentElement === cell.parentElement),
    cell.cellIndex,
  ];
  const cellOf = (event) => event.target.closest("tr[data-row] > *");

  let current = rows[1][0];
  for (const link of table.querySelectorAll("a")) link.tabIndex = -1;
  target(current).tabIndex = 0;

  const enter = (cell) => {
    target(current).tabIndex = -1;
    current = cell;
    target(cell).tabIndex = 0;
  };
  const read = (cell) => {
    const site = cell.parentElement.cells[0].textContent;
    const whole = cell.tagName === "TD" ? [site, names[cell.cellIndex], cell.textContent] : [];
    readout.textContent = (whole.length ? whole : [cell.textContent]).join(" · ");
  };

  const steps = {
    ArrowRight: (down, across) => [down, across + 1],
    ArrowLeft: (down, across) => [down, across - 1],
    ArrowDown: (down, across) => [down + 1, across],
    ArrowUp: (down, across) => [down - 1, across],
    Home: (down) => [down, 0],
    End: (down) => [down, names.length - 1],
  };
  table.addEventListener("keydown", (event) => {
    const cell = cellOf(event);
    const step = steps[event.key];
    if (!cell || !step || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const [down, across] = step(...place(cell));
    const next = rows[down]?.[across];
    if (!next) return;
    enter(next);
    target(next).focus();
  });
  table.addEventListener("focusin", (event) => {
    const cell = cellOf(event);
    if (!cell) return;
    enter(cell);
    read(cell);
  });
  table.addEventListener("mouseover", (event) => {
    const cell = cellOf(event);
    if (cell) read(cell);
  });
})();
