"use strict";
// Each head of a sortable table holds a button; a second press turns the order round.
for (const table of document.querySelectorAll("table.sortable")) {
  const heads = Array.from(table.tHead.rows[0].cells);
  const status = document.getElementById(table.dataset.status);
  const value = function (row, column) {
    const cell = row.cells[column];
    const number = parseFloat(cell.dataset.value);
    return Number.isNaN(number) ? cell.textContent.trim() : number;
  };
  const compare = function (a, b) {
    if (typeof a === "number" ? typeof b === "number" : false) {
      return Math.sign(a - b);
    }
    return String(a).localeCompare(String(b), "en", { numeric: true });
  };
  heads.forEach(function (head, column) {
    const button = head.querySelector("button");
    if (button === null) {
      return;
    }
    button.addEventListener("click", function () {
      const order = head.getAttribute("aria-sort") === "ascending" ? "descending" : "ascending";
      const sign = order === "ascending" ? 1 : -1;
      for (const other of heads) {
        if (other.hasAttribute("aria-sort")) {
          other.setAttribute("aria-sort", "none");
        }
      }
      head.setAttribute("aria-sort", order);
      const rows = Array.from(table.tBodies[0].rows);
      rows.sort(function (a, b) {
        return sign * compare(value(a, column), value(b, column));
      });
      table.tBodies[0].append(...rows);
      status.textContent = "sorted by " + button.textContent + ", " + order;
    });
  });
}
