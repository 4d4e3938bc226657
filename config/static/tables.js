// A table that is typed into: Enter, arrows and paste as in a spreadsheet, and a new line when the last is begun.
// Without this script Tab walks the cells, and four blank lines and the box for pasting stand below.
"use strict";

(() => {
  const cellsOf = (row) => [...row.querySelectorAll("input")];
  const rowsOf = (table) => [...table.tBodies[0].rows];

  function lineAfter(table, row) {
    const next = row.nextElementSibling;
    if (next) return next;
    const number = rowsOf(table).length; // lines are counted from 0 in names and from 1 for people
    const line = row.cloneNode(true);
    line.querySelector("th").textContent = String(number + 1);
    for (const cell of cellsOf(line)) {
      cell.name = cell.name.replace(/^(.*)-\d+-/, `$1-${number}-`);
      cell.setAttribute("aria-label", cell.getAttribute("aria-label").replace(/\d+$/, String(number + 1)));
      cell.setAttribute("value", "");
      cell.value = "";
    }
    row.after(line);
    return line;
  }

  function goTo(cell) {
    if (!cell) return;
    cell.focus();
    cell.select();
  }

  function step(cell, rows, columns) {
    const row = cell.closest("tr"), table = cell.closest("table"), at = cellsOf(row).indexOf(cell);
    if (columns) return goTo(cellsOf(row)[at + columns]);
    goTo(cellsOf(rows > 0 ? lineAfter(table, row) : row.previousElementSibling ?? row)[at]);
  }

  document.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (!(cell instanceof HTMLInputElement) || !cell.closest(".typed-rows")) return;
    if (event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
    const isStart = cell.selectionStart === 0 && cell.selectionEnd === 0;
    const isEnd = cell.selectionStart === cell.value.length && cell.selectionEnd === cell.value.length;
    const isOffered = cell.hasAttribute("list"); // there the arrows choose from the list
    const all = cell.value !== "" && cell.selectionStart === 0 && cell.selectionEnd === cell.value.length;
    const moves = {
      Enter: () => step(cell, event.shiftKey ? -1 : 1, 0),
      ArrowDown: () => !isOffered && !event.shiftKey && (step(cell, 1, 0), true),
      ArrowUp: () => !isOffered && !event.shiftKey && (step(cell, -1, 0), true),
      ArrowLeft: () => (isStart || all) && !event.shiftKey && (step(cell, 0, -1), true),
      ArrowRight: () => (isEnd || all) && !event.shiftKey && (step(cell, 0, 1), true),
    };
    const move = moves[event.key];
    if (move && move() !== false) event.preventDefault();
  });

  document.addEventListener("input", (event) => {
    const row = event.target instanceof Element && event.target.closest(".typed-rows tbody tr");
    if (row && !row.nextElementSibling) lineAfter(row.closest("table"), row);
  });

  document.addEventListener("paste", (event) => {
    const cell = event.target;
    if (!(cell instanceof HTMLInputElement) || !cell.closest(".typed-rows")) return;
    const text = event.clipboardData.getData("text/plain").replace(/\r\n?/g, "\n").replace(/\n$/, "");
    if (!/[\t\n]/.test(text)) return; // one cell: as usual
    event.preventDefault();
    const table = cell.closest("table"), first = cellsOf(cell.closest("tr")).indexOf(cell);
    let row = cell.closest("tr");
    for (const line of text.split("\n")) {
      const cells = cellsOf(row);
      line.split("\t").forEach((value, n) => {
        if (cells[first + n]) cells[first + n].value = value.trim();
      });
      row = lineAfter(table, row);
    }
    goTo(cellsOf(row)[first]);
  });
})();
